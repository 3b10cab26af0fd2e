package ledger

import (
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/record"
)

// Where nothing but further runs changed what was sealed, nothing was wrong: a correction of the kind retest is offered. As
// soon as anything else changed a result too, it is not.
func TestFurtherRunsAreNoMistake(t *testing.T) {
	further := edit{"record", "", "\n[[run]]\nid = \"r9\"\nmethod = \"thd1\"\nload = \"a8\"\ndriven = [\"L\"]\nout_v = 20.05\nthdn_pct = 1.0\nsupply_v = 14.4\n"}
	for _, row := range []struct {
		name   string
		edits  []edit
		retest bool
	}{
		{"a further run", []edit{further}, true},
		{"a reading", []edit{lowered}, false},
		{"both", []edit{lowered, further}, false},
	} {
		st := statusOf(t, sealOf(t, nil, day1), row.edits...)
		if len(st.Uncovered) == 0 {
			t.Fatalf("%s changes nothing", row.name)
		}
		table := strings.Join(st.Table("2026-06-01"), "\n")
		if got := strings.Contains(table, `kind = "retest" # `); got != row.retest || strings.Contains(table, `kind = "mistake" # `) == got {
			t.Errorf("%s: the table is\n%s", row.name, table)
		}
		said := slices.ContainsFunc(st.Problems, func(p record.Problem) bool {
			return strings.Contains(p.Hint, "run r9 was added; tell of it in a [[correction]] of the kind retest")
		})
		if said != row.retest {
			t.Errorf("%s: it says %v", row.name, st.Problems)
		}
	}
}
