// Package verdict is the decision rule: from a claim's limit and the estimates
// at every corner of the conditions to a verdict, and what would flip it.
package verdict

// A Word is a verdict on a claim.
type Word string

// The verdicts.
const (
	Met          Word = "met"          // the claim holds
	Short        Word = "short"        // the unit falls short of it
	Open         Word = "open"         // too close to call, or a condition is missing
	Untested     Word = "untested"     // no valid run at that load
	Incomparable Word = "incomparable" // runs at that load, but under other conditions
)

// Words lists the verdicts in the order in which pages count them.
var Words = []Word{Met, Short, Open, Untested, Incomparable}
