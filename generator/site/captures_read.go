package site

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"strconv"
	"strings"

	"wattsheet/generator/capture"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// A capturePlan is all that decides, beside a capture's bytes, what a run takes from it.
type capturePlan struct {
	begins    record.Place // where the record states the interval's ends
	ends      record.Place
	capture   *record.Capture
	table     bool
	as        string
	from, to  float64 // seconds; to is +Inf for the end
	freq      float64 // as stated
	limit     float64 // of distortion, as a number; 0 without
	low, high float64 // of the band; high 0: as far as it goes, to 20 kHz
	outs      []captureOut
	v, a      *record.CaptureChannel // of the supply; nil where not recorded
	in        *record.CaptureChannel // the unit's input, beside a response; else nil
}

// A captureOut is a driven channel and its column.
type captureOut struct {
	channel string
	column  *record.CaptureChannel
}

// The band of distortion and noise, where the method states none.
const usualLow, usualHigh = 20, 20000

// planOf makes the plan of a run; ok is false where the record's checks have found what
// it lacks.
func planOf(c *record.Content, r *record.Record, from *record.Capture, run *record.Run) (*capturePlan, bool) {
	m := c.Method(run.Method.ID)
	if m == nil {
		return nil, false
	}
	p := &capturePlan{begins: run.FromS.Place, ends: run.ToS.Place, capture: from, table: from.Table(), as: run.CaptureReadAs(m), from: run.FromS.Value, to: run.ToS.Or(math.Inf(1)),
		freq: m.FreqHz.Value, limit: m.ThdnPct.Value / 100, v: from.Of("supply_v"), a: from.Of("supply_a")}
	if run.FreqHz.Given() {
		p.freq = run.FreqHz.Value
	}
	p.low, p.high = m.LowHz.Or(math.Min(usualLow, p.freq/2)), m.HighHz.Value
	for _, name := range run.DrivenOf(&r.Unit) {
		if column := from.Out(name); column != nil {
			p.outs = append(p.outs, captureOut{name, column})
		}
	}
	sound := len(p.outs) > 0 && p.freq > 0 && p.to > p.from
	for _, ch := range p.columns() {
		sound = sound && ch.Scale.Value != 0 && ch.Column.Value >= 1 && ch.Column.Value == math.Trunc(ch.Column.Value)
	}
	if p.as == "steps" || p.as == "sweep" {
		sound = sound && p.limit > 0
	}
	return p, sound && (p.as == "bursts") == (m.Signal == "burst")
}

// columns are those that the plan reads.
func (p *capturePlan) columns() (all []*record.CaptureChannel) {
	for _, o := range p.outs {
		all = append(all, o.column)
	}
	for _, ch := range []*record.CaptureChannel{p.v, p.a, p.in} {
		if ch != nil {
			all = append(all, ch)
		}
	}
	return all
}

// text is the plan in words, all of it.
func (p *capturePlan) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%v as %s from %v to %v at %v limit %v band %v %v", p.tableHow(), p.as, p.from, p.to, p.freq, p.limit, p.low, p.high)
	for _, o := range p.outs {
		fmt.Fprintf(&b, " out %q", o.channel)
	}
	fmt.Fprintf(&b, " supply %t %t", p.v != nil, p.a != nil)
	for _, ch := range p.columns() {
		fmt.Fprintf(&b, " column %v %v %v", ch.Column.Value, ch.Scale.Value, ch.Offset.Value)
	}
	return b.String()
}

// tableHow is how a table of samples is written.
func (p *capturePlan) tableHow() capture.Table {
	c := p.capture
	t := capture.Table{Rate: c.RateHz.Value, TimeColumn: int(c.TimeColumn.Value), DecimalComma: c.DecimalComma, HeaderLines: int(c.HeaderLines.Value)}
	switch c.Separator {
	case "comma":
		t.Separator = ','
	case "semicolon":
		t.Separator = ';'
	case "tab":
		t.Separator = '\t'
	}
	return t
}

// An ofLength source is one whose length is known from a reading before.
type ofLength struct {
	capture.Source
	frames int64
}

func (c ofLength) Format() capture.Format {
	f := c.Source.Format()
	f.Frames = c.frames
	return f
}

// A captureReading reads one capture for one run, from the file's beginning each time.
type captureReading struct {
	*capturePlan
	loader *loader
	name   string
	frames int64 // of the whole capture
	taken  *record.Taken
}

// take reads what a run takes from a capture.
func (l *loader) take(name string, p *capturePlan) (*record.Taken, error) {
	r := &captureReading{capturePlan: p, loader: l, name: name, frames: -1, taken: &record.Taken{As: p.as, FromS: p.from}}
	if err := r.survey(); err != nil {
		return nil, err
	}
	for i, o := range p.outs {
		var err error
		switch p.as {
		case "steps", "sweep":
			err = r.levels(i, o)
		case "bursts":
			err = r.bursts(i, o)
		default:
			err = r.steady(i, o)
		}
		if err != nil {
			return nil, err
		}
	}
	if err := r.trace(); err != nil {
		return nil, err
	}
	toPublished(reflect.ValueOf(r.taken).Elem())
	return r.taken, nil
}

// toPublished rounds all numbers to as many digits as are published, so that what is
// evaluated is what stands in the data files.
func toPublished(v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		x, err := strconv.ParseFloat(strconv.FormatFloat(v.Float(), 'g', 12, 64), 64)
		if err == nil {
			v.SetFloat(x)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			toPublished(v.Field(i))
		}
	case reflect.Slice:
		for i := range v.Len() {
			toPublished(v.Index(i))
		}
	}
}

// open opens the capture at its beginning.
func (r *captureReading) open() (capture.Source, io.Closer, error) {
	f, err := r.loader.root.Open(r.name)
	if err != nil {
		return nil, nil, err
	}
	var s capture.Source
	if b := bufio.NewReaderSize(f, 1<<18); r.table {
		s, err = capture.ReadCSV(b, r.tableHow())
	} else {
		s, err = capture.ReadWAV(b)
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	if r.frames >= 0 {
		s = ofLength{s, r.frames}
	}
	return s, f, nil
}

// survey learns rate, columns and length, the last of a table by reading it, and settles
// the interval.
func (r *captureReading) survey() error {
	s, file, err := r.open()
	if err != nil {
		return &misplaced{r.capture.Key("file"), err}
	}
	defer file.Close()
	if w, is := s.(*capture.WAV); is {
		if info, err := r.loader.root.Stat(r.name); err == nil && w.Whole(info.Size()) != nil {
			return &misplaced{r.capture.Key("file"), w.Whole(info.Size())}
		}
	}
	f := s.Format()
	if f.Frames < 0 {
		if f.Frames, err = length(s); err != nil {
			return &misplaced{r.capture.Key("file"), err}
		}
	}
	r.frames = f.Frames
	t := r.taken
	t.RateHz, t.Frames, t.Columns = f.Rate, f.Frames, f.Names
	for _, ch := range r.columns() {
		if n := int(ch.Column.Value); n > len(f.Names) {
			return &misplaced{ch.Column.Place, &capture.Problem{Summary: fmt.Sprintf("it has no column of samples with the number %d: its last is %d", n, len(f.Names)),
				Hint: "count the columns of samples from 1, without that of the times", Offset: -1, Frame: -1}}
		}
	}
	seconds := float64(f.Frames) / f.Rate
	switch {
	case r.from >= seconds:
		return &misplaced{r.begins, &capture.Problem{Summary: fmt.Sprintf("it ends at %.6g s, before what is read of it begins", seconds), Hint: "state an interval that the capture holds", Offset: -1, Frame: f.Frames}}
	case !math.IsInf(r.to, 1) && math.Round(r.to*f.Rate) > float64(f.Frames):
		return &misplaced{r.ends, &capture.Problem{Summary: fmt.Sprintf("it ends at %.6g s, before what is read of it does", seconds), Hint: "state an interval that the capture holds", Offset: -1, Frame: f.Frames}}
	}
	t.ToS = math.Min(r.to, seconds)
	if r.as == "bursts" {
		return nil
	}
	t.LowHz, t.HighHz = r.low, r.high
	if t.HighHz == 0 {
		t.HighHz = math.Min(usualHigh, f.Rate/2)
	}
	if low, high := t.LowHz, t.HighHz; r.freq > 0 && (r.freq < low || r.freq > high) {
		return &capture.Problem{Summary: fmt.Sprintf("a tone of %g Hz lies outside the band of distortion and noise, %g Hz to %g Hz", r.freq, low, high),
			Hint: "low_hz and high_hz of the method are that band, freq_hz of the run or the method is the tone's", Offset: -1, Frame: -1}
	}
	return nil
}

// length reads a source to its end and counts its frames.
func length(s capture.Source) (n int64, err error) {
	part := make([][]float64, len(s.Format().Names))
	for i := range part {
		part[i] = make([]float64, 1<<12)
	}
	for {
		got, err := s.Read(part)
		n += int64(got)
		if errors.Is(err, io.EOF) {
			return n, nil
		} else if err != nil {
			return n, err
		}
	}
}

// channel is a column as the capture's arithmetic takes it: the errors of its scale are
// added later, by name.
func channel(ch *record.CaptureChannel, unit string) capture.Channel {
	return capture.Channel{Index: int(ch.Column.Value) - 1, Scale: capture.Scale{Name: ch.Column.Text, Unit: unit, Gain: ch.Scale.Value, Offset: ch.Offset.Value}}
}

// wiring is what the columns hold, for a channel into a load of 1 Ω: powers are then
// volts², and the load comes later. Of a supply that was recorded in part, the other
// channel is a stand-in whose figures aren't taken.
func (r *captureReading) wiring(o captureOut) capture.Wiring {
	w := capture.Wiring{Capture: r.capture.ID, Recorder: r.capture.Recorder.ID, Out: channel(o.column, "V"), Load: quantity.Exact(1, "Ω")}
	v, a := r.v, r.a
	if v == nil {
		v = a
	}
	if a == nil {
		a = v
	}
	if v != nil {
		volts, amperes := channel(v, "V"), channel(a, "A")
		w.SupplyV, w.SupplyA = &volts, &amperes
	}
	return w
}

// interval opens the capture where the run begins.
func (r *captureReading) interval() (capture.Source, io.Closer, error) {
	s, file, err := r.open()
	if err != nil {
		return nil, nil, err
	}
	part, err := capture.Between(s, r.from, r.to)
	if err != nil {
		file.Close()
		return nil, nil, err
	}
	return part, file, nil
}

func (r *captureReading) tone() capture.Tone {
	return capture.Tone{Low: r.taken.LowHz, High: r.taken.HighHz}
}

// meanOf is a figure of the capture's arithmetic whose only error is its spread.
func meanOf(v quantity.Value, n int) record.Mean {
	m := record.Mean{X: v.X, N: n}
	if len(v.Parts) == 1 {
		m.U, m.DoF = math.Abs(v.Parts[0].C), v.Parts[0].Source.DoF
	}
	return m.Finite()
}

// rootOf is the root of such a figure: of volts², volts.
func rootOf(v quantity.Value, n int) record.Mean {
	m := meanOf(v, n)
	m.X = math.Sqrt(m.X)
	m.U /= 2 * m.X
	return m
}
