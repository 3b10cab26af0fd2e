package sheet

import (
	"math"
	"testing"

	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// twoAcross has two channels that stand at the claim's distortion in one run each: L
// below the claim's voltage with 90.7 W, R above it with 104.6 W. By hand: carried with
// k = 0 channel L is short, with k = 2.6 channel R is, as 104.6·(14.4/15.2)^2.6 = 90.8 W;
// but at k = 1.3 both have 97.6 W, which is within their uncertainty.
const twoAcross = `
[[claim]]
id = "c"
power_w = 100
load_ohm = 4
channels = 2
supply_v = 14.4
thdn_pct = 1
[[run]]
id = "low"
method = "thd1"
load = ["a4", "b4"]
out_v = [19.05, 19.9]
thdn_pct = [1.0, 1.2]
supply_v = 13.6
[[run]]
id = "high"
method = "thd1"
load = ["a4", "b4"]
out_v = [20.6, 20.45]
thdn_pct = [1.2, 1.0]
supply_v = 15.2
`

// A claim is short where one channel is at 0 and another at 2.6, only if none of the
// exponents between leaves both of them within reach.
func TestChannelsMeetBetween(t *testing.T) {
	c := evaluate(t, testSite, twoAcross).Claims[0]
	if c.Verdict != verdict.Open || c.Reason != verdict.Supply {
		t.Errorf("%s, reason %q; want open, for the supply", c.Verdict, c.Reason)
	}
	first, last := c.Corners[0], c.Corners[len(c.Corners)-1]
	if first.Verdict != verdict.Short || last.Verdict != verdict.Short || first.Weakest == last.Weakest {
		t.Fatalf("the ends are %+v and %+v, want both short, by different channels", first, last)
	}
	// No exponent leaves more than the bar's end and the largest p say.
	var carriers []*carrier
	for _, g := range c.groups {
		carriers = append(carriers, newCarrier(g.classes[classAt], 14.4, 4))
	}
	end, p := math.Inf(-1), 0.0
	for i := range 2601 {
		k := float64(i) / 1000
		for _, m := range []float64{-1, 1} {
			lowest, least := math.Inf(1), 1.0
			for _, by := range carriers {
				at := by.at(k, m)
				lowest = math.Min(lowest, at.Y+quantity.Quantile(0.975, at.DoF)*at.U)
				least = math.Min(least, quantity.ProbabilityAtLeast(at.Y, at.U, at.DoF, c.LimitW))
			}
			end, p = math.Max(end, lowest), math.Max(p, least)
		}
	}
	if math.Abs(end-c.BarHigh) > 1e-2 || end > c.BarHigh*(1+1e-5) {
		t.Errorf("the bar ends at %v W, between the ends of the exponent channels reach %v W", c.BarHigh, end)
	}
	if math.Abs(p-c.PMax) > 1e-3 || p > c.PMax+1e-5 {
		t.Errorf("p is at most %v, between the ends of the exponent it is up to %v", c.PMax, p)
	}
}

// Runs that don't speak, as others of their channel stand at the claim's distortion, don't
// bring exponents of their own: the one that speaks lies on one side of the voltage.
func TestOnlyWhatSpeaksHasExponents(t *testing.T) {
	beyond := func(id, volts, out string) string {
		return run(id, "thdn_pct = 1.5", "supply_v = "+volts, "out_v = "+out)
	}
	c := evaluate(t, testSite, claim75+run("a", "supply_v = 14.3", "out_v = 17.2")+beyond("b", "14", "17.3")+beyond("c", "14.8", "18.2")).Claims[0]
	if c.Channels[0].Class != classAt || len(c.groups[0].classes[classAbove]) != 2 {
		t.Fatalf("the runs are of the classes %v", c.groups[0].classes)
	}
	for _, at := range c.Corners {
		if at.K != 0 && at.K != supplyMost {
			t.Errorf("a corner at k = %v, which no run that decides asks for", at.K)
		}
	}
}
