package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// printed is each verdict as pages print it.
var printed = map[verdict.Word]string{
	verdict.Met:          "Met",
	verdict.Short:        "Falls short",
	verdict.Open:         "Too close to call",
	verdict.Untested:     "Untested",
	verdict.Incomparable: "Not comparable",
}

// Printed returns a verdict as pages print it.
func Printed(w verdict.Word) string { return printed[w] }

// word is a claim's verdict as pages print it: an open claim whose reason is not
// the uncertainty is not called close.
func (c *Claim) word() string {
	if c.Undecided() {
		return "Undecided"
	}
	return printed[c.Verdict]
}

// Undecided reports whether the claim is open for another reason than that the
// uncertainty spans it: a condition of the runs, runs that bound the power on one
// side only, or corners of the conditions that say the opposite of each other.
func (c *Claim) Undecided() bool {
	if c.Verdict != verdict.Open {
		return false
	}
	for _, reason := range strings.Split(c.Reason, ", ") {
		if reason != verdict.Close && reason != verdict.Supply && reason != verdict.Load || len(c.Corners) == 0 {
			return true
		}
	}
	said := map[verdict.Word]bool{}
	for _, corner := range c.Corners {
		said[corner.Verdict] = true
	}
	return said[verdict.Met] && said[verdict.Short] || c.offLoad || c.BarLowOpen || c.BarHighOpen
}

// OpenMeans says what the two words for an open claim mean; pages, badges' legends
// and explain all say it so.
var OpenMeans = struct{ Close, Undecided string }{
	Close:     "Too close to call: the uncertainty, or the extremes of the conditions, span the limit.",
	Undecided: "Undecided: a condition of the runs, or one that the claim doesn't state, keeps it from being decided, or the extremes of the conditions say the opposite of each other.",
}

func openMeans(undecided bool) string {
	if undecided {
		return OpenMeans.Undecided
	}
	return OpenMeans.Close
}

// plain writes a condition's number.
func plain(x float64) string { return quantity.Float(x) }

// Ohms writes a nominal load, of which none is below 0.001 Ω.
func Ohms(x float64) string {
	decimals := 2
	if x < 0.1 {
		decimals = 3
	}
	text := quantity.Fixed(x, decimals)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	return text + nbsp + "Ω"
}

// hertz writes a frequency.
func hertz(f float64) string {
	if f >= 1000 {
		return plain(f/1000) + nbsp + "kHz"
	}
	return plain(f) + nbsp + "Hz"
}

// countOf writes a number of things, in words up to twelve.
func countOf(n int, thing string) string {
	if n == 1 {
		return "one " + thing
	}
	return number(n) + " " + thing + "s"
}

var numbers = []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

func number(n int) string {
	if n < len(numbers) {
		return numbers[n]
	}
	return fmt.Sprint(n)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// label names a claim among its unit's: the load, and of the other conditions
// those that tell it from a claim at the same load.
func (e *evaluator) label(c *record.Claim) string {
	text := Ohms(c.LoadOhm.Value)
	if len(c.Of) > 0 {
		text = strings.Join(c.Of, ", ") + " " + text
	}
	if c.Bridged {
		text += " bridged"
	}
	if c.Signal == "burst" {
		text += ", burst"
	}
	var others []*record.Claim
	for i := range e.rec.Claims {
		o := &e.rec.Claims[i]
		if o.ID != c.ID && o.LoadOhm.Value == c.LoadOhm.Value && o.Bridged == c.Bridged && o.Signal == c.Signal && slices.Equal(o.Of, c.Of) {
			others = append(others, o)
		}
	}
	for _, condition := range tellingConditions {
		if len(others) == 0 {
			break
		}
		own := condition.of(c)
		same := slices.DeleteFunc(slices.Clone(others), func(o *record.Claim) bool { return condition.of(o) != own })
		if own == "" {
			own = condition.silent
		}
		if len(same) < len(others) && own != "" {
			text, others = text+", "+own, same
		}
	}
	return text
}

// tellingConditions tell claims at one load apart, one after the other until they
// do; silent is what a label says where a claim doesn't state the condition.
var tellingConditions = []struct {
	of     func(*record.Claim) string
	silent string
}{
	{channelsText, ""}, {drivenText, ""}, {distortionText, "distortion not stated"}, {frequencyText, ""}, {durationText, ""}, {supplyText, "supply not stated"},
}

func channelsText(c *record.Claim) string {
	if c.Bridged {
		return countOf(int(c.Channels.Value), "pair")
	}
	return countOf(int(c.Channels.Value), "channel")
}

func drivenText(c *record.Claim) string {
	if !c.Driven.Given() {
		return ""
	}
	return number(int(c.Driven.Value)) + " driven"
}

func distortionText(c *record.Claim) string { return given(c.ThdnPct, "%") }
func durationText(c *record.Claim) string   { return given(c.DurationS, "s") }
func supplyText(c *record.Claim) string     { return given(c.SupplyV, "V") }
func frequencyText(c *record.Claim) string  { return bandText(c.FreqHz.Items) }

// given writes a condition that a claim states; empty when it doesn't.
func given(n record.Number, unit string) string {
	if !n.Given() {
		return ""
	}
	return plain(n.Value) + nbsp + unit
}

// conditions writes what a claim states.
func conditions(c *record.Claim) string {
	n := int(c.Driven.Or(c.Channels.Value))
	parts := []string{countOf(n, "channel") + " driven"}
	if c.Bridged {
		parts[0] = countOf(n, "bridged pair") + " driven"
	}
	if len(c.Of) > 0 {
		parts = append([]string{"channels " + strings.Join(c.Of, ", ")}, parts...)
		if len(c.Of) == 1 {
			parts[0] = "channel " + c.Of[0]
		}
	}
	if c.ThdnPct.Given() {
		parts = append(parts, plain(c.ThdnPct.Value)+nbsp+"% THD+N")
	}
	if c.SupplyV.Given() {
		parts = append(parts, plain(c.SupplyV.Value)+nbsp+"V supply")
	}
	if len(c.FreqHz.Items) > 0 {
		parts = append(parts, bandText(c.FreqHz.Items))
	}
	if c.Signal == "burst" {
		parts = append(parts, "burst")
	}
	if c.DurationS.Given() {
		parts = append(parts, "for "+plain(c.DurationS.Value)+nbsp+"s")
	}
	return strings.Join(parts, ", ")
}

// assumed writes the conditions that the site assumes.
func (t terms) assumed() []string {
	var out []string
	if t.thdnAssumed {
		out = append(out, plain(t.thdnPct)+nbsp+"% THD+N")
	}
	if t.supplyAssumed {
		out = append(out, plain(t.supplyV)+nbsp+"V supply")
	}
	return out
}

// undecided counts, for the headline only, the open claims that are not close.
const undecided verdict.Word = "undecided"

// headline says the verdicts in a sentence.
func headline(claims []*Claim) string {
	counts := map[verdict.Word]int{}
	for _, c := range claims {
		if c.Undecided() {
			counts[undecided]++
		} else {
			counts[c.Verdict]++
		}
	}
	total := len(claims)
	if total == 0 {
		return "No claims recorded."
	}
	phrase := map[verdict.Word]string{verdict.Met: "met", verdict.Short: "short", verdict.Open: "too close to call", undecided: "undecided", verdict.Untested: "untested", verdict.Incomparable: "not comparable"}
	var parts []string
	for _, w := range []verdict.Word{verdict.Met, verdict.Short, verdict.Open, undecided, verdict.Untested, verdict.Incomparable} {
		n := counts[w]
		switch {
		case n == 0:
		case n == total && n == 1:
			return "Its one claim is " + phrase[w] + "."
		case n == total && n == 2:
			return "Both claims " + phrase[w] + "."
		case n == total:
			return "All " + number(n) + " claims " + phrase[w] + "."
		case len(parts) == 0:
			parts = append(parts, fmt.Sprintf("%s of %s claims %s", capital(number(n)), number(total), phrase[w]))
		default:
			parts = append(parts, number(n)+" "+phrase[w])
		}
	}
	return strings.Join(parts, ", ") + "."
}

// subline says what unit the headline speaks of, and what ± means.
func (e *evaluator) subline(s *Sheet) string {
	u := &e.rec.Unit
	parts := []string{Isolated(s.Name)}
	if u.Kind != "" {
		parts = append(parts, u.Kind)
	}
	if u.Class != "" {
		parts = append(parts, "class "+u.Class)
	}
	return strings.Join(parts, ", ") + ". Power per channel at the unit's terminals; ± is the 95" + nbsp + "% uncertainty."
}

// chanceText writes P(Y >= L): met the smallest, short the largest, open both.
func (e *evaluator) chanceText(c *Claim, r verdict.Result) string {
	write := func(p float64) string {
		text := quantity.Chance(p, e.rule.MetFrom, e.rule.ShortOf(len(c.Channels)))
		if !strings.ContainsAny(text, "<>") {
			return "= " + text
		}
		return text
	}
	switch {
	case c.Verdict == verdict.Met:
		return "p " + write(r.PMin)
	case c.Verdict == verdict.Short:
		return "p " + write(r.PMax)
	case r.LowOpen && r.HighOpen, r.PMin > r.PMax: // unknown, or what bounds it from below is more than what does from above
		return ""
	case r.LowOpen:
		return bound("p at most ", write(r.PMax))
	case r.HighOpen:
		return bound("p at least ", write(r.PMin))
	case write(r.PMin) == write(r.PMax):
		return "p " + write(r.PMin)
	}
	return "p from " + strings.TrimPrefix(write(r.PMin), "= ") + " to " + strings.TrimPrefix(write(r.PMax), "= ")
}

// standing says why the deciding channel is shown: it is the lowest, or the one
// that is the least sure to reach the limit.
func (c *Claim) standing() string {
	for _, ch := range c.Channels {
		if ch.Mean.X < c.Weakest.Mean.X {
			return "the least sure of the claim"
		}
	}
	return "the lowest"
}

// bound writes a bound on p; one that bounds nothing isn't worth a word.
func bound(what, p string) string {
	if text, is := strings.CutPrefix(p, "= "); is {
		return what + text
	}
	return ""
}

// say sets the sentences of a decided claim.
func (e *evaluator) say(c *Claim, t terms, groups []*group, uses []Use) {
	name := ""
	if len(c.Channels) > 1 {
		name = " (channel " + c.Weakest.Name + ", " + c.standing() + ")"
	}
	figures := fmt.Sprintf("%s measured%s, %s%sW claimed", c.Weakest.Mean.Text, name, plain(c.ClaimW), nbsp)
	switch c.Verdict {
	case verdict.Met:
		c.Why = capital(figures) + ": it holds at every corner of the conditions."
	case verdict.Short:
		c.Why = capital(figures) + ": it falls short at every corner of the conditions."
	default:
		c.Why = whyOpen(c, t, groups, uses) + " " + capital(figures) + "."
	}
	if c.Weakest.Mean.Incomplete != nil {
		c.Why += " The uncertainty is incomplete: " + strings.Join(c.Weakest.Mean.Incomplete, "; ") + "."
	}
	c.FlipText = flipText(c)
}

// flipText says what would change a verdict.
func flipText(c *Claim) string {
	f := c.Flip
	if f == nil {
		return ""
	}
	var parts []string
	if f.ShiftTo != "" {
		direction, shift := "more", f.Shift
		if shift < 0 {
			direction, shift = "less", -shift
		}
		parts = append(parts, fmt.Sprintf("%s%sW %s, as carried to the claim's conditions, would %s", enough(shift, true), nbsp, direction, turned(f.ShiftTo)))
	}
	// a change of the uncertainty by more than ten times is nothing to speak of
	if f.ScaleTo != "" && c.Weakest.Mean.U > 0 && f.Scale > 0.1 && f.Scale < 10 {
		parts = append(parts, fmt.Sprintf("an uncertainty of ±%s%sW instead of ±%s%sW would %s",
			enough(f.Scale*c.Weakest.Mean.U, f.Scale > 1), nbsp, c.Weakest.Mean.UText, nbsp, turned(f.ScaleTo)))
	}
	if len(parts) == 0 {
		return ""
	}
	return capital(strings.Join(parts, "; ")) + "."
}

// enough writes what it takes with two digits, so that what is printed is enough: a
// shift rounded down would not yet change a verdict.
func enough(x float64, up bool) string {
	if !(x > 0) {
		return quantity.Significant(x, 2)
	}
	step := math.Pow(10, math.Floor(math.Log10(x))-1)
	const settled = 1e-9 // what rounding leaves of a number of two digits is no more of it
	if up {
		return quantity.Significant(math.Ceil(x/step-settled)*step, 2)
	}
	return quantity.Significant(math.Floor(x/step+settled)*step, 2)
}

// turned says what a change would do to a verdict. Which of the two words for open it
// would then get depends on more than the change.
func turned(to verdict.Word) string {
	if to == verdict.Open {
		return "leave it open"
	}
	return "make it “" + printed[to] + "”"
}
