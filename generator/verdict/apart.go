package verdict

// A Side is what a comparison of two quantities says.
type Side int

// The sides.
const (
	Neither Side = 0  // not told apart
	First   Side = 1  // the first is the larger
	Second  Side = -1 // the second is the larger
)

// Apart tells two quantities apart by the probabilities P(Y1 > Y2) that the corners
// of the conditions give: the first is the larger where each is MetFrom at least,
// the second where each is ShortTo at most (a guarded decision on the difference,
// as JCGM 106:2012, 8.3, has it for one quantity and a limit). Without a corner
// nothing is told.
func Apart(rule Rule, p []float64) Side {
	first, second := len(p) > 0, len(p) > 0
	for _, p := range p {
		first = first && p >= rule.MetFrom
		second = second && p <= rule.ShortTo
	}
	switch {
	case first:
		return First
	case second:
		return Second
	}
	return Neither
}
