package verdict

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
	d := NewDecision(rule, limit, corners)
	r := d.Result()
	r.Flip = d.Flip()
	return r
}
