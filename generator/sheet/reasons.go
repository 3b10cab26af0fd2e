package sheet

import (
	"regexp"
	"strings"

	"wattsheet/generator/verdict"
)

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

// coded is a result of a ledger that begins with a verdict and the codes of its reasons.
var coded = regexp.MustCompile(`^([a-z]+) \(([a-z-]+(?:, [a-z-]+)*)\)`)

// ResultInWords is a corrected result as people read it: "open (supply, load)", as a ledger
// has it, is "open (the supply voltage, the load)". Anything else is as it was.
func ResultInWords(result string) string {
	m := coded.FindStringSubmatch(result)
	if m == nil {
		return result
	}
	var words []string
	for _, code := range strings.Split(m[2], ", ") {
		short, known := reasonsShort[code]
		if !known {
			return result
		}
		words = append(words, short)
	}
	return m[1] + " (" + strings.Join(words, ", ") + ")" + result[len(m[0]):]
}
