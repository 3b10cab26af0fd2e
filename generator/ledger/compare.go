package ledger

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/quantity"
)

// A Change is one sealed result that is another now, or gone.
type Change struct {
	Of       string // run r1 / channel L / power
	Was, Now string // for people; Now is "gone" where it is no result any more
	// Why is what it rests on that changed, in words: "the readings of run r1 were
	// edited". It is never empty.
	Why []string
	// Verdict is true where another word is the verdict.
	Verdict bool
}

// Head is what the changed result is one of: run r1, claim 4-ohm.
func (c Change) Head() string { return headOf(c.Of) }

// nbsp is the no-break space between a number and its unit.
const nbsp = "\u00a0"

// gone is what stands for a result that is no more.
const gone = "gone"

// Compare lists the sealed results that changed or vanished, as the entry has them:
// first verdicts, then figures, then what was read and stated.
func Compare(was *Entry, now *State) []Change {
	d := &difference{was: &was.State, now: now}
	d.find()
	for _, v := range was.Verdicts {
		i := slices.IndexFunc(now.Verdicts, func(w Verdict) bool { return w.Of == v.Of })
		switch {
		case i < 0:
			d.add(v.Of, verdictText(v, v), gone, true)
		case !sameVerdict(v, now.Verdicts[i]):
			w := now.Verdicts[i]
			d.add(v.Of, verdictText(v, w), verdictText(w, v), v.Verdict != w.Verdict)
		}
	}
	figures := figuresOf(now)
	for i, f := range was.Figures {
		switch g, there := figures(i, f.Of); {
		case !there:
			d.add(f.Of, figureText(f, f), gone, false)
		case !sameFigure(f, g):
			d.add(f.Of, figureText(f, g), figureText(g, f), false)
		}
	}
	d.stated()
	d.unsaid()
	return d.changes
}

// figuresOf finds a state's figures by their paths: mostly the i-th is meant.
func figuresOf(s *State) func(i int, of string) (Figure, bool) {
	var byPath map[string]Figure
	return func(i int, of string) (Figure, bool) {
		if i < len(s.Figures) && s.Figures[i].Of == of {
			return s.Figures[i], true
		}
		if byPath == nil {
			byPath = make(map[string]Figure, len(s.Figures))
			for _, f := range s.Figures {
				byPath[f.Of] = f
			}
		}
		f, there := byPath[of]
		return f, there
	}
}

// sameResults reports whether two states have the same results in the same order,
// whatever they are.
func sameResults(a, b *State) bool {
	return slices.EqualFunc(a.Figures, b.Figures, func(f, g Figure) bool { return f.Of == g.Of }) &&
		slices.EqualFunc(a.Verdicts, b.Verdicts, func(v, w Verdict) bool { return v.Of == w.Of }) &&
		slices.EqualFunc(a.RestsOn, b.RestsOn, func(x, y Basis) bool { return x.What == y.What })
}

// Unsealed lists the heads of the results that the entry doesn't have: run r9.
func Unsealed(was *Entry, now *State) []string {
	if sameResults(&was.State, now) {
		return nil
	}
	sealed := map[string]bool{}
	for _, f := range was.Figures {
		sealed[f.Of] = true
	}
	for _, v := range was.Verdicts {
		sealed[v.Of] = true
	}
	for _, b := range was.RestsOn {
		sealed[b.What] = true
	}
	var out []string
	add := func(path string) {
		if head := headOf(path); !sealed[path] && !slices.Contains(out, head) {
			out = append(out, head)
		}
	}
	for _, b := range now.RestsOn {
		_, published := publishedAs(b.What)
		if s, is := spokenOf(b.What); is && !sealed[b.What] {
			add(s.path)
		} else if published {
			add(b.What)
		}
	}
	for _, v := range now.Verdicts {
		add(v.Of)
	}
	for _, f := range now.Figures {
		add(f.Of)
	}
	return out
}

// A difference is what changed between two states.
type difference struct {
	was, now *State
	causes   []cause
	changes  []Change
}

func (d *difference) add(of, was, now string, verdict bool) {
	d.changes = append(d.changes, Change{Of: of, Was: was, Now: now, Verdict: verdict, Why: d.why(of)})
}

// publishedAs says what of a record is published beside the results, and so is
// sealed by itself.
func publishedAs(what string) (path string, is bool) {
	switch kind, _, _ := strings.Cut(what, " "); kind {
	case "run", "temperature":
		return what + sep + "readings", true
	case "claim":
		return what + sep + "as stated", true
	case "spec":
		return what + sep + "as stated and measured", true
	}
	return "", false
}

// stated adds the runs, claims and so on that were edited, marked or taken out.
func (d *difference) stated() {
	now := d.now.basis()
	for _, b := range d.was.RestsOn {
		path, is := publishedAs(b.What)
		if !is {
			continue
		}
		switch other, there := now[b.What]; {
		case !there:
			d.add(path, "as sealed", gone, false)
		case b.Digest != other.Digest:
			d.add(path, "as sealed", "edited", false)
		case b.Invalid != other.Invalid:
			d.add(path, validity(b), validity(other), false)
		}
	}
}

func validity(b Basis) string {
	if b.Invalid {
		return "invalid"
	}
	return "valid"
}

// basis gives what a state rests on by its name.
func (s *State) basis() map[string]Basis {
	m := make(map[string]Basis, len(s.RestsOn))
	for _, b := range s.RestsOn {
		m[b.What] = b
	}
	return m
}

// near is the relative difference below which results are the same although the
// twelfth digit isn't: what is left of terms that cancel, or the end of an
// iteration, differs between processors. It is far below any digit that is shown.
const near = 1e-9

func within(x, y, of float64) bool { return quantity.Agree(x, y) || math.Abs(x-y) <= near*math.Abs(of) }

func sameFigure(f, g Figure) bool {
	return f.Unit == g.Unit && f.Formula == g.Formula && within(f.X, g.X, f.U) && within(f.U, g.U, f.U)
}

func sameVerdict(v, w Verdict) bool {
	if v.Verdict != w.Verdict || v.Reason != w.Reason || len(v.P) != len(w.P) || v.FlipTo != w.FlipTo || v.ScaleTo != w.ScaleTo {
		return false
	}
	for i := range v.P {
		if !within(v.P[i], w.P[i], 1) {
			return false
		}
	}
	return within(v.FlipW, w.FlipW, v.FlipW) && within(v.Scale, w.Scale, v.Scale)
}

// figureText is a figure for people; with its formula or as many more digits as tell it
// from the other, where rounding makes the two look the same.
func figureText(f, other Figure) string {
	text := roundedFigure(f)
	switch {
	case f == other || text != roundedFigure(other):
	case f.Formula != other.Formula:
		text += " by " + f.Formula
	default:
		return finerFigure(f, other)
	}
	return text
}

// finerFigure is a figure with as few more decimals than it is shown with as tell it from
// the other; with all its digits where that takes more than nine.
func finerFigure(f, other Figure) string {
	const most = 9
	for more := 1; f.U > 0 && more <= most; more++ {
		if text := finer(f, more); text != finer(other, more) {
			return text
		}
	}
	return withUnit(quantity.Float(f.X), quantity.Float(f.U), f)
}

// finer is a figure with so many more decimals than its uncertainty is shown with.
func finer(f Figure, more int) string {
	_, decimals := quantity.RoundUncertainty(f.U)
	decimals = max(decimals+more, 0)
	x := quantity.Fixed(f.X, decimals)
	if digits, below := strings.CutPrefix(x, "-"); below {
		x = "−" + digits
	}
	return withUnit(x, quantity.Fixed(f.U, decimals), f)
}

func roundedFigure(f Figure) string {
	x, u := quantity.Pair(f.X, f.U)
	return withUnit(x, u, f)
}

func withUnit(x, u string, f Figure) string {
	if f.U != 0 {
		x = "(" + x + " ± " + u + ")"
	}
	if f.Unit != "" {
		x += nbsp + f.Unit
	}
	return x
}

// verdictText is a verdict for people, with as much of its reason, probability and
// flip as tells it from the other.
func verdictText(v, other Verdict) string {
	text := v.Verdict
	if v.Reason != "" {
		text += " (" + v.Reason + ")"
	}
	if v.Verdict != other.Verdict || v.Reason != other.Reason {
		return text
	}
	for _, n := range []int{3, 6, 9} {
		if p := v.chance(n); p != other.chance(n) {
			return text + ", p = " + p
		}
	}
	for _, of := range []func(Verdict, int) string{Verdict.shift, Verdict.scaling} {
		for _, n := range []int{3, 6, quantity.Digits} {
			if flip := of(v, n); flip != of(other, n) {
				return text + flip
			}
		}
	}
	return text
}

// chance is p with so many decimals.
func (v Verdict) chance(n int) string {
	if len(v.P) == 0 {
		return "unknown"
	}
	low, high := strconv.FormatFloat(v.P[0], 'f', n, 64), strconv.FormatFloat(v.P[len(v.P)-1], 'f', n, 64)
	if low == high {
		return low
	}
	return low + " … " + high
}

// shift is what shift of the mean would change the verdict, with so many digits.
func (v Verdict) shift(n int) string {
	if v.FlipTo == "" {
		return ", the same after any shift"
	}
	return ", " + v.FlipTo + " after a shift of " + quantity.Significant(v.FlipW, n) + nbsp + "W"
}

// scaling is what factor on U would change the verdict, with so many digits.
func (v Verdict) scaling(n int) string {
	if v.ScaleTo == "" {
		return ", the same with any U"
	}
	return ", " + v.ScaleTo + " with " + quantity.Significant(v.Scale, n) + " times U"
}
