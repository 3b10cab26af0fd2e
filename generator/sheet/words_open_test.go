package sheet

import (
	"strings"
	"testing"
)

// Why a claim is open names the run, the difference, or the condition, and never two
// things of which only one is so.
func TestWhyOpenNamesIt(t *testing.T) {
	two := strings.Replace(claim75, "channels = 1", "channels = 2", 1)
	noThdn := strings.Replace(claim75, "thdn_pct = 1\n", "", 1)
	bare := strings.Replace(noThdn, "supply_v = 14.4\n", "", 1)
	long := bare + "duration_s = 300\n"
	both := func(more ...string) string {
		return run("a", append([]string{`driven = ["L", "R"]`, `load = ["a4", "b4"]`, "out_v = [18, 18.4]", "thdn_pct = [1.0, 1.3]"}, more...)...)
	}
	rows := []struct{ name, claim, runs, why, use string }{
		{"channels of one run in two classes", two, both(),
			"The runs bound the power but don't decide: L: at the claim's distortion; R: at 1.300 % distortion, above the claim's 1 %.",
			"L: at the claim's distortion; R: at 1.300 % distortion, above the claim's 1 %"},
		{"channels in one class", two, both("thdn_pct = [1.3, 1.31]"),
			"The runs bound the power but don't decide: at 1.300 % distortion, above the claim's 1 %.", "at 1.300 % distortion, above the claim's 1 %"},
		{"channels at the claim's distortion", two, both("thdn_pct = [1.0, 1.0]"), "(81.0 ± 2.5) W measured", "at the claim's distortion"},
		{"less power at more distortion", claim75, run("a", "thdn_pct = 0.5") + run("b", "thdn_pct = 1.4", "out_v = 16"),
			"The runs contradict each other, with more power where they bound it from below than where from above: at 0.500 % distortion, below the claim's 1 %; at 1.400 % distortion, above the claim's 1 %.",
			"at 0.500 % distortion, below the claim's 1 %"},
		{"a shutdown", claim75, run("b", `outcome = "protected"`, "lasted_s = 1.5") + run("a") + run("c", `outcome = "stopped"`),
			"The figures say met, but the unit shut down in run b after 1.5 s; the tester stopped run c.", "the unit shut down (protection)"},
		{"a fuse", claim75, run("b", `outcome = "fuse"`) + run("a"), "The figures say met, but the unit's fuse blew in run b.", "the unit's fuse blew"},
		{"meters disagree", claim75, run("a", "power_w = 90"),
			"Watt-meter and volts disagree by more than their uncertainty: in run a they differ by (9.0 ± 1.9) W.", "at the claim's distortion"},
		{"distortion assumed", noThdn, run("a", "out_v = 16"),
			"It falls short with the assumed 1 % THD+N, which the claim doesn't state; with 10 % instead the same runs don't show it.", "at the assumed distortion"},
		{"both assumed", bare, run("a", "out_v = 16"),
			"It falls short with the assumed 1 % THD+N and 14.4 V supply, which the claim doesn't state; with 10 % and 15.84 V instead the same runs don't show it.", "at the assumed distortion"},
		{"a duration not lasted, conditions assumed", long, run("a", `method = "long"`, `outcome = "protected"`, "lasted_s = 212"),
			"But the claim doesn't state all its conditions; assumed: 1 % THD+N, 14.4 V supply.", "it decides: the unit shut down (protection)"},
		{"a load too far off", claim75, run("a", `load = "far4"`, "out_v = 20"),
			"The load at the terminals was 4.300 Ω, more than 5 % off the claim's 4 Ω: too far to say what the unit would have given into 4 Ω.", "at the claim's distortion"},
	}
	for _, r := range rows {
		c := evaluate(t, testSite, r.claim+r.runs).Claims[0]
		plain := func(text string) string { return strings.ReplaceAll(text, nbsp, " ") }
		if why, use := plain(c.Why), plain(c.Uses[0].Why); !strings.Contains(strings.ToLower(why), strings.ToLower(r.why)) || use != r.use {
			t.Errorf("%s:\ngot  %s (%s)\nwant %s (%s)", r.name, why, use, r.why, r.use)
		}
	}
}

// Bounds on p that exclude each other are no range of it.
func TestNoRangeOfContradictingBounds(t *testing.T) {
	c := evaluate(t, testSite, claim75+run("a", "thdn_pct = 0.5")+run("b", "thdn_pct = 1.4", "out_v = 16")).Claims[0]
	if c.PMin <= c.PMax || c.PText != "" {
		t.Errorf("p is at least %v and at most %v, written %q; want bounds that exclude each other, and no text", c.PMin, c.PMax, c.PText)
	}
}
