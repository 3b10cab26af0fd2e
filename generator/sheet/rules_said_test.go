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

// A site's rule by its name decides as the row of that rule under each claim says,
// and as its probabilities do.
func TestRuleByName(t *testing.T) {
	for i, r := range []struct{ name, bounds string }{
		{"simple", "met_from = 0.5\nshort_to = 0.5"},
		{"guarded", "met_from = 0.95\nshort_to = 0.05"},
		{"guarded-by-U", "met_from = 0.975\nshort_to = 0.025"},
	} {
		for _, v := range []string{"17.00", "17.09", "17.25", "17.40", "17.56", "17.80"} {
			runs := claim75 + run("a", "out_v = "+v)
			named := evaluate(t, testSite+"[rule]\nacceptance = \""+r.name+"\"\n", runs)
			byBounds := evaluate(t, testSite+"[rule]\n"+r.bounds+"\n", runs)
			c, o := named.Claims[0], byBounds.Claims[0]
			if c.Verdict != o.Verdict || c.PText != o.PText || c.FlipText != o.FlipText {
				t.Errorf("%s at %s V: %s, %s; by its bounds %s, %s", r.name, v, c.Verdict, c.PText, o.Verdict, o.PText)
			}
			if len(c.Rules) != 3 || !c.Rules[i].Own || c.Rules[i].Acceptance != r.name || c.Rules[i].Verdict != c.Verdict {
				t.Errorf("%s at %s V: %+v, the claim is %s", r.name, v, c.Rules, c.Verdict)
			}
			if says := RuleOf(named.Content.Site); says.Acceptance != r.name || says != RuleOf(byBounds.Content.Site) {
				t.Errorf("%s: the rule is called %+v", r.name, says)
			}
		}
	}
}

// By simple acceptance there is nothing between met and short, also of two
// channels, so long as all corners agree: the second channel a hair below 75 W.
func TestSimpleAcceptanceOfTwoChannels(t *testing.T) {
	const two = `[[claim]]
id = "c"
load_ohm = 4
channels = 2
power_w = 75
supply_v = 14.4
thdn_pct = 1
`
	for _, r := range []struct {
		second string
		want   verdict.Word
	}{{"17.30", verdict.Short}, {"17.34", verdict.Met}} { // 17.3205 V are 75 W in 4 Ω
		runs := two + "[[run]]\nid = \"a\"\nmethod = \"thd1\"\nload = [\"a4\", \"b4\"]\nout_v = [17.80, " + r.second + "]\nsupply_v = 14.40\nthdn_pct = [1.00, 1.00]\n"
		c := evaluate(t, testSite+"[rule]\nacceptance = \"simple\"\n", runs).Claims[0]
		if c.Verdict != r.want {
			t.Errorf("%s V: %s (%s), want %s", r.second, c.Verdict, c.Why, r.want)
		}
	}
}
