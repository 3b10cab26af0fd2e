package formula

// raised holds the formulas whose arithmetic was changed since it was first
// published, with their revision now: 2 for the first change. A change of the
// arithmetic raises it, so that a sealed result tells by which arithmetic it came.
// A better explanation, or another way to the same numbers, doesn't.
var raised = map[string]int{}

// Revision is the number of the formula's arithmetic, 1 as it was first published.
func (f Formula) Revision() int { return max(1, raised[f.ID]) }
