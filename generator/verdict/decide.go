package verdict

import (
	"math"

	"wattsheet/generator/quantity"
)

// A Rule holds the probabilities that decide: a claim is met from MetFrom on and
// short up to ShortTo, as a guarded acceptance and rejection (JCGM 106:2012, 8.3).
type Rule struct{ MetFrom, ShortTo float64 }

// ShortOf is the bound for each of n channels. A guarded rejection keeps the chance
// of calling a claim short that holds: n channels are n chances, so each has ShortTo/n
// (Bonferroni's bound on n looks at one claim). With ShortTo at 1/2 there is no
// guard band to keep, as in simple acceptance (ILAC-G8:09/2019, 4.2.1): there the
// bound is not divided, and any channel below the limit is short.
func (r Rule) ShortOf(n int) float64 {
	if r.ShortTo >= 0.5 {
		return r.ShortTo
	}
	return r.ShortTo / float64(max(n, 1))
}

// An Estimate is one channel's mean power at a corner: Y and its standard
// uncertainty U in W, with DoF effective degrees of freedom.
type Estimate struct{ Y, U, DoF float64 }

// A Channel is what is known of one channel at one corner, by the class of the
// runs: at the claim's distortion, below it, or above it. nil where there is no
// such run. Below can only show that the claim is met, above only that it is
// short; neither is asked where there is an At.
type Channel struct{ At, Below, Above *Estimate }

// A Corner is one extreme of the conditions: the supply exponent K, the load
// exponent M, and each channel carried there.
type Corner struct {
	K, M     float64
	Channels []Channel
}

// Why a result is open.
const (
	Close      = "close"      // the uncertainty spans the limit at every corner
	Distortion = "distortion" // no run at the claim's distortion, and the others don't decide
	Supply     = "supply"     // corners of the supply disagree
	Load       = "load"       // corners of the load disagree
)

// A Result is a decision.
type Result struct {
	Word    Word
	Reasons []string // why it is open; nil otherwise
	Weakest int      // the channel that decides
	Corners []CornerResult

	PMin, PMax float64 // P(Y >= limit) of the weakest channel over the corners
	// The interval that the rule decides by, in W: met when Low reaches the limit,
	// short when High does not pass it (both when nothing is uncertain and the mean
	// is the limit: then it is met). LowOpen and HighOpen tell that the runs
	// bound the power on the other side only.
	Low, High         float64
	LowOpen, HighOpen bool

	Flip *Flip
}

// Decide gives the verdict on a claim with the lower limit in W. Every corner has
// the same channels, at least one, and there is at least one corner.
//
// A channel is met where p >= MetFrom and else short where p <= [Rule.ShortOf] its
// claim's channels; a claim is met where every channel is, short where any is. The
// verdict holds only where all corners agree. Where both bounds are 1/2, a mean at
// the limit is met.
func Decide(rule Rule, limit float64, corners []Corner) Result {
	d := newDecision(rule, limit, corners)
	r := Result{Word: d.word(d.channel)}
	for _, c := range corners {
		r.Corners = append(r.Corners, d.corner(c))
	}
	r.PMin, r.PMax = r.Corners[0].PMin, r.Corners[0].PMax
	for _, c := range r.Corners {
		r.PMin, r.PMax = math.Min(r.PMin, c.PMin), math.Max(r.PMax, c.PMax)
	}
	r.Weakest = d.weakest(r.Word)
	d.bar(&r)
	if r.Word == Open {
		r.Reasons = d.reasons(r.Corners)
	}
	r.Flip = FlipOf(r.Word, limit, d.words(), Mover{d})
	return r
}

type decision struct {
	rule    Rule
	limit   float64
	corners []Corner
	reaches map[*Estimate]reach
}

// A reach is how far down and up an estimate goes for the rule: the limits at
// which its p is just MetFrom, and just the bound of ShortOf.
type reach struct{ low, high float64 }

func newDecision(rule Rule, limit float64, corners []Corner) decision {
	d := decision{rule, limit, corners, map[*Estimate]reach{}}
	for _, c := range corners {
		for _, channel := range c.Channels {
			for _, e := range []*Estimate{channel.At, channel.Below, channel.Above} {
				if e != nil {
					d.reaches[e] = reach{d.limitAt(e, rule.MetFrom), d.limitAt(e, rule.ShortOf(len(c.Channels)))}
				}
			}
		}
	}
	return d
}

// limitAt is the limit at which an estimate's p is the given bound.
func (d decision) limitAt(e *Estimate, p float64) float64 {
	if e.U == 0 {
		return e.Y
	}
	return e.Y - quantity.Quantile(p, e.DoF)*e.U
}

// chance is P(Y >= limit).
func (d decision) chance(e *Estimate) float64 {
	return quantity.ProbabilityAtLeast(e.Y, e.U, e.DoF, d.limit)
}

// channel decides one channel of n by its probabilities.
func (d decision) channel(c Channel, n int) Word {
	return byClass(c,
		func(e *Estimate) bool { return d.chance(e) >= d.rule.MetFrom },
		func(e *Estimate) bool { return d.chance(e) <= d.rule.ShortOf(n) })
}

// moved decides one channel with its means shifted and its uncertainties scaled.
func (d decision) moved(shift, scale float64) func(Channel, int) Word {
	return func(c Channel, _ int) Word {
		return byClass(c,
			func(e *Estimate) bool { return e.Y+shift+scale*(d.reaches[e].low-e.Y) >= d.limit },
			func(e *Estimate) bool { return e.Y+shift+scale*(d.reaches[e].high-e.Y) <= d.limit })
	}
}

// byClass decides a channel by what its classes can show.
func byClass(c Channel, met, short func(*Estimate) bool) Word {
	if c.At != nil {
		switch {
		case met(c.At):
			return Met
		case short(c.At):
			return Short
		}
		return Open
	}
	isMet, isShort := c.Below != nil && met(c.Below), c.Above != nil && short(c.Above)
	switch {
	case isMet && !isShort:
		return Met
	case isShort && !isMet:
		return Short
	}
	return Open
}

// join makes one verdict of the channels' at a corner.
func join(c Corner, decide func(Channel, int) Word) Word {
	met := true
	for _, channel := range c.Channels {
		switch decide(channel, len(c.Channels)) {
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

// word is the verdict on which all corners agree, or else open.
func (d decision) word(decide func(Channel, int) Word) Word {
	first := join(d.corners[0], decide)
	for _, c := range d.corners[1:] {
		if join(c, decide) != first {
			return Open
		}
	}
	return first
}

// span is what is known of a channel's p: one number at the claim's distortion,
// a bound on one side or two otherwise.
func (d decision) span(c Channel) (low, high float64) {
	if c.At != nil {
		p := d.chance(c.At)
		return p, p
	}
	low, high = 0, 1
	if c.Below != nil {
		low = d.chance(c.Below)
	}
	if c.Above != nil {
		high = d.chance(c.Above)
	}
	return low, high
}

func (d decision) corner(c Corner) CornerResult {
	r := CornerResult{K: c.K, M: c.M, Verdict: join(c, d.channel), PMin: 1, PMax: 1}
	for _, channel := range c.Channels {
		low, high := d.span(channel)
		r.PMin, r.PMax = math.Min(r.PMin, low), math.Min(r.PMax, high)
	}
	r.Weakest = d.lowest(c, r.Verdict).channel
	if e := c.Channels[r.Weakest].speaking(r.Verdict); e != nil {
		r.Y, r.U, r.DoF = e.Y, e.U, e.DoF
	}
	return r
}

// weakest is the channel that decides: the one with the smallest p at the deciding
// corner, which is that of the largest p where the claim is short, and of the
// smallest otherwise. Only channels count that could have brought the verdict.
func (d decision) weakest(word Word) int {
	var deciding standing
	for i, c := range d.corners {
		lowest := d.lowest(c, word)
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
func (d decision) lowest(c Corner, word Word) standing {
	best, found := standing{p: 2}, false
	for i, channel := range c.Channels {
		e := channel.speaking(word)
		if e == nil {
			continue
		}
		s := standing{i, d.chance(e), e.Y - d.limit}
		if e.U > 0 {
			s.z /= e.U
		}
		if !found || s.below(best) {
			best, found = s, true
		}
	}
	return best
}

// speaking is the estimate that a verdict rests on; nil where it can't.
func (c Channel) speaking(word Word) *Estimate {
	switch word {
	case Short:
		return c.upper()
	case Met:
		return c.lower()
	}
	return c.leading()
}

// leading is the estimate that speaks for a channel: at, else below, else above.
func (c Channel) leading() *Estimate {
	switch {
	case c.At != nil:
		return c.At
	case c.Below != nil:
		return c.Below
	}
	return c.Above
}

// bar sets the interval that the rule decides by. Every channel has to reach the
// limit, so one that can't be shown to leaves the low end open; the high end is
// the lowest channel's that can be shown to miss it.
func (d decision) bar(r *Result) {
	r.Low, r.High = math.Inf(1), math.Inf(-1)
	for _, c := range d.corners {
		top, drawn := math.Inf(1), math.Inf(1)
		for _, channel := range c.Channels {
			low := channel.lower()
			if low == nil {
				r.LowOpen, low = true, channel.leading()
			}
			r.Low = math.Min(r.Low, d.reaches[low].low)
			if high := channel.upper(); high != nil {
				top = math.Min(top, d.reaches[high].high)
			}
			drawn = math.Min(drawn, d.reaches[channel.leading()].high)
		}
		if math.IsInf(top, 1) {
			r.HighOpen, top = true, drawn
		}
		r.High = math.Max(r.High, top)
	}
}

// lower and upper are the estimates that can show a claim met, and short.
func (c Channel) lower() *Estimate {
	if c.At != nil {
		return c.At
	}
	return c.Below
}

func (c Channel) upper() *Estimate {
	if c.At != nil {
		return c.At
	}
	return c.Above
}

// reasons names why a decision is open.
func (d decision) reasons(results []CornerResult) []string {
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
func (d decision) undecidable() bool {
	for _, c := range d.corners {
		for _, channel := range c.Channels {
			if channel.At == nil && d.channel(channel, len(c.Channels)) == Open {
				return true
			}
		}
	}
	return false
}
