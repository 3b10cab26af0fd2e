package site

import (
	"html/template"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// captureRun is what one run was read from, without its drawings.
func (b *binder) captureRun(r *sheet.Run) captureRun {
	out := captureRun{ID: r.ID, Run: link{"../index.html#run-" + r.ID, "Run " + r.ID}}
	if !r.Valid {
		out.Invalid = sentence(r.Rec.Invalid)
	}
	c := r.Captured
	if c == nil {
		out.About = "Nothing was read from it."
		return out
	}
	out.About = "Read from " + c.Where + ", as " + c.AsText + "."
	if t := c.Taken; t.HighHz > 0 {
		out.About += " Distortion and noise from " + quantity.Float(t.LowHz) + nbsp + "Hz to " + thousandsOf(t.HighHz) + nbsp + "Hz."
	}
	out.Figures = captureFigures(r, b.methodologyFrom(capturesDepth))
	agree := 0
	for _, one := range c.Compared {
		if !one.Disagrees {
			agree++
			continue
		}
		out.Disagrees = append(out.Disagrees, capital(readNames[one.Quantity])+ofTheChannel(one.Channel)+" was typed as "+one.Typed.Text+" and is "+one.Captured.Text+" by the capture, which counts; the difference is "+one.Difference.Text+".")
	}
	if agree > 0 {
		out.Agrees = itoa(agree) + " typed readings agree"
		if agree == 1 {
			out.Agrees = "The typed reading agrees"
		}
		out.Agrees += " with the capture, within the uncertainty of the difference."
	}
	out.Bursts = burstTable(r)
	return out
}

// captureFigures are the figures that a run has from its capture, each with its formula.
func captureFigures(r *sheet.Run, methodology string) (out factList) {
	add := func(name string, f *sheet.Figure) {
		if f != nil {
			out = append(out, fact{Name: name, Text: f.Text, Href: formulaHref(methodology, f)})
		}
	}
	of := func(name string) string {
		if len(r.Channels) < 2 {
			return ""
		}
		return ", channel " + name
	}
	limit := r.Captured.Taken.As == "steps" || r.Captured.Taken.As == "sweep"
	for _, ch := range r.Channels {
		for _, c := range r.Captured.Channels {
			if c.Name != ch.Name {
				continue
			}
			at := of(c.Name)
			if limit {
				at += ", at the limit"
			}
			add("Output"+at, ch.Volts)
			add("Power"+at, ch.Power)
			add("THD+N"+at, ch.Distortion)
			add("THD"+of(c.Name), c.THD)
			if c.Crest > 0 {
				out = append(out, fact{Name: "Crest factor, peak over rms" + of(c.Name), Text: quantity.Significant(c.Crest, 4)})
			}
			add("Clipping begins"+of(c.Name), c.Onset)
			add("Clipped, at most"+of(c.Name), c.Most)
			add("Mean over whole repetitions"+of(c.Name), c.Round)
			if o := c.Out; len(c.Bursts) > 1 {
				out = append(out, facts(
					fact{Name: "From burst to burst" + of(c.Name), Text: quantity.Significant(o.EveryS, 4) + nbsp + "s"},
					fact{Name: "Between bursts" + of(c.Name), Text: minus(quantity.Fixed(o.RestDB, 1)) + nbsp + "dB"},
					fact{Name: "Droop over the bursts" + of(c.Name), Text: minus(quantity.Fixed(o.DroopPct, 1)) + nbsp + "%"},
				)...)
			}
		}
	}
	add("Frequency", r.Captured.Freq)
	add("Supply voltage", r.SupplyV)
	add("Supply current", r.SupplyA)
	add("Supply power", r.SupplyPower)
	add("Efficiency", r.Efficiency)
	if t := r.Captured.Taken; t.SagV > 0 {
		out = append(out, facts(
			fact{Name: "Supply between bursts", Text: quantity.Fixed(t.RestV, 2) + nbsp + "V"},
			fact{Name: "Sag within bursts", Text: quantity.Fixed(t.SagV, 2) + nbsp + "V"},
		)...)
		if t.RecoveryS > 0 {
			out = append(out, fact{Name: "Recovers within", Text: quantity.Significant(1000*t.RecoveryS, 3) + nbsp + "ms"})
		}
	}
	return out
}

// minus puts the minus sign in the place of a leading hyphen.
func minus(text string) string {
	if len(text) > 0 && text[0] == '-' {
		return "−" + text[1:]
	}
	return text
}

// burstTable lists the bursts of a run; empty without any.
func burstTable(r *sheet.Run) template.HTML {
	t := table{Caption: "Bursts of run " + r.ID, Class: "small", Head: []column{
		{Text: "Channel"}, {Text: "Begins / s", Numeric: true}, {Text: "Lasts / ms", Numeric: true}, {Text: "Power / W", Numeric: true},
	}}
	supply := false
	for _, c := range r.Captured.Channels {
		for _, one := range c.Bursts {
			supply = supply || one.SupplyV > 0
		}
	}
	if supply {
		t.Head = append(t.Head, column{Text: "Supply / V", Numeric: true}, column{Text: "Sag / V", Numeric: true})
	}
	for _, c := range r.Captured.Channels {
		var group []row
		for _, one := range c.Bursts {
			cells := []cell{{Text: c.Name, Column: 0}, {Text: quantity.Fixed(one.StartS, 4), Column: 1}, {Text: quantity.Fixed(1000*(one.EndS-one.StartS), 2), Column: 2}, {Text: quantity.Significant(one.PowerW, 4), Column: 3}}
			if supply {
				cells = append(cells, cell{Text: quantity.Fixed(one.SupplyV, 2), Column: 4}, cell{Text: quantity.Fixed(one.SagV, 2), Column: 5})
			}
			group = append(group, row{Cells: cells})
		}
		if len(group) > 0 {
			t.Groups = append(t.Groups, group)
		}
	}
	if len(t.Groups) == 0 {
		return ""
	}
	return t.html()
}

func ofTheChannel(name string) string {
	if name == "" {
		return ""
	}
	return " of channel " + name
}
