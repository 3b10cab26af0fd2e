package sheet

import "wattsheet/generator/verdict"

// reasonsShort says in a few words what keeps a claim from being decided, by the code that
// ledgers and sheet.json have.
var reasonsShort = map[string]string{
	verdict.Close:      "too close to call",
	verdict.Distortion: "the distortion",
	verdict.Supply:     "the supply voltage",
	verdict.Load:       "the load",
	reasonOutcome:      "a run was ended",
	reasonReadings:     "readings that disagree or are missing",
	reasonCondition:    "a condition that isn't claimed",
	reasonFrequency:    "another frequency",
	reasonNoRun:        "no valid run",
	reasonUnlike:       "runs under other conditions",
}

// ReasonInShort is a reason's code in a few words; ok is false for no code of this program.
func ReasonInShort(code string) (words string, ok bool) {
	words, ok = reasonsShort[code]
	return words, ok
}
