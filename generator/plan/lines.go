package plan

import (
	"fmt"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// Head says what a run is: the load, the channels and the method.
func (r *Run) Head() string {
	var loads []string
	for i, o := range r.Outputs {
		if i == 0 || o.LoadOhm != r.Outputs[i-1].LoadOhm {
			loads = append(loads, sheet.Ohms(float64(o.LoadOhm)))
		}
	}
	text := strings.Join(loads, " and ")
	if r.Bridged {
		text += " bridged"
	}
	if n := len(r.Outputs); n > 1 && r.Bridged {
		text += ", " + counted(n, "pair") + " driven"
	} else if n > 1 {
		text += ", " + counted(n, "channel") + " driven"
	}
	return text + ", " + r.MethodTitle + ", " + hertz(float64(r.FreqHz)) + ", " + clock(float64(r.DurationS))
}

// For says which claims a run is for, and what could be said of each.
func (r *Run) For() []string {
	var out []string
	for _, c := range r.claims {
		out = append(out, c.ID+", "+unit(float64(c.ClaimW), "W")+": "+c.Bounds())
	}
	return out
}

// Bounds says from where to where a claim would be short, open and met.
func (c *Claim) Bounds() string {
	var parts []string
	if c.ShortUpToW != nil {
		parts = append(parts, fmt.Sprintf("short up to %s (−%s)", bounded(*c.ShortUpToW, c.ClaimW, false), change(*c.ShortfallPct)))
	}
	if c.MetFromW != nil {
		sign := "+"
		if *c.MarginPct < 0 {
			sign = ""
		}
		parts = append(parts, fmt.Sprintf("met from %s (%s%s)", bounded(*c.MetFromW, c.ClaimW, true), sign, change(*c.MarginPct)))
	}
	if len(parts) == 0 {
		return "this bench can't decide it"
	}
	return strings.Join(parts, ", ")
}

// bounded writes a power that something holds up to, or from, with so many decimals
// that a tenth of a percent of the claim is seen; rounded to the side that is true.
func bounded(w, claim Number, up bool) string {
	decimals := 0
	for scale := 1000.0; float64(claim) < scale && decimals < 4; scale /= 10 {
		decimals++
	}
	step := 1.0
	for range decimals {
		step /= 10
	}
	text := quantity.Fixed(float64(w), decimals)
	switch x := parse(text); {
	case up && x < float64(w)*(1-1e-12):
		text = quantity.Fixed(x+step, decimals)
	case !up && x > float64(w)*(1+1e-12):
		text = quantity.Fixed(x-step, decimals)
	}
	return text + nbsp + "W"
}

func change(pct Number) string { return quantity.Fixed(float64(pct), 1) + nbsp + "%" }

// OutputLines are the lines of all channels. Those that lack a load and are expected to
// give the same share one: a unit may have forty.
func (r *Run) OutputLines() (lines []string) {
	var same Output // of the line before, without its channel
	var channels []string
	for _, o := range r.Outputs {
		like := o
		like.Channel = ""
		if len(channels) > 0 && o.Load == "" && like == same {
			channels = append(channels, o.Channel)
			o.Channel = strings.Join(channels, ", ") + " each"
			lines[len(lines)-1] = o.Line(r)
			continue
		}
		same, channels = like, []string{o.Channel}
		lines = append(lines, o.Line(r))
	}
	return lines
}

// Line says what one channel is expected to give.
func (o Output) Line(r *Run) string {
	load := "a load that bench.toml doesn't have"
	if o.Load != "" {
		load = o.Load
	}
	text := fmt.Sprintf("%s into %s: %s, %s, %s", o.Channel, load, figure(float64(o.V), "V"), figure(float64(o.A), "A"), unit(float64(o.W), "W"))
	switch {
	case o.MaxW > 0:
		text += fmt.Sprintf("; %s in the element, rated %s", figure(float64(o.HeatW), "W"), unit(float64(o.MaxW), "W"))
	case r.Share < 1:
		text += fmt.Sprintf("; %s in the element on average", figure(float64(o.HeatW), "W"))
	}
	if o.Assumed {
		text += " (no claim says what it gives meanwhile)"
	}
	return text
}

// SupplyLine says what is expected from the supply.
func (r *Run) SupplyLine() string {
	s := &r.Supply
	text := fmt.Sprintf("%s at %s at the unit's terminals: %s", figure(float64(s.A), "A"), unit(float64(s.V), "V"), figure(float64(s.W), "W"))
	if r.Share < 1 {
		text += fmt.Sprintf(", in bursts; %s on average", figure(float64(s.MeanA), "A"))
	}
	switch {
	case s.ID == "":
		text += "; no supply of bench.toml is near that voltage"
	case s.MaxA == 0:
		text += "; from " + s.ID
	case s.MaxA >= s.A:
		text += fmt.Sprintf("; %s gives %s, so %s are left", s.ID, unit(float64(s.MaxA), "A"), figure(float64(s.MaxA-s.A), "A"))
	default:
		text += fmt.Sprintf("; %s gives only %s", s.ID, unit(float64(s.MaxA), "A"))
	}
	if s.FusesA > 0 {
		text += fmt.Sprintf("; the unit's fuses are for %s", unit(float64(s.FusesA), "A"))
	}
	if s.BladeA > 0 {
		text += fmt.Sprintf("; a fuse of the bench's own would be a blade fuse of %s", unit(float64(s.BladeA), "A"))
	}
	return text
}

// LeadLine says what is lost in the supply's leads; empty where nothing is known.
func (r *Run) LeadLine() string {
	s := &r.Supply
	switch {
	case s.LeadOhm > 0:
		text := fmt.Sprintf("%s%smΩ: %s and %s are lost in them", quantity.Significant(1000*float64(s.LeadOhm), 2), nbsp, drop(float64(s.LeadDropV)), quantity.Significant(float64(s.LeadHeatW), 2)+nbsp+"W")
		if !r.mains {
			text += fmt.Sprintf(", so %s at the supply", quantity.Fixed(float64(s.V+s.LeadDropV), 2)+nbsp+"V")
		}
		if s.Leads != "" {
			text += " (" + s.Leads + ")"
		}
		return text
	case s.Leads != "":
		return s.Leads + "; without lead_mm2 and lead_m in bench.toml the drop isn't known"
	}
	return ""
}

// drop writes a voltage drop.
func drop(x float64) string {
	if x < 0.1 {
		return quantity.Significant(1000*x, 2) + nbsp + "mV"
	}
	return quantity.Significant(x, 2) + nbsp + "V"
}

// HeatLine says where the energy goes.
func (r *Run) HeatLine() string {
	h := &r.Heat
	average := ""
	if r.Share < 1 {
		average = fmt.Sprintf(" in a burst, %s on average", figure(float64(h.MeanW), "W"))
	}
	return fmt.Sprintf("%s in the unit%s, %s in the load; %s from the supply in the run, %s of it stay in the unit", figure(float64(h.UnitW), "W"), average, figure(float64(h.LoadW), "W"), joules(float64(h.EnergyJ)), joules(float64(h.UnitJ)))
}

// Line says which instrument to set to what.
func (m Meter) Line() string {
	name := m.Reads
	if m.Channel != "" {
		name += " of " + m.Channel
	}
	expected := figure(float64(m.Expected), m.Unit)
	if m.Reads == "thdn_pct" || m.Reads == "supply_v" { // these are set
		expected = unit(float64(m.Expected), m.Unit)
	}
	if m.Instrument == "" {
		return fmt.Sprintf("%s: about %s, and no instrument for it", name, expected)
	}
	text := fmt.Sprintf("%s: %s on its range to %s, about %s", name, m.Instrument, unit(float64(m.Range), m.Unit), expected)
	if m.Range == 0 {
		text = fmt.Sprintf("%s: %s has no range for about %s", name, m.Instrument, expected)
	}
	if m.Held == "held-min" {
		text += ", the lowest within a burst"
	}
	if m.Other {
		text += " (not the usual instrument)"
	}
	return text
}

// by says by which runs a claim is decided, and with what uncertainty.
func (c *Claim) by() string {
	text := ""
	if c.UW > 0 {
		text = fmt.Sprintf("; U = %s, %s", figure(float64(c.UW), "W"), percent(float64(c.UPct)))
	}
	if len(c.Runs) == 0 {
		return text
	}
	runs := make([]string, len(c.Runs))
	for i, n := range c.Runs {
		runs[i] = fmt.Sprint(n)
	}
	word := "run "
	if len(runs) > 1 {
		word = "runs "
	}
	return text + "; by " + word + strings.Join(runs, " and ")
}

// Notes says what a claim's bounds leave out.
func (c *Claim) Notes() []string {
	var out []string
	if c.LowPct > 0 {
		var parts []string
		if c.LowShortUpToW != nil {
			parts = append(parts, "short up to "+bounded(*c.LowShortUpToW, c.ClaimW, false))
		}
		if c.LowMetFromW != nil {
			parts = append(parts, "met from "+bounded(*c.LowMetFromW, c.ClaimW, true))
		}
		out = append(out, fmt.Sprintf("With the supply %s below the claim's voltage: %s.", unit(float64(c.LowPct), "%"), strings.Join(parts, ", ")))
	}
	if c.Why != "" {
		out = append(out, c.Why)
	}
	if len(c.Provided) > 0 && c.Can != "neither" {
		out = append(out, "Only if the runs can be made as planned: see "+strings.Join(c.Provided, ", ")+".")
	}
	if len(c.Lacks) > 0 {
		out = append(out, "U lacks something: "+strings.Join(c.Lacks, "; ")+".")
	}
	return out
}
