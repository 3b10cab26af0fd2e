package site

import (
	"maps"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// causes collects the causes of error that figures name. Of those with one id the one
// named last counts.
type causes struct {
	last  map[*quantity.Source]int // when each was named last
	named int                      // how often any was
}

func newCauses() *causes { return &causes{last: map[*quantity.Source]int{}} }

// list gives the causes by id.
func (k *causes) list() []dataCause {
	byID := make(map[string]*quantity.Source, len(k.last))
	for s, at := range k.last {
		if other := byID[s.ID]; other == nil || k.last[other] < at {
			byID[s.ID] = s
		}
	}
	out := make([]dataCause, 0, len(byID))
	for _, id := range slices.Sorted(maps.Keys(byID)) {
		s := byID[id]
		d := dataCause{
			ID: id, Name: s.Name, Kind: s.Kind, Group: s.Group, Estimate: s.Estimate, Strand: s.Strand, DoF: finite(s.DoF),
		}
		if s.U > 0 {
			d.U, d.Unit = finite(s.U), s.Unit
		}
		out = append(out, d)
	}
	return out
}

// figure is a figure as the file has it, in one piece with the numbers that it points
// to; its causes are noted.
func (k *causes) figure(f *sheet.Figure) *dataFigure {
	if f == nil {
		return nil
	}
	made := &struct {
		dataFigure
		std, k, expanded, dof number
	}{}
	d := &made.dataFigure
	d.Value, d.Unit, d.Text, d.Formula, d.Incomplete = number(f.X), f.Unit, f.Text, f.Formula, f.Incomplete
	if f.U > 0 {
		d.U, d.K = made.std.finite(f.Std), made.k.finite(f.K)
		d.Expanded, d.DoF = made.expanded.finite(f.U), made.dof.finite(f.DoF)
	}
	if len(f.Lines) > 0 {
		d.Components = make([]dataComponent, 0, len(f.Lines))
	}
	for _, l := range f.Lines {
		k.named++
		k.last[l.Source] = k.named
		d.Components = append(d.Components, dataComponent{
			Source: l.Source.ID, Contribution: number(l.C), Sharing: l.Sharing,
		})
	}
	return d
}

func (k *causes) claim(c *sheet.Claim) dataClaim {
	d := dataClaim{
		ID: c.ID, Label: c.Label, Stated: dataOfStated(c.Rec), Conditions: c.Conditions, Assumed: c.Assumed,
		LimitW: number(c.LimitW), Verdict: string(c.Verdict), Word: c.Word, Reason: c.Reason, Why: c.Why,
		Level: k.figure(c.Level), Flip: dataOfFlip(c), Estimate: k.estimate(c.Estimate), Incomplete: c.Lacks(),
	}
	if c.HasP {
		d.P, d.PText = between(c.PMin, c.PMax), c.PText
		d.BarW = between(c.BarLow, c.BarHigh)
		if c.BarLowOpen {
			d.BarW.Low = nil
		}
		if c.BarHighOpen {
			d.BarW.High = nil
		}
	}
	if c.Weakest != nil {
		d.Weakest = c.Weakest.Name
	}
	d.Uses = slices.Grow(d.Uses, len(c.Uses))
	d.Corners = slices.Grow(d.Corners, len(c.Corners))
	for _, ch := range c.Channels {
		d.Channels = append(d.Channels, dataClaimChannel{
			Channel: ch.Name, Class: ch.Class, Runs: list(ch.Runs), Mean: k.figure(ch.Mean),
		})
	}
	for _, r := range c.Rules {
		d.Rules = append(d.Rules, dataRuleSays{
			Acceptance: r.Acceptance, Name: r.Name, MetFrom: number(r.Rule.MetFrom), ShortTo: number(r.Rule.ShortTo), Own: r.Own, Verdict: string(r.Verdict),
		})
	}
	for _, at := range c.Corners {
		d.Corners = append(d.Corners, dataOfCorner(c, at))
	}
	for _, u := range c.Uses {
		d.Uses = append(d.Uses, dataUse{Run: u.Run, Counts: u.Counts, Why: u.Why})
	}
	return d
}

func dataOfCorner(c *sheet.Claim, at verdict.CornerResult) dataCorner {
	d := dataCorner{
		K: number(at.K), M: number(at.M), Verdict: string(at.Verdict), P: *between(at.PMin, at.PMax),
		YW: finite(at.Y), UW: finite(at.U), DoF: finite(at.DoF),
	}
	if at.Weakest < len(c.Channels) {
		d.Channel = c.Channels[at.Weakest].Name
	}
	return d
}

func dataOfStated(c *record.Claim) dataStated {
	return dataStated{
		Quantity: c.Quantity, PowerW: number(c.PowerW.Value), LoadOhm: number(c.LoadOhm.Value),
		Channels: number(c.Channels.Value), Of: c.Of, Driven: given(c.Driven), Bridged: c.Bridged, SupplyV: given(c.SupplyV),
		ThdnPct: given(c.ThdnPct), FreqHz: numbers(c.FreqHz), Signal: c.Signal,
		DurationS: given(c.DurationS), PrintedIn: c.PrintedIn,
	}
}

func dataOfFlip(c *sheet.Claim) *dataFlip {
	if c.Flip == nil {
		return nil
	}
	d := &dataFlip{ShiftTo: string(c.Flip.ShiftTo), ScaleTo: string(c.Flip.ScaleTo), Text: c.FlipText}
	if c.Flip.ShiftTo != "" {
		d.ShiftW = finite(c.Flip.Shift)
	}
	if c.Flip.ScaleTo != "" {
		d.ScaleU = finite(c.Flip.Scale)
	}
	return d
}

func (k *causes) run(r *sheet.Run, bench *record.Bench) dataRun {
	rec := r.Rec
	d := dataRun{
		ID: r.ID, At: rec.At.Text, Method: rec.Method.ID, Valid: r.Valid, Invalid: rec.Invalid,
		Outcome: rec.Outcome, Bridged: r.Bridged, NominalOhm: number(r.Nominal),
		AmbientC: given(rec.AmbientC), WarmUpMin: given(rec.WarmUpMin), LastedS: given(rec.LastedS),
		Remarks: rec.Remarks, Cautions: r.Cautions, Readings: dataOfReadings(r, bench), Channels: make([]dataChannel, 0, len(r.Channels)),
		Total: k.figure(r.Total), SupplyV: k.figure(r.SupplyV), SupplyA: k.figure(r.SupplyA),
		SupplyPower: k.figure(r.SupplyPower), Efficiency: k.figure(r.Efficiency), Heat: k.figure(r.Heat),
	}
	if r.FreqHz > 0 {
		d.FreqHz = finite(r.FreqHz)
	}
	for _, c := range r.Channels {
		one := dataChannel{
			Channel: c.Name, NominalOhm: number(c.Nominal), Resistance: k.figure(c.Resistance),
			Volts: k.figure(c.Volts), OutV: k.figure(c.OutV), Power: k.figure(c.Power),
			Check: k.figure(c.Check), Thdn: k.figure(c.Distortion),
		}
		if c.Load != nil {
			one.Load = c.Load.ID
		}
		d.Channels = append(d.Channels, one)
	}
	return d
}

func dataOfReadings(r *sheet.Run, bench *record.Bench) []dataReading {
	out := make([]dataReading, 0, 10)
	for _, q := range record.ReadQuantities {
		perChannel := q == "power_w" || q == "out_v" || q == "thdn_pct" || q == "load_c"
		for i, n := range r.Rec.Readings(q) {
			d := dataReading{Quantity: q, Text: n.Text, Value: number(n.Value), How: readAs(&r.Rec.ReadAs, q)}
			if perChannel && i < len(r.Channels) {
				d.Channel = r.Channels[i].Name
			}
			if with := r.Rec.InstrumentFor(q, bench); with != nil {
				d.Instrument = with.ID
			}
			out = append(out, d)
		}
	}
	return out
}

// readAs is how a quantity of a run was read; what can't be held is a mean.
func readAs(how *record.ReadAs, q string) string {
	said := ""
	switch q {
	case "power_w":
		said = how.PowerW
	case "out_v":
		said = how.OutV
	case "supply_v":
		said = how.SupplyV
	case "supply_a":
		said = how.SupplyA
	}
	if said == "" {
		return "mean"
	}
	return said
}
