package site

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/theme"
)

// The index is the list of all units for scripts: those of the site, which search, filter
// and sort it or choose units from it, and those of who re-uses it. It is in data/list.js
// and its parts, as classic scripts, for pages that were opened from a disk can read
// nothing else. script/list.js of the theme reads it, as objects.
//
// data/list.js sets wattsheet.list to an [indexHead]. Each file that it names in Parts adds
// an array to wattsheet.parts, under the digest that Parts gives: [indexPerPart] units, each
// an array of what [indexRow] says. A part of another build, from a cache, is so noticed. Texts that many units share stand in the head's tables, and in the
// rows are numbers: positions in the table, from 0.
const (
	dataFolder   = "data"
	indexName    = dataFolder + "/list.js"
	indexPerPart = 1000
)

// indexFormat is the number of the format that the types below are. A changed meaning is a
// new number.
const indexFormat = 1

// An indexHead is what the units of the index share.
type indexHead struct {
	Format   int    `json:"format"`
	Count    int    `json:"count"`    // units
	Currency string `json:"currency"` // of all prices
	// Parts are the files beside data/list.js, in the order of the units: name and digest.
	Parts [][2]string `json:"parts"`
	// Tables. Verdicts are pairs of the verdict (met, short, open, untested, incomparable) and
	// how pages print it; loads are in ohms, negative for bridged; methods are pairs of id and
	// title, the site's first one first.
	Makers   []string    `json:"makers"`
	Kinds    []string    `json:"kinds"`
	Classes  []string    `json:"classes"`
	Labels   []string    `json:"labels"`
	Verdicts [][2]string `json:"verdicts"`
	Loads    []float64   `json:"loads"`
	Methods  [][2]string `json:"methods"`
	Lacks    []string    `json:"lacks"` // what an uncertainty lacks, in sentences
	Formulas []string    `json:"formulas"`
}

// An indexRow is one unit, as an array of these fields in this order; empty ones at its end
// are left out. An amount is "value", "value|U", either with a question mark behind it where
// the uncertainty is incomplete, or 0 where there is none.
type indexRow struct {
	Slug       string
	Maker      int // in the table of makers; the unit's name is maker, blank, model
	Model      string
	Kind       int     // in the table of kinds
	Class      int     // in the table of classes
	Year       string  // model year
	Tested     string  // the day of the last run: YYYY-MM-DD
	Price      string  // as people read it, without the currency
	PriceIs    float64 // the same as a number
	Counts     []int   // claims by verdict: position in the table of verdicts and how many, and so on
	Lacks      int     // 1 + its position in the table; 0 where nothing is lacking
	Power      any     // the largest total power of a completed run by the site's first method, in W
	At         string  // the load of that run, for people
	PerMoney   any     // that power by the price, in W for each unit of the currency
	Efficiency any     // in that run, in percent
	// Points are what it was tested with: position in the table of loads, position in that of
	// methods, total power in W, efficiency in percent; and so on.
	Points []any
	Claim  []any // the leading claim, see indexClaim; empty without claims
}

// indexClaim gives the claim that stands for a unit, as an array: its id; position of its
// label; position of its verdict; claimed power in W a channel, as the maker prints it;
// what its line is labelled with beside it, where the limit isn't the claim; mean power of
// the deciding channel in W, as an amount, or 0; 1 + position of the mean's formula, or 0;
// a text in the figure's place, or ""; 1 where the uncertainty behind the verdict is
// incomplete, else 0; and where the strokes of its line are, in hundredths of a percent of
// the line's width, on the scale that all lines of the list share:
//
//	[limit, off, ring, whisker from, to, ticks at its ends, bar from, width, open ends, from, to]
//
// off is −1 or 1 where the mean lies beyond the scale to the left or right; ticks and open
// ends are 1 for the lower one and 2 for the upper one, together 3. Numbers that are of no
// use are left out from the end; a whisker or bar that isn't there has −1.
func (x *index) claim(l *leading, low, high int) []any {
	if l == nil {
		return nil
	}
	c := l.claim()
	out := []any{l.ID, x.labels.of(l.Label), x.verdicts.of(string(l.Verdict) + "\n" + l.Word), l.PowerText, charts.ClaimLimitText(c), 0, 0, l.Brief, 0, nil}
	if m := l.Mean; m != nil {
		out[5], out[6] = (&amount{Value: m.ValueText, U: m.UText}).packed(), 1+x.formulas.of(m.Formula)
	}
	if l.Lacks != nil {
		out[8] = 1
	}
	out[9] = places(c, low, high)
	return out
}

// places are where the strokes of a claim's line are.
func places(c *sheet.Claim, low, high int) []int {
	at, drawn, ok := charts.PlaceClaim(c, low, high)
	whole := func(x float64) int { return int(math.Round(x * 100)) }
	both := func(lower, upper bool) (n int) {
		if lower {
			n = 1
		}
		if upper {
			n += 2
		}
		return n
	}
	switch {
	case !ok:
		return []int{}
	case !drawn:
		return []int{whole(at.Limit)}
	case at.Off != 0 && !at.OpenLow && !at.OpenHigh:
		return []int{whole(at.Limit), at.Off}
	case at.Off != 0:
		return []int{whole(at.Limit), at.Off, 0, -1, -1, 0, -1, -1, both(at.OpenLow, at.OpenHigh)}
	}
	out := []int{whole(at.Limit), 0, whole(at.Ring), -1, -1, 0, -1, -1, both(at.OpenLow, at.OpenHigh), whole(at.OpenFrom), whole(at.OpenTo)}
	if at.HasWhisker {
		out[3], out[4], out[5] = whole(at.WhiskerFrom), whole(at.WhiskerTo), both(at.TickFrom, at.TickTo)
	}
	if at.HasBar {
		out[6], out[7] = whole(at.BarFrom), whole(at.BarWidth)
	}
	if out[8] == 0 {
		out = out[:8]
	}
	return out
}

// packed writes an amount as the index has it.
func (a *amount) packed() any {
	if a == nil {
		return 0
	}
	text := a.Value
	if a.U != "" {
		text += "|" + a.U
	}
	if a.Lacks {
		text += "?"
	}
	return text
}

// A table gives texts numbers, in the order in which they come.
type indexTable struct {
	texts []string
	at    map[string]int
}

func (t *indexTable) of(text string) int {
	if t.at == nil {
		t.at = map[string]int{}
	}
	n, known := t.at[text]
	if !known {
		n = len(t.texts)
		t.at[text], t.texts = n, append(t.texts, text)
	}
	return n
}

// pairs are the texts, each split where its line ends.
func (t *indexTable) pairs() [][2]string {
	out := make([][2]string, len(t.texts))
	for i, text := range t.texts {
		out[i][0], out[i][1], _ = strings.Cut(text, "\n")
	}
	return out
}

// An index is being made.
type index struct {
	makers, kinds, classes, labels, verdicts, methods, lacks, formulas indexTable
	loads                                                              indexTable
}

// row adds a unit.
func (x *index) row(of *brief, low, high int) indexRow {
	l := &of.Row.List
	out := indexRow{
		Slug: of.Row.Slug, Maker: x.makers.of(l.Maker), Model: l.Model, Kind: x.kinds.of(l.Kind), Class: x.classes.of(l.Class),
		Year: l.Year, Tested: of.Row.Tested.ISO, Price: l.Price, PriceIs: float64(l.PriceIs), Counts: []int{},
		Power: l.Power.packed(), At: l.At, PerMoney: l.PerMoney.packed(), Efficiency: l.Efficiency.packed(), Points: []any{},
		Claim: x.claim(of.Leading, low, high),
	}
	for _, c := range l.Counts {
		out.Counts = append(out.Counts, x.verdicts.of(string(c.Verdict)+"\n"+c.Word), c.N)
	}
	if of.Row.Lacks != "" {
		out.Lacks = 1 + x.lacks.of(of.Row.Lacks)
	}
	for _, p := range l.Points {
		load := x.loads.of(strconv.FormatFloat(p.signed(), 'g', -1, 64))
		out.Points = append(out.Points, load, x.methods.of(p.Method), p.Total.packed(), p.Efficiency.packed())
	}
	return out
}

// MarshalJSON writes the fields as an array.
func (r indexRow) MarshalJSON() ([]byte, error) {
	all := []any{r.Slug, r.Maker, r.Model, r.Kind, r.Class, r.Year, r.Tested, r.Price, r.PriceIs, r.Counts, r.Lacks, r.Power, r.At, r.PerMoney, r.Efficiency, r.Points, r.Claim}
	if len(r.Claim) == 0 {
		all = all[:len(all)-1]
	}
	return json.Marshal(all)
}

// indexOutputs makes the index of all units, in the order of the list.
func indexOutputs(units []*brief, c *record.Content) []Output {
	units = byDate(units)
	low, high := listScale(units)
	x := &index{}
	for i := range c.Methods.Methods {
		x.methods.of(c.Methods.Methods[i].ID)
	}
	head := indexHead{Format: indexFormat, Count: len(units), Currency: c.Site.Currency, Parts: [][2]string{}}
	var outputs []Output
	for some := range slices.Chunk(units, indexPerPart) {
		rows := make([]indexRow, len(some))
		for i, of := range some {
			rows[i] = x.row(of, low, high)
		}
		name, text := "list-"+strconv.Itoa(len(outputs)+1)+".js", inLines(rows)
		digest := theme.ShortDigest(text)
		head.Parts = append(head.Parts, [2]string{name, digest})
		outputs = append(outputs, Output{Path: dataFolder + "/" + name, Bytes: fmt.Appendf(nil,
			"window.wattsheet = window.wattsheet || {};\n(wattsheet.parts = wattsheet.parts || {})[%q] = %s;\n", digest, text)})
	}
	head.Makers, head.Kinds, head.Classes = x.makers.all(), x.kinds.all(), x.classes.all()
	head.Labels, head.Lacks, head.Formulas = x.labels.all(), x.lacks.all(), x.formulas.all()
	head.Verdicts, head.Loads, head.Methods = x.verdicts.pairs(), []float64{}, [][2]string{}
	for _, text := range x.loads.texts {
		ohm, _ := strconv.ParseFloat(text, 64)
		head.Loads = append(head.Loads, ohm)
	}
	for _, id := range x.methods.texts {
		title := id
		if m := c.Method(id); m != nil {
			title = m.Title
		}
		head.Methods = append(head.Methods, [2]string{id, title})
	}
	text := fmt.Appendf(nil, "window.wattsheet = window.wattsheet || {};\nwattsheet.list = %s;\n", asJSON(head))
	return append(outputs, Output{Path: indexName, Bytes: text})
}

// all are the texts; none is an empty list.
func (t *indexTable) all() []string { return append([]string{}, t.texts...) }

// inLines writes rows as JSON, each on a line of its own.
func inLines(rows []indexRow) []byte {
	var b bytes.Buffer
	for i, r := range rows {
		b.WriteString(map[bool]string{true: "[\n", false: ",\n"}[i == 0])
		b.Write(asJSON(r))
	}
	b.WriteString("\n]")
	return b.Bytes()
}

// asJSON writes texts and finite numbers, which always can be written. No < and no line
// separator stands in it as it is, so that it is safe in a script.
func asJSON(v any) []byte {
	data, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return data
}
