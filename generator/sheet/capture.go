package sheet

import (
	"math"
	"slices"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// taken is what a run's capture gave, with its record's table; nil where there is none.
func (e *evaluator) taken(run *record.Run) (*record.Taken, *record.Capture) {
	if run.Taken == nil {
		return nil, nil
	}
	c := e.rec.Capture(run.Capture.ID)
	if c == nil {
		return nil, nil
	}
	return run.Taken, c
}

// takenOut is what a run's capture gave of a channel; nil where it gave nothing.
func (e *evaluator) takenOut(run *record.Run, channel string) (*record.TakenOut, *record.Capture, *record.CaptureChannel) {
	t, c := e.taken(run)
	if t == nil {
		return nil, nil, nil
	}
	for i := range t.Outs {
		if o := &t.Outs[i]; o.Channel == channel {
			if column := c.Out(channel); column != nil {
				return o, c, column
			}
		}
	}
	return nil, nil, nil
}

// scaleU is the standard uncertainty of a scale as a part of it, and of its offset: of
// half-widths, or with scale_k of expanded uncertainties.
func scaleU(ch *record.CaptureChannel) (gain, offset float64) {
	gain, offset = ch.ScalePct.Value/100, ch.OffsetPM.Value
	if ch.ScaleK.Given() {
		return gain / ch.ScaleK.Value, offset / ch.ScaleK.Value
	}
	return quantity.Rectangular(gain), quantity.Rectangular(offset)
}

// scaleSource names one of the two errors of a column's scale, "gain" or "offset". Columns
// that are scaled by one thing have one error of the gain; what other columns of one
// recorder share isn't known.
func (e *evaluator) scaleSource(c *record.Capture, ch *record.CaptureChannel, what string) quantity.Source {
	said := saidOf[ch.Role]
	if ch.Role == "out" {
		said = saidOf["out_v"]
	}
	if what == "gain" {
		said += ", scale"
	} else {
		said += ", offset"
	}
	s := quantity.Source{Kind: "instrument", DoF: math.Inf(1)}
	if ch.ScaleBy != "" && what == "gain" {
		s.ID = "scale " + ch.ScaleBy + "/" + what
		s.Group, s.Name = s.ID, said+" ("+ch.ScaleBy+")"
		return s
	}
	group := c.Recorder.ID
	if group == "" {
		group = e.unique(c.ID)
	}
	s.ID = e.unique("scale " + c.ID + "." + typed(ch.Column) + "/" + what)
	s.Strand = e.unique("scale " + group + "/" + ch.Role + "/" + ch.Of + "/" + what)
	s.Group, s.Name = "scales of "+group+"/"+what, said+" (capture "+c.ID+", column "+typed(ch.Column)+")"
	return s
}

// scale is what a column's scale brings to a figure: gain and offset are the figure's
// sensitivities to a relative error of the one, and to an error of the other.
func (e *evaluator) scale(c *record.Capture, ch *record.CaptureChannel, gain, offset float64) []quantity.Term {
	uGain, uOffset := scaleU(ch)
	unit := unitOf[ch.Role]
	if ch.Role == "out" {
		unit = "V"
	}
	return []quantity.Term{
		{Value: quantity.New(1, "", uGain, e.scaleSource(c, ch, "gain")), Sensitivity: gain},
		{Value: quantity.New(0, unit, uOffset, e.scaleSource(c, ch, "offset")), Sensitivity: offset},
	}
}

// spreadOver is an exact 0 with the spread of a mean over time.
func (d *reader) spreadOver(m record.Mean, what, channel, unit string, by float64) quantity.Value {
	if m.U == 0 {
		return quantity.Exact(0, unit)
	}
	u, dof := max(m.U, arithmeticHolds*math.Abs(m.X)), m.DoF
	if dof == 0 {
		dof = math.Inf(1)
	}
	id := "spread " + what + "@" + d.at
	if channel != "" {
		id += "." + channel
	}
	return quantity.New(0, unit, u*by, quantity.Source{
		ID: id, Name: "spread over time, " + what, Kind: "spread", DoF: dof,
	})
}

// arithmeticHolds is how well a mean over a capture agrees with the closed form of what was
// captured, at least: the tests of generator/capture ask for it. A signal without noise spreads less.
const arithmeticHolds = 1e-9

// scaled is a mean over time of a column, with its spread and the errors of its scale.
func (d *reader) scaled(m record.Mean, c *record.Capture, ch *record.CaptureChannel, offset float64, what, channel, unit string) quantity.Value {
	terms := append(d.scale(c, ch, m.X-offset*ch.Offset.Value, offset), quantity.Term{Value: d.spreadOver(m, what, channel, unit, 1), Sensitivity: 1})
	return quantity.Combine(m.X, unit, terms...)
}

// volts are those of a driven channel across its element, and the formula they come by:
// from the run's capture, else as typed.
func (d *reader) volts(i int, channel string) (v measured, id string, known bool) {
	run := d.run
	if o, c, column := d.takenOut(run, channel); o != nil {
		v := d.scaled(o.RMS, c, column, o.Offset, saidOf["out_v"], channel, "V")
		if o.Interpolation > 0 {
			v = v.Add(d.between("out_v", channel, "V", o.Interpolation))
		}
		return measured{Value: v}, voltsFormula(run.Taken.As), true
	}
	if i >= len(run.OutV.Items) {
		return measured{}, "", false
	}
	return d.reading("out_v", run.OutV.Items[i], channel), d.readingFormula(run, "out_v", run.OutV.Items[i]), true
}

func voltsFormula(as string) string {
	switch as {
	case "steps", "sweep":
		return formula.CaptureLimit
	case "bursts":
		return formula.CaptureBursts
	}
	return formula.CaptureVolts
}

// between is an exact 0 with how far off the way between two levels may be, a half-width.
func (d *reader) between(of, channel, unit string, half float64) quantity.Value {
	return quantity.New(0, unit, quantity.Rectangular(half), quantity.Source{
		ID: "between levels " + of + "@" + d.at + "." + channel, Name: "interpolation between levels", Kind: "spread", DoF: math.Inf(1),
	})
}

// capturedDistortion is that of a channel by its capture; nil where it doesn't tell. At
// a limit that was interpolated it is the limit, and all that is uncertain is in the
// volts there.
func (d *reader) capturedDistortion(channel string) *Figure {
	o, c, _ := d.takenOut(d.run, channel)
	if o == nil || !o.THDN.Given() {
		return nil
	}
	if as := d.run.Taken.As; as == "steps" || as == "sweep" {
		return figure("thdn", "d", formula.CaptureLimit, measured{Value: quantity.Exact(100*o.THDN.X, "%")})
	}
	v := quantity.Exact(100*o.THDN.X, "%").Add(d.spreadOver(o.THDN, saidOf["thdn_pct"], channel, "%", 100))
	return figure("thdn", "d", formula.CaptureThdn, d.recorderDistorts(v, c, channel))
}

// recorderDistorts adds to a distortion what the recorder's own may make of it. Where
// bench.toml doesn't state that, the uncertainty is only what scatters, and says so.
func (d *reader) recorderDistorts(v quantity.Value, c *record.Capture, channel string) measured {
	recorder := d.content.Bench.Instrument(c.Recorder.ID)
	r := recorder.RangeFor("thdn_pct", v.X)
	if r == nil {
		return measured{Value: v, lacks: []string{distortionLacks(c)}}
	}
	own := (&readout{d, "thdn_pct", channel, recorder, r, v.X}).value("%")
	own.X = 0
	return with(v.Add(own.Value), own)
}

func distortionLacks(c *record.Capture) string {
	return "it is not stated how much the recorder of capture " + c.ID + " distorts itself"
}

// capturedSupply are the supply's figures by the run's capture, where it has them.
func (d *reader) capturedSupply(r *Run) (power *measured) {
	t, c := d.taken(d.run)
	if t == nil {
		return nil
	}
	v, a := c.Of("supply_v"), c.Of("supply_a")
	if v != nil && t.SupplyV.Given() && d.rec.Unit.Supply != "mains" {
		r.SupplyV = figure("supply_v", "Vs", formula.CaptureMean, measured{Value: d.scaled(t.SupplyV, c, v, 1, saidOf["supply_v"], "", "V")})
	}
	if a != nil && t.SupplyA.Given() && d.rec.Unit.Supply != "mains" {
		r.SupplyA = figure("supply_a", "Is", formula.CaptureMean, measured{Value: d.scaled(t.SupplyA, c, a, 1, saidOf["supply_a"], "", "A")})
	}
	w := t.SupplyW
	if t.As == "bursts" {
		w = t.RoundW
	}
	if v == nil || a == nil || !w.Given() {
		return nil
	}
	volts, amperes := t.SupplyV.X, t.SupplyA.X
	if t.As == "bursts" { // their means over the same time, near enough for an offset
		volts, amperes = t.RestV, w.X/t.RestV
	}
	terms := slices.Concat(
		d.scale(c, v, w.X-v.Offset.Value*amperes, amperes),
		d.scale(c, a, w.X-a.Offset.Value*volts, volts),
		[]quantity.Term{{Value: d.spreadOver(w, saidOf["supply_w"], "", "W", 1), Sensitivity: 1}})
	return &measured{Value: quantity.Combine(w.X, "W", terms...)}
}

// capturedRound are efficiency and heat of bursts over whole repetitions.
func (d *reader) capturedRound(r *Run, ps measured) {
	var rounds []measured
	for i, ch := range r.Channels {
		o, c, column := d.takenOut(d.run, ch.Name)
		if o == nil || !o.RoundV.Given() || ps.X <= 0 {
			return
		}
		v := measured{Value: d.scaled(o.RoundV, c, column, 0, "output volts over whole repetitions", ch.Name, "V")}
		p := d.powerOf(v, d.circuit(i, ch.Name))
		rounds = append(rounds, p)
	}
	if len(rounds) == 0 {
		return
	}
	out := sumOf(rounds)
	r.Efficiency = figure("efficiency", "η", formula.CaptureRound, with(electric.Efficiency(out.Value, ps.Value), out, ps))
	r.Heat = figure("heat", "H", formula.Heat, with(electric.Heat(out.Value, ps.Value), out, ps))
}

// powerOf is the power at the unit's terminals of volts across an element.
func (d *reader) powerOf(v measured, at circuit) measured {
	return with(electric.AtTerminals(electric.InElement(v.Value, at.element.Value), at.lead.Value, at.element.Value), v, at.element)
}
