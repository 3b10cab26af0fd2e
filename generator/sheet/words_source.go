package sheet

import (
	"fmt"
	"strings"

	"wattsheet/generator/record"
)

// disclosure says who supplied the unit and what the tester has from it.
func disclosure(s record.Source) string {
	how := map[string]string{"bought": "Bought by the tester from %s.", "lent": "Lent by %s.", "given": "Given to the tester by %s.", "own": "The tester's own unit, from %s."}
	text := fmt.Sprintf(how[s.How], Isolated(s.From))
	after := map[string]string{"kept": " It stays with the tester.", "returned": " It goes back after the test.", "sold": " It is sold after the test.", "undecided": " What happens to it after the test is not decided."}
	text += after[s.After]
	switch s.Paid {
	case "":
	case "nothing":
		text += " Nobody paid for this test."
	default:
		text += " The tester also had for this test: " + Isolated(strings.TrimRight(s.Paid, ".")) + "."
	}
	return text + linksEarn(s)
}

func linksEarn(s record.Source) string {
	if s.LinksEarn {
		return " Links to shops earn the tester money."
	}
	return " Links to shops earn the tester nothing."
}

// DisclosureWithoutNames is the disclosure for a picture whose letters can't write the names
// in it: how the unit came, and what the tester has from it, are said all the same.
func DisclosureWithoutNames(s record.Source) string {
	how := map[string]string{"bought": "Bought by the tester", "lent": "Lent to the tester", "given": "Given to the tester", "own": "The tester's own unit"}
	text := how[s.How] + "; the sheet says from whom."
	switch s.Paid {
	case "":
	case "nothing":
		text += " Nobody paid for this test."
	default:
		text += " The tester also had something else for this test."
	}
	return text + linksEarn(s)
}
