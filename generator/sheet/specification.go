package sheet

import (
	"fmt"
	"math"
	"time"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// A specification is what a range states of one reading.
type specification struct {
	stated  float64 // what its terms add up to: a half-width, or an expanded uncertainty
	divisor float64 // from that to the standard uncertainty
	by      string  // the divisor as people write it: √3
}

// specificationOf evaluates a range's specification at a reading x (formula
// [formula.Specification]):
//
//	stated = reading_pct·|x| + range_pct·range + digits·resolution + constant
//
// and its divisor by the shape: √3 rectangular (JCGM 100:2008, 4.3.7), √6
// triangular (4.3.9), √2 U-shaped (JCGM 101:2008, 6.4.6), k where it is an
// expanded uncertainty (JCGM 100, 4.3.3).
func specificationOf(r *record.Range, x float64) specification {
	s := specification{
		stated:  r.ReadingPct.Value/100*math.Abs(x) + r.RangePct.Value/100*r.To.Value + r.Digits.Value*r.Resolution.Value + r.Constant.Value,
		divisor: math.Sqrt(3), by: "√3",
	}
	switch r.Shape {
	case "triangular":
		s.divisor, s.by = math.Sqrt(6), "√6"
	case "u-shaped":
		s.divisor, s.by = math.Sqrt2, "√2"
	case "normal":
		s.divisor, s.by = r.K.Value, typed(r.K)
	}
	return s
}

// u is the standard uncertainty.
func (s specification) u() float64 { return s.stated / s.divisor }

// freedomOf is the degrees of freedom of a range's specification.
func freedomOf(r *record.Range) float64 {
	if r.Shape == "normal" {
		return r.DoF.Or(math.Inf(1))
	}
	return math.Inf(1)
}

// A correction is what a certificate adds to a reading (formula
// [formula.Corrected]).
type correction struct {
	adds     float64
	expanded float64 // its expanded uncertainty
	k        float64
}

func (c correction) u() float64 { return c.expanded / c.k }

// correctionOf evaluates a range's correction at a reading x: the uncertainties in
// percent and as a constant come from one certificate and are added.
func correctionOf(r *record.Range, x float64) correction {
	return correction{
		adds: r.CorrectionTo(x), expanded: r.CorrectionPMPct.Value/100*math.Abs(x) + r.CorrectionPM.Value, k: r.CorrectionK.Value,
	}
}

// yearDays is how many days a year has here.
const yearDays = 365.25

// A drift is what an instrument may have drifted since its calibration (formula
// [formula.Drift]).
type drift struct {
	days  float64 // from the calibration to the run, or until the calibration is due
	until string  // that day
	half  float64 // half-width, in the reading's unit
	lacks string  // why it can't be said
}

// driftOf is a range's drift at a reading x. Before its calibration an instrument
// was as far off as it is after it.
func driftOf(run *record.Run, i *record.Instrument, r *record.Range, x float64) drift {
	if r.DriftPctYear.Value == 0 {
		return drift{}
	}
	var d drift
	d.until = i.Due.Text
	if len(run.At.Text) >= len(time.DateOnly) {
		d.until = run.At.Text[:len(time.DateOnly)]
	}
	from, err := time.Parse(time.DateOnly, i.Calibrated.Text)
	if err != nil {
		d.lacks = fmt.Sprintf("the drift of %s is not counted: bench.toml doesn't say when it was calibrated", i.ID)
		return d
	}
	to, err := time.Parse(time.DateOnly, d.until)
	if err != nil {
		d.lacks = fmt.Sprintf("the drift of %s is not counted: neither the run's day nor the end of the calibration is known", i.ID)
		return d
	}
	d.days = math.Abs(to.Sub(from).Hours() / 24)
	d.half = r.DriftPctYear.Value / 100 * math.Abs(x) * d.days / yearDays
	return d
}

// An influence is what the air's temperature does to an instrument outside its
// reference range (formula [formula.Tempco]).
type influence struct {
	outside float64 // by how much the air is outside, in kelvins
	half    float64 // half-width, in the reading's unit
	lacks   string  // why it can't be said
}

// influenceOf is a range's influence of temperature at a reading x. The air's
// temperature is taken as exact.
func influenceOf(run *record.Run, i *record.Instrument, r *record.Range, x float64) influence {
	if r.TempcoPctK.Value == 0 {
		return influence{}
	}
	if !run.AmbientC.Given() {
		return influence{lacks: fmt.Sprintf("what temperature does to %s is not counted: the run has no ambient_c", i.ID)}
	}
	t := run.AmbientC.Value
	outside := math.Max(0, math.Max(r.FromC.Value-t, t-r.ToC.Value))
	return influence{outside: outside, half: r.TempcoPctK.Value / 100 * math.Abs(x) * outside}
}

// A readout is one number of a run and where it was read.
type readout struct {
	*reader
	name    string // the key: out_v
	channel string // empty for readings of the whole run
	i       *record.Instrument
	r       *record.Range
	x       float64 // as shown
}

// own is a source that belongs to this reading: what readings of the instrument
// share of it is not known, and within a mean of repeats it is one error.
func (o *readout) own(k kind) quantity.Source {
	t := o.textOf(k)
	return quantity.Source{
		ID: o.id(t.head, o.at, t.tail), Name: t.name, Kind: "instrument", Group: t.group, Strand: t.strand, DoF: math.Inf(1),
	}
}

// shared is a source that all readings on the range have as one error.
func (o *readout) shared(kind, said, of string) *quantity.Source {
	as := sharedAs{o.r, kind, of}
	s := o.common[as]
	if s == nil {
		s = &quantity.Source{
			ID:    o.rangeName() + "/" + kind + of,
			Name:  saidOf[o.name] + ", " + said + " (" + o.i.Name + ")",
			Kind:  "instrument",
			Group: "instrument " + o.i.ID + " " + kind,
			DoF:   math.Inf(1),
		}
		o.common[as] = s
	}
	return s
}

// value is the reading with everything that is known of it.
func (o *readout) value(unit string) measured {
	c := correctionOf(o.r, o.x)
	var room [5]quantity.Cause
	causes := o.specified(room[:0])
	if o.r.Corrects() {
		causes = append(causes, quantity.Cause{U: c.u(), Source: *o.shared("correction", "correction", "")})
	}
	var lacks []string
	add := func(half float64, lack string, k kind) {
		if half != 0 {
			causes = append(causes, quantity.Cause{U: quantity.Rectangular(half), Source: o.own(k)})
		}
		if lack != "" {
			lacks = append(lacks, lack)
		}
	}
	d := driftOf(o.run, o.i, o.r, o.x)
	add(d.half, d.lacks, byDrift)
	t := influenceOf(o.run, o.i, o.r, o.x)
	add(t.half, t.lacks, byTemperature)
	return measured{o.room.Caused(o.x+c.adds, unit, causes...), lacks}
}

// specified appends what the specification says of the reading. Where its percent of
// reading is common, that part is one error for all readings on the range at that
// signal, and only the rest is the reading's own.
func (o *readout) specified(causes []quantity.Cause) []quantity.Cause {
	s, dof := specificationOf(o.r, o.x), freedomOf(o.r)
	own := o.own(bySpecification)
	if !math.IsInf(dof, 1) {
		own.DoF, own.Estimate = dof, o.rangeName()
	}
	common := o.r.ReadingPct.Value / 100 * o.x / s.divisor
	if !o.r.GainCommon || common == 0 {
		return append(causes, quantity.Cause{U: s.u(), Source: own})
	}
	own.Group, own.Name = "", o.textOf(bySpecification).ownPart
	gain := *o.shared("gain", "common gain", o.signalOf(o.name))
	gain.DoF, gain.Estimate = own.DoF, own.Estimate
	rest := math.Sqrt(math.Max(0, s.u()*s.u()-common*common))
	return append(causes, quantity.Cause{U: common, Source: gain}, quantity.Cause{U: rest, Source: own})
}

// statedCommon reports whether a source is stated to be one error in all readings
// on its range: a common gain, or a correction.
func statedCommon(s *quantity.Source) bool {
	return s.Group != "" && s.Kind == "instrument" && s.Strand == ""
}
