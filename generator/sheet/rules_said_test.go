package sheet

import (
	"testing"

	"wattsheet/generator/verdict"
)

// A claim moved through the value: what each rule says, from the most lenient to
// the strictest. u is 1.4 % of the power; 75 W are claimed.
func TestWhatEveryRuleSays(t *testing.T) {
	rows := []struct {
		v                       string
		simple, guarded, strict verdict.Word
	}{
		{"17.00", verdict.Short, verdict.Short, verdict.Short},
		{"17.09", verdict.Short, verdict.Short, verdict.Open},
		{"17.25", verdict.Short, verdict.Open, verdict.Open},
		{"17.40", verdict.Met, verdict.Open, verdict.Open},
		{"17.56", verdict.Met, verdict.Met, verdict.Open},
		{"17.80", verdict.Met, verdict.Met, verdict.Met},
	}
	for _, r := range rows {
		c := evaluate(t, testSite, claim75+run("a", "out_v = "+r.v)).Claims[0]
		if len(c.Rules) != 3 {
			t.Fatalf("%d rules, want three: the site's own is one of the usual", len(c.Rules))
		}
		got := []verdict.Word{c.Rules[0].Verdict, c.Rules[1].Verdict, c.Rules[2].Verdict}
		if got[0] != r.simple || got[1] != r.guarded || got[2] != r.strict {
			t.Errorf("%s V: %v, want %s, %s, %s (p %v)", r.v, got, r.simple, r.guarded, r.strict, c.PMin)
		}
		if !c.Rules[1].Own || c.Rules[1].Verdict != c.Verdict {
			t.Errorf("%s V: the site's own rule says %s, the claim is %s", r.v, c.Rules[1].Verdict, c.Verdict)
		}
	}
}
