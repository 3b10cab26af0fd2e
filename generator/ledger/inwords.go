package ledger

import (
	"regexp"
	"strings"

	"wattsheet/generator/sheet"
)

// coded is a verdict with the codes of its reasons, as verdictText writes it.
var coded = regexp.MustCompile(`^([a-z]+) \(([a-z-]+(?:, [a-z-]+)*)\)`)

// InWords is a corrected result, as Corrected has it, for people: "open (supply, load)" is
// "open (the supply voltage, the load)". Anything else is as it was.
func InWords(result string) string {
	m := coded.FindStringSubmatch(result)
	if m == nil {
		return result
	}
	var words []string
	for _, code := range strings.Split(m[2], ", ") {
		short, known := sheet.ReasonInShort(code)
		if !known {
			return result
		}
		words = append(words, short)
	}
	return m[1] + " (" + strings.Join(words, ", ") + ")" + result[len(m[0]):]
}
