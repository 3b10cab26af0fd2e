package verdict

import (
	"math"

	"wattsheet/generator/quantity"
)

// A Decision is a claim's limit and its corners under one rule. What is asked of it is
// computed then, and only once. It is for one goroutine; the corners are not changed.
type Decision struct {
	rule     Rule
	limit    float64
	corners  []Corner
	channels int     // at every corner
	short    float64 // Rule.ShortOf the channels

	spots []spot // every channel's At, Below and Above, corner by corner
	ends  []ends // how far they go for the rule; nil until asked
	by    byReach
}

// A spot is where an estimate may stand, and its p.
type spot struct {
	*Estimate // nil where there is none
	p         float64
	known     bool // p is
}

// The places of a channel's estimates among its spots.
const (
	placeAt    = 0
	placeBelow = 1
	placeAbove = 2
	places     = 3
)

// none is the place of no estimate.
const none = -1

// NewDecision prepares a decision; the arguments are those of [Decide].
func NewDecision(rule Rule, limit float64, corners []Corner) *Decision {
	d := &Decision{rule: rule, limit: limit, corners: corners, channels: len(corners[0].Channels)}
	d.short = rule.ShortOf(d.channels)
	d.spots = make([]spot, 0, places*d.channels*len(corners))
	for _, c := range corners {
		for _, channel := range c.Channels {
			d.spots = append(d.spots, spot{Estimate: channel.At}, spot{Estimate: channel.Below}, spot{Estimate: channel.Above})
		}
	}
	return d
}

// By is the same decision under another rule; both share what doesn't depend on it.
func (d *Decision) By(rule Rule) *Decision {
	other := *d
	other.rule, other.short, other.ends = rule, rule.ShortOf(d.channels), nil
	return &other
}

// first is the place of a channel's first spot at a corner.
func (d *Decision) first(corner, channel int) int { return places * (corner*d.channels + channel) }

// chance is P(Y >= limit) of the estimate at a place.
func (d *Decision) chance(i int) float64 {
	s := &d.spots[i]
	if !s.known {
		s.p, s.known = quantity.ProbabilityAtLeast(s.Y, s.U, s.DoF, d.limit), true
	}
	return s.p
}

// Word is the verdict on which all corners agree, or else open.
func (d *Decision) Word() Word { return d.word(byChance{d}) }

// Result is the decision without what would change it, see [Decision.Flip].
func (d *Decision) Result() Result {
	r := Result{Word: d.Word(), Corners: make([]CornerResult, len(d.corners)), PMin: math.Inf(1), PMax: math.Inf(-1)}
	for i := range d.corners {
		c := d.corner(i)
		r.Corners[i] = c
		r.PMin, r.PMax = math.Min(r.PMin, c.PMin), math.Max(r.PMax, c.PMax)
	}
	r.Weakest = d.weakest(r.Word)
	d.bar(&r)
	if r.Word == Open {
		r.Reasons = d.reasons(r.Corners)
	}
	return r
}

// A shower tells what the estimate at a place can show.
type shower interface {
	met(i int) bool
	short(i int) bool
}

// byChance shows by probabilities, as the rule says.
type byChance struct{ d *Decision }

func (b byChance) met(i int) bool   { return b.d.chance(i) >= b.d.rule.MetFrom }
func (b byChance) short(i int) bool { return b.d.chance(i) <= b.d.short }

// channel decides the channel with the first spot i by what its classes can show.
func (d *Decision) channel(i int, by shower) Word {
	if d.spots[i+placeAt].Estimate != nil {
		switch {
		case by.met(i + placeAt):
			return Met
		case by.short(i + placeAt):
			return Short
		}
		return Open
	}
	isMet := d.spots[i+placeBelow].Estimate != nil && by.met(i+placeBelow)
	isShort := d.spots[i+placeAbove].Estimate != nil && by.short(i+placeAbove)
	switch {
	case isMet && !isShort:
		return Met
	case isShort && !isMet:
		return Short
	}
	return Open
}

// join makes one verdict of the channels' at a corner.
func (d *Decision) join(corner int, by shower) Word {
	met := true
	for c := range d.channels {
		switch d.channel(d.first(corner, c), by) {
		case Short:
			return Short
		case Open:
			met = false
		}
	}
	if met {
		return Met
	}
	return Open
}

func (d *Decision) word(by shower) Word {
	first := d.join(0, by)
	for i := 1; i < len(d.corners) && first != Open; i++ {
		if d.join(i, by) != first {
			return Open
		}
	}
	return first
}

// span is what is known of a channel's p: one number at the claim's distortion,
// a bound on one side or two otherwise.
func (d *Decision) span(i int) (low, high float64) {
	if d.spots[i+placeAt].Estimate != nil {
		p := d.chance(i + placeAt)
		return p, p
	}
	low, high = 0, 1
	if d.spots[i+placeBelow].Estimate != nil {
		low = d.chance(i + placeBelow)
	}
	if d.spots[i+placeAbove].Estimate != nil {
		high = d.chance(i + placeAbove)
	}
	return low, high
}

func (d *Decision) corner(n int) CornerResult {
	c := d.corners[n]
	r := CornerResult{K: c.K, M: c.M, Verdict: d.join(n, byChance{d}), PMin: 1, PMax: 1}
	for channel := range d.channels {
		low, high := d.span(d.first(n, channel))
		r.PMin, r.PMax = math.Min(r.PMin, low), math.Min(r.PMax, high)
	}
	r.Weakest = d.lowest(n, r.Verdict).channel
	if i := d.speaking(d.first(n, r.Weakest), r.Verdict); i != none {
		e := d.spots[i]
		r.Y, r.U, r.DoF = e.Y, e.U, e.DoF
	}
	return r
}

// weakest is the channel that decides: the one with the smallest p at the deciding
// corner, which is that of the largest p where the claim is short, and of the
// smallest otherwise. Only channels count that could have brought the verdict.
func (d *Decision) weakest(word Word) int {
	var deciding standing
	for i := range d.corners {
		lowest := d.lowest(i, word)
		if i == 0 || word == Short && deciding.below(lowest) || word != Short && lowest.below(deciding) {
			deciding = lowest
		}
	}
	return deciding.channel
}

// A standing is how a channel stands at a corner: its p, and where p can't tell
// channels apart, how many standard uncertainties it lies above the limit.
type standing struct {
	channel int
	p, z    float64
}

func (s standing) below(o standing) bool { return s.p < o.p || s.p == o.p && s.z < o.z }

// lowest is the channel that stands lowest at a corner.
func (d *Decision) lowest(corner int, word Word) standing {
	best, found := standing{p: 2}, false
	for channel := range d.channels {
		i := d.speaking(d.first(corner, channel), word)
		if i == none {
			continue
		}
		e := d.spots[i]
		s := standing{channel, d.chance(i), e.Y - d.limit}
		if e.U > 0 {
			s.z /= e.U
		}
		if !found || s.below(best) {
			best, found = s, true
		}
	}
	return best
}

// speaking is the estimate of a channel that a verdict rests on; none where it can't.
func (d *Decision) speaking(i int, word Word) int {
	switch word {
	case Short:
		return d.upper(i)
	case Met:
		return d.lower(i)
	}
	if i = d.leading(i); d.spots[i].Estimate == nil {
		return none
	}
	return i
}

// leading is the place of the estimate that speaks for a channel: at, else below, else
// above.
func (d *Decision) leading(i int) int {
	for _, class := range [...]int{placeAt, placeBelow} {
		if d.spots[i+class].Estimate != nil {
			return i + class
		}
	}
	return i + placeAbove
}

// lower and upper are the estimates that can show a claim met, and short; none where
// there is none.
func (d *Decision) lower(i int) int { return d.either(i, placeBelow) }
func (d *Decision) upper(i int) int { return d.either(i, placeAbove) }

func (d *Decision) either(i, class int) int {
	switch {
	case d.spots[i+placeAt].Estimate != nil:
		return i + placeAt
	case d.spots[i+class].Estimate != nil:
		return i + class
	}
	return none
}

// reasons names why a decision is open.
func (d *Decision) reasons(results []CornerResult) []string {
	agree := true
	var supply, load bool
	for i, a := range results {
		for _, b := range results[:i] {
			if a.Verdict != b.Verdict {
				agree = false
				supply = supply || a.M == b.M
				load = load || a.K == b.K
			}
		}
	}
	switch {
	case agree && d.undecidable():
		return []string{Distortion}
	case agree:
		return []string{Close}
	}
	var out []string
	if supply {
		out = append(out, Supply)
	}
	if load {
		out = append(out, Load)
	}
	if len(out) == 0 {
		out = []string{Supply, Load}
	}
	return out
}

// undecidable reports whether some channel that keeps the claim open has no run
// at the claim's distortion.
func (d *Decision) undecidable() bool {
	for i := 0; i < len(d.spots); i += places {
		if d.spots[i+placeAt].Estimate == nil && d.channel(i, byChance{d}) == Open {
			return true
		}
	}
	return false
}
