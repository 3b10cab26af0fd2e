package sheet

import (
	"slices"
	"testing"
)

// A current is compared with what the supplies at that voltage give, where bench.toml says
// so of all of them: 62 A are above 60 A for sure, 60.2 A aren't, by a clamp good to 1 %.
func TestCurrentAboveSupply(t *testing.T) {
	lab := "[[supply]]\nid = \"lab\"\nname = \"laboratory supply\"\nvolts = 14.4\namps = 60\n"
	for _, row := range []struct {
		supplies, amps string
		want           bool
	}{
		{lab, "62", true},
		{lab, "60.2", false},
		{"", "62", false},
		{lab + "[[supply]]\nid = \"bank\"\nname = \"batteries\"\nvolts = 13.8\n", "62", false},
		{lab + "[[supply]]\nid = \"other\"\nname = \"for trucks\"\nvolts = 28.8\namps = 100\n", "62", true},
	} {
		s := evaluateAt(t, testSite, testBench+row.supplies, testMethods, testUnit+claim75+run("a", "supply_a = "+row.amps))
		if got := slices.ContainsFunc(s.Findings, func(f Finding) bool { return f.ID == "current-above-supply" }); got != row.want {
			t.Errorf("%s A with %q: found %v", row.amps, row.supplies, got)
		}
	}
}
