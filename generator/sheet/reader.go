package sheet

import (
	"fmt"
	"math"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// A reader reads the numbers of a record's runs, one run after the other. What causes
// of error are called is written once for all runs. It is for one goroutine.
type reader struct {
	*evaluator
	run *record.Run // the one being read
	at  string      // its id as [evaluator.unique] makes it

	texts    []*readText
	signals  []signalText
	ranges   map[*record.Range]string
	common   map[sharedAs]*quantity.Source
	elements map[*record.Load]*element
	pools    map[*record.Method]poolText

	room    quantity.Room
	figures []Figure        // room for the next ones
	ids     strings.Builder // where the ids of sources that belong to one run stand
}

func (e *evaluator) reader() *reader {
	return &reader{
		evaluator: e, ranges: map[*record.Range]string{}, common: map[sharedAs]*quantity.Source{},
		elements: map[*record.Load]*element{}, pools: map[*record.Method]poolText{},
	}
}

// figure is [figure] where its reader has room.
func (d *reader) figure(name, symbol, formulaID string, m measured) *Figure {
	if len(d.figures) == 0 {
		d.figures = make([]Figure, 16)
	}
	f := &d.figures[0]
	d.figures = d.figures[1:]
	return f.of(name, symbol, formulaID, m, &d.room)
}

// id joins the pieces of a source's id.
func (d *reader) id(pieces ...string) string {
	n := 0
	for _, p := range pieces {
		n += len(p)
	}
	if d.ids.Cap()-d.ids.Len() < n {
		size := min(max(256, 2*d.ids.Cap()), 4096)
		d.ids.Reset() // what stood there stays with whom it was given to
		d.ids.Grow(max(n, size))
	}
	from := d.ids.Len()
	for _, p := range pieces {
		d.ids.WriteString(p)
	}
	return d.ids.String()[from:]
}

// of turns to a run.
func (d *reader) of(run *record.Run) *reader {
	d.run, d.at = run, d.unique(run.ID)
	return d
}

// reading is [evaluator.reading] of the reader's run.
func (d *reader) reading(name string, n record.Number, channel string) measured {
	unit := unitOf[name]
	i := d.run.InstrumentFor(name, d.content.Bench)
	if i == nil {
		return measured{quantity.Exact(n.Value, unit), []string{"no instrument is named for " + name}}
	}
	r := i.RangeFor(name, n.Value)
	if r == nil {
		return measured{quantity.Exact(n.Value, unit), []string{fmt.Sprintf("%s has no range that holds the reading of %s", i.ID, name)}}
	}
	return (&readout{d, name, channel, i, r, n.Value}).value(unit)
}

// A readText is what causes of error of readings of one name are called.
type readText struct {
	i             *record.Instrument
	name, channel string
	kinds         [3]*causeText // by [kind.number]
}

// A causeText is what a reading's own cause of error is called.
type causeText struct {
	head, tail          string // of its ID, around the run's
	name, group, strand string
	ownPart             string // its name where the rest is common
}

// A kind of error that belongs to a reading. Kinds are independent.
type kind struct {
	number   int
	id, said string
}

var (
	bySpecification = kind{}
	byDrift         = kind{1, " drift", ", drift since calibration"}
	byTemperature   = kind{2, " temperature", ", temperature of the air"}
)

// textsOf is what a reading's causes of error are called.
func (o *readout) textsOf() *readText {
	for _, t := range o.texts {
		if t.i == o.i && t.name == o.name && t.channel == o.channel {
			return t
		}
	}
	t := &readText{i: o.i, name: o.name, channel: o.channel}
	o.texts = append(o.texts, t)
	return t
}

// textOf is what a reading's own cause of error is called.
func (o *readout) textOf(k kind) *causeText {
	all := o.textsOf()
	if t := all.kinds[k.number]; t != nil {
		return t
	}
	said := saidOf[o.name]
	t := &causeText{
		head: o.i.ID + "/" + o.name + k.id + "@", name: said + k.said + " (" + o.i.Name + ")",
		group: "instrument " + o.i.ID + k.id, strand: o.unique(o.i.ID + "/" + o.name + "/" + o.channel + k.id),
		ownPart: said + ", own part (" + o.i.Name + ")",
	}
	if o.channel != "" {
		t.tail = "." + o.channel
	}
	all.kinds[k.number] = t
	return t
}

// A sharedAs is what tells a cause of error from others that all readings on a range
// have as one.
type sharedAs struct {
	r        *record.Range
	kind, of string
}

// rangeName names a range among all.
func (o *readout) rangeName() string {
	name, known := o.ranges[o.r]
	if !known {
		name = o.i.ID + "/" + o.name + " to " + quantity.Float(o.r.To.Value)
		o.ranges[o.r] = name
	}
	return name
}

// An element is a load element with its lead.
type element struct {
	r0, alpha, rise, lead quantity.Value
	// What it is where no run says how warm it was; nil until asked for.
	usual      *circuit
	resistance *Figure
}

// elementOf is a load element. What it is wrong by is the same in every run; what
// elements of one calibration share is not known, for each kind of error on its own.
func (d *reader) elementOf(l *record.Load) *element {
	x, known := d.elements[l]
	if known {
		return x
	}
	of := func(x float64, unit string, u float64, kind, name string) quantity.Value {
		return d.room.New(x, unit, u, quantity.Source{
			ID: "load " + l.ID + "/" + kind, Name: "load " + l.ID + ": " + name, Kind: "load",
			Group: "loads " + l.Calibration + "/" + kind, DoF: math.Inf(1),
		})
	}
	x = &element{
		r0:    of(l.Ohm.Value, "Ω", resistanceU(l), "resistance", "resistance"),
		alpha: of(l.TempcoPPM.Value*1e-6, "1/K", quantity.Rectangular(l.TempcoPMPPM.Value*1e-6), "tempco", "temperature coefficient"),
		rise:  of(l.HotC.Or(l.AtC.Value)-l.AtC.Value, "K", quantity.Rectangular(l.HotPMC.Value), "temperature", "temperature in use"),
		lead:  of(l.LeadOhm.Value, "Ω", quantity.Rectangular(l.LeadPct.Value/100*l.LeadOhm.Value), "lead", "lead"),
	}
	d.elements[l] = x
	return x
}

// A poolText is what the repeatability and the ripple of a method's runs are called.
type poolText struct{ head, name, estimate, ripple, ripples string }

func (d *reader) poolText(m *record.Method) poolText {
	t, known := d.pools[m]
	if !known {
		t = poolText{"pool " + m.ID + "@", "repeatability, " + m.Title, "pool " + m.ID, "ripple " + m.ID + "@", "ripple " + m.ID}
		d.pools[m] = t
	}
	return t
}

// repeatability is a factor of 1 with the method's pool as its uncertainty:
// independent between runs, not known between the channels of a run.
func (d *reader) repeatability(m *record.Method, channel string) measured {
	if !m.Pool.RelPct.Given() {
		return measured{quantity.Exact(1, ""), []string{"the method has no pool: its repeatability is not known"}}
	}
	t := d.poolText(m)
	id := d.id(t.head, d.at, ".", channel)
	group := id[:len(id)-len(channel)-len(".")]
	return measured{Value: d.room.New(1, "", m.Pool.RelPct.Value/100, quantity.Source{
		ID: id, Name: t.name, Kind: "pool", Group: group, Estimate: t.estimate, DoF: m.Pool.DoF.Value,
	})}
}

// ripple is a factor of 1 with the uncertainty of taking volts times amperes for
// the mean power.
func (d *reader) ripple(m *record.Method) measured {
	t := d.poolText(m)
	return measured{Value: d.room.New(1, "", quantity.Rectangular(m.SupplyRipplePct.Value/100), quantity.Source{
		ID: d.id(t.ripple, d.at), Name: "ripple and sag of the supply", Kind: "supply", Group: t.ripples, DoF: math.Inf(1),
	})}
}

// signalOf names the signal that a quantity's gain belongs to: an instrument's
// gain is common only to readings of one signal. Supply and temperature are
// steady.
func (d *reader) signalOf(name string) string {
	if name != "power_w" && name != "out_v" && name != "thdn_pct" {
		return ""
	}
	as := signalText{signal: "continuous", freqHz: d.freqOf(d.run)}
	if m := d.content.Method(d.run.Method.ID); m != nil {
		as.signal = m.Signal
	}
	for _, t := range d.signals {
		if t.signal == as.signal && t.freqHz == as.freqHz {
			return t.text
		}
	}
	as.text = ", " + as.signal + " at " + quantity.Float(as.freqHz) + " Hz"
	d.signals = append(d.signals, as)
	return as.text
}

// A signalText is how [reader.signalOf] names a signal.
type signalText struct {
	signal string
	freqHz float64
	text   string
}
