package sheet

import (
	"slices"
	"strings"
	"testing"
)

// What is said of an instrument before a run is found after one that was read with it.
func TestMisfitsAreFindings(t *testing.T) {
	seen := map[string]bool{}
	for _, keys := range []string{"", "crest_factor = 3\n", "crest_factor = 3\nshortest_burst_ms = 20\n", "shortest_burst_ms = 21\n", "crest_factor = 1.2\n"} {
		bench := strings.Replace(testBench, "bandwidth_hz = 20000\n", "bandwidth_hz = 20000\n"+keys, 1)
		bench = strings.Replace(bench, "id = \"an\"\n", "id = \"an\"\nbandwidth_hz = 20001\n", 1)
		for _, at := range [][]string{nil, {"freq_hz = 6667"}, {"freq_hz = 6668"}, {"freq_hz = 20000"}, {"freq_hz = 20001"}, {`method = "burst"`}, {`method = "burst"`, "freq_hz = 30000"}} {
			s := evaluateAt(t, testSite, bench, testMethods, testUnit+claim75+run("a", at...))
			r := s.Runs[0]
			var said, found []string
			for _, name := range []string{"out_v", "supply_v", "thdn_pct"} {
				for _, m := range Misfits(r.Method, r.Rec.InstrumentFor(name, s.Content.Bench), name, r.FreqHz) {
					said = append(said, name+" "+m.ID)
					seen[m.ID] = true
					if m.Text == "" {
						t.Errorf("%s has no text", m.ID)
					}
				}
				for _, f := range s.Findings {
					if strings.Contains(f.ID, "beyond-") && strings.Contains(f.Text, name) {
						found = append(found, name+" "+f.ID)
					}
				}
			}
			slices.Sort(said)
			slices.Sort(found)
			if !slices.Equal(said, found) {
				t.Errorf("%q, %q: said %v, found %v", keys, at, said, found)
			}
		}
	}
	if len(seen) != 4 {
		t.Errorf("seen are only %v", seen)
	}
}
