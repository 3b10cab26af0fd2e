package datafile

import (
	"slices"
	"strings"
	"sync"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// causes collects the causes of error that figures name. Of those with one id the one
// named last counts. It also has the room for what a sheet has hundreds and thousands of.
type causes struct {
	at         map[*quantity.Source]int // where a cause stands among those seen
	ids        map[string]int           // the same by its id
	seen       []seenCause
	quoted     []byte // their ids, as JSON has them
	figures    room[madeFigure]
	components room[dataComponent]
}

// A seenCause is a cause, and its id as JSON has it.
type seenCause struct {
	*quantity.Source
	quoted []byte
}

// A madeFigure is a figure in one piece with the numbers that it points to.
type madeFigure struct {
	Figure
	std, k, expanded, dof number
}

// causeDesks are causes whose room is used again, once the data made with them is written.
var causeDesks = sync.Pool{New: func() any { return &causes{at: map[*quantity.Source]int{}, ids: map[string]int{}} }}

// clear forgets all that was collected: what was made of it stands no more.
func (k *causes) clear() {
	clear(k.at)
	clear(k.ids)
	clear(k.seen)
	k.seen, k.quoted = k.seen[:0], k.quoted[:0]
	k.figures.clear()
	k.components.clear()
	causeDesks.Put(k)
}

// list gives the causes by id.
func (k *causes) list() []dataCause {
	slices.SortFunc(k.seen, func(a, b seenCause) int { return strings.Compare(a.ID, b.ID) })
	out, room := make([]dataCause, len(k.seen)), make([][2]number, len(k.seen))
	for i, s := range k.seen {
		out[i] = dataCause{
			ID: s.ID, Name: s.Name, Kind: s.Kind, Group: s.Group, Estimate: s.Estimate, Strand: s.Strand, DoF: room[i][0].finite(s.DoF),
		}
		if s.U > 0 {
			out[i].U, out[i].Unit = room[i][1].finite(s.U), s.Unit
		}
	}
	return out
}

// name notes that a figure names a cause, and gives its id as JSON has it.
func (k *causes) name(s *quantity.Source) (quoted []byte) {
	i, seen := k.at[s]
	if !seen {
		if i, seen = k.ids[s.ID]; !seen {
			i = len(k.seen)
			from := len(k.quoted)
			k.quoted = AppendQuoted(k.quoted, s.ID)
			k.ids[s.ID], k.seen = i, append(k.seen, seenCause{quoted: k.quoted[from:]})
		}
		k.at[s] = i
	}
	k.seen[i].Source = s
	return k.seen[i].quoted
}

// figure is a figure as the file has it; its causes are noted.
func (k *causes) figure(f *sheet.Figure) *Figure {
	if f == nil {
		return nil
	}
	made := &k.figures.take(1)[0]
	d := &made.Figure
	d.Value, d.Unit, d.Text, d.Formula, d.Incomplete = number(f.X), f.Unit, f.Text, f.Formula, f.Incomplete
	if f.U > 0 {
		d.U, d.K = made.std.finite(f.Std), made.k.finite(f.K)
		d.Expanded, d.DoF = made.expanded.finite(f.U), made.dof.finite(f.DoF)
	}
	if len(f.Lines) == 0 {
		return d
	}
	d.Components = k.components.take(len(f.Lines))
	for i, l := range f.Lines {
		d.Components[i] = dataComponent{Source: l.Source.ID, Contribution: number(l.C), Sharing: l.Sharing.String(), quoted: k.name(l.Source)}
	}
	return d
}

// A room is memory for values that are made one after the other and let go together.
type room[T any] struct {
	pieces   [][]T
	at, used int // the piece at hand, and how many of it are taken
}

// pieceSize is how many values a piece is for, if no more are asked for at once.
const pieceSize = 512

// take gives the next n, all zero.
func (r *room[T]) take(n int) []T {
	for ; r.at < len(r.pieces); r.at, r.used = r.at+1, 0 {
		if piece := r.pieces[r.at]; r.used+n <= len(piece) {
			r.used += n
			return piece[r.used-n : r.used : r.used]
		}
	}
	r.pieces = append(r.pieces, make([]T, max(n, pieceSize)))
	return r.take(n)
}

// clear takes all of it back.
func (r *room[T]) clear() {
	for _, piece := range r.pieces[:min(r.at+1, len(r.pieces))] {
		clear(piece)
	}
	r.at, r.used = 0, 0
}

func (k *causes) claim(c *sheet.Claim) Claim {
	d := Claim{
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

func (k *causes) run(r *sheet.Run, bench *record.Bench) Run {
	rec := r.Rec
	d := Run{
		ID: r.ID, At: rec.At.Text, Method: rec.Method.ID, Valid: r.Valid, Invalid: rec.Invalid,
		Outcome: rec.Outcome, Bridged: r.Bridged, NominalOhm: number(r.Nominal),
		AmbientC: given(rec.AmbientC), WarmUpMin: given(rec.WarmUpMin), LastedS: given(rec.LastedS),
		Remarks: rec.Remarks, Cautions: r.Cautions, Readings: dataOfReadings(r, bench), Read: k.read(r), Channels: make([]dataChannel, 0, len(r.Channels)),
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
