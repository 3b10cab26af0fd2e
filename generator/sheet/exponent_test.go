package sheet

import (
	"math"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/verdict"
)

// at is a run at a supply voltage.
func at(id, supply, out string, more ...string) string {
	return run(id, append([]string{"supply_v = " + supply, "out_v = " + out}, more...)...)
}

// Volts in proportion to the supply's make power with its square; constant volts are
// a regulated supply's.
func TestExponentOfRuns(t *testing.T) {
	for _, r := range []struct {
		name, low, says string
		k               float64
	}{
		{"unregulated", "15.75", "near 2, as of an unregulated supply", 2},
		{"regulated", "18", "near 0, as of a regulated supply", 0},
		{"between", "16.837", "between a regulated supply (0) and an unregulated one (2)", 1},
		{"a fixed drop", "15.225", "above 2, as of an unregulated supply with a fixed drop", 2.508},
	} {
		s := evaluate(t, testSite, claim75+at("a", "14.4", "18")+at("b", "12.6", r.low)).Exponent
		if s == nil || !s.Usable || math.Abs(s.K.X-r.k) > 0.001 || !strings.Contains(s.Text, r.says) || s.Outside {
			t.Errorf("%s: %+v", r.name, s)
		}
	}
}

// The uncertainty by hand: of two runs on one element, whose error cancels, k =
// ln(P1/P2)/ln(V1/V2) has the parts 2·u(V)/V of the voltmeter (0.8 % + 3 digits, taken
// as independent), 1 % of the pool, k·0.1 % of the supply's meter.
func TestExponentUncertainty(t *testing.T) {
	k := evaluate(t, testSite, claim75+at("a", "14.4", "18")+at("b", "12.6", "15.75")).Exponent.K
	variance := 0.0
	for _, v := range []float64{18, 15.75} {
		volts := 2 * (0.008*v + 0.03) / v / math.Sqrt(3)
		variance += volts*volts + 0.01*0.01 + 4*0.001*0.001/3
	}
	want := math.Sqrt(variance) / math.Log(14.4/12.6)
	if math.Abs(k.Std-want) > 1e-9*want {
		t.Errorf("u(k) = %.12g, by hand %.12g", k.Std, want)
	}
	// a gain stated as common cancels: of the voltmeter only the digits are left
	common := `with = { out_v = "common" }`
	k = evaluate(t, testSite, claim75+at("a", "14.4", "18", common)+at("b", "12.6", "15.75", common)).Exponent.K
	variance = 0
	for _, v := range []float64{18, 15.75} {
		half, shared := 0.008*v+0.03, 0.008*v
		volts := 2 * math.Sqrt(half*half-shared*shared) / v / math.Sqrt(3)
		variance += volts*volts + 0.01*0.01 + 4*0.001*0.001/3
	}
	if want = math.Sqrt(variance) / math.Log(14.4/12.6); math.Abs(k.Std-want) > 1e-9*want {
		t.Errorf("with a common gain u(k) = %.12g, by hand %.12g", k.Std, want)
	}
}

// Runs that differ in something else, or not enough, give no exponent.
func TestNoExponentOfRuns(t *testing.T) {
	for name, second := range map[string]string{
		"4.9 % apart":          at("b", "13.73", "17"),
		"another element":      at("b", "12.6", "15.75", `load = "b4"`),
		"another method":       at("b", "12.6", "15.75", `method = "long"`),
		"another frequency":    at("b", "12.6", "15.75", "freq_hz = 100"),
		"another channel":      at("b", "12.6", "15.75", `driven = ["R"]`),
		"more channels":        at("b", "12.6", "[15.75, 15.75]", `driven = ["L", "R"]`, `load = ["a4", "b4"]`, "thdn_pct = [1, 1]"),
		"below the distortion": at("b", "12.6", "15.75", "thdn_pct = 0.9"),
		"a shutdown":           at("b", "12.6", "15.75", `outcome = "protected"`),
		"marked invalid":       at("b", "12.6", "15.75", `invalid = "a lead was off"`),
		"a held peak":          at("b", "12.6", "15.75", `read_as = { out_v = "held-max" }`),
		"no supply voltage":    run("b", "supply_v =", "out_v = 15.75"),
	} {
		if s := evaluate(t, testSite, claim75+at("a", "14.4", "18")+second).Exponent; s != nil {
			t.Errorf("%s: %s", name, s.Text)
		}
	}
	if s := evaluate(t, testSite, claim75+at("a", "14.4", "18")+at("b", "13.71", "17")).Exponent; s == nil {
		t.Error("runs 5 % apart give none")
	}
}

// Runs that don't agree with one exponent, or leave it too uncertain, or have an
// incomplete uncertainty, are told but not used.
func TestExponentThatIsNotUsed(t *testing.T) {
	noisy := strings.ReplaceAll(testMethods, "rel_pct = 1", "rel_pct = 3")
	without := strings.Replace(testMethods, "pool = { rel_pct = 1, dof = 8 }\n", "", 1)
	for _, r := range []struct{ name, methods, runs, says string }{
		{"a knee", testMethods, at("a", "15.1", "18.4") + at("b", "14.4", "18.4") + at("c", "13.2", "15.1"), "don't agree with one exponent"},
		{"a noisy method", noisy, at("a", "14.4", "18") + at("b", "13.6", "17"), "too uncertain"},
		{"no pool", without, at("a", "14.4", "18") + at("b", "12.6", "15.75"), "incomplete"},
	} {
		s := evaluateAt(t, testSite, testBench, r.methods, testUnit+claim75+r.runs)
		x := s.Exponent
		if x == nil || x.Usable || !strings.Contains(x.Text, "not estimated") || !strings.Contains(x.Text, r.says) {
			t.Errorf("%s: %+v", r.name, x)
		}
		for _, c := range s.Claims {
			if c.Estimate != nil && c.Estimate.Channels[0].Own != nil {
				t.Errorf("%s: an exponent that isn't usable is used", r.name)
			}
		}
	}
}

// The channels of a run count once in χ²: two channels that say the same are no more
// evidence than one.
func TestExponentCountsARunOnce(t *testing.T) {
	runs := func(extra ...string) string {
		out := func(id, supply, v string) string {
			if extra != nil {
				v = "[" + v + ", " + v + "]"
			}
			return at(id, supply, v, extra...)
		}
		return out("a", "14.4", "18") + out("b", "13.5", "17.1") + out("c", "12.6", "15.6")
	}
	one := evaluate(t, testSite, claim75+runs()).Exponent
	two := evaluate(t, testSite, claim75+runs(`driven = ["L", "R"]`, `load = ["a4", "b4"]`, "thdn_pct = [1, 1]")).Exponent
	if one.Free != 1 || two.Free != 1 || math.Abs(one.Chi2-two.Chi2) > 1e-9 || math.Abs(one.K.X-two.K.X) > 1e-9 {
		t.Errorf("χ² %v with %d, and %v with %d; k %v and %v", one.Chi2, one.Free, two.Chi2, two.Free, one.K.X, two.K.X)
	}
	// they share the pool's scatter, so that u(k) shrinks by less than 1/√2
	if two.K.Std > one.K.Std || two.K.Std < 0.8*one.K.Std {
		t.Errorf("u(k) = %v of one channel, %v of two", one.K.Std, two.K.Std)
	}
}

// The order of the runs in the record changes nothing.
func TestExponentInAnyOrder(t *testing.T) {
	parts := []string{at("a", "14.4", "18"), at("b", "13.5", "17.1"), at("c", "12.6", "15.6"), at("d", "12.6", "15.8")}
	first := evaluate(t, testSite, claim75+strings.Join(parts, "")).Exponent
	slices.Reverse(parts)
	second := evaluate(t, testSite, claim75+strings.Join(parts, "")).Exponent
	if math.Abs(first.K.X-second.K.X) > 1e-12 || first.K.Text != second.K.Text || math.Abs(first.Chi2-second.Chi2) > 1e-9 {
		t.Errorf("k = %v and %v, χ² = %v and %v", first.K.X, second.K.X, first.Chi2, second.Chi2)
	}
}

// A run below the claim's voltage: the range is P and P·(14.4/13.5)^2.6, with the
// uncertainty of the power and 2.6 times that of the supply's meter.
func TestEstimateAtTheClaimsVoltage(t *testing.T) {
	c := evaluate(t, testSite, claim75+at("a", "13.5", "18")).Claims[0]
	if c.Estimate == nil || len(c.Estimate.Channels) != 1 {
		t.Fatalf("%+v", c.Estimate)
	}
	e := c.Estimate.Channels[0]
	up := math.Pow(14.4/13.5, 2.6)
	wantHigh := 81 * up * math.Hypot(c.Weakest.Mean.Std/81, 2.6*0.001/math.Sqrt(3))
	if e.LowK != 0 || e.HighK != 2.6 || math.Abs(e.Low.X-81) > 1e-9 || math.Abs(e.High.X-81*up) > 1e-9 || math.Abs(e.High.Std-wantHigh) > 1e-9 || math.Abs(e.Low.Std-c.Weakest.Mean.Std) > 1e-12 {
		t.Errorf("%s at %v to %s at %v", e.Low.Text, e.LowK, e.High.Text, e.HighK)
	}
	if !strings.HasPrefix(c.Estimate.Text, "Estimate, not measured") || !strings.Contains(c.Estimate.Text, "decides nothing") || e.Own != nil {
		t.Error(c.Estimate.Text)
	}
	// above the claim's voltage the ends change places
	e = evaluate(t, testSite, claim75+at("a", "15.1", "18")).Claims[0].Estimate.Channels[0]
	if e.LowK != 2.6 || e.HighK != 0 || math.Abs(e.High.X-81) > 1e-9 {
		t.Errorf("%s at %v to %s at %v", e.Low.Text, e.LowK, e.High.Text, e.HighK)
	}
	// with runs on both sides the least lies between: no end of it is above
	both := evaluate(t, testSite, claim75+at("a", "15.12", "18")+at("b", "13.75", "18")).Claims[0].Estimate.Channels[0]
	if !(both.LowK > 0 && both.LowK < 2.6) || both.Low.X > 81 || both.High.X < 81 {
		t.Errorf("%s at %v to %s at %v", both.Low.Text, both.LowK, both.High.Text, both.HighK)
	}
}

// Where runs stand within 0.5 % of the claim's voltage, nothing is estimated.
func TestNoEstimate(t *testing.T) {
	for supply, want := range map[string]bool{"14.4": false, "14.33": false, "14.47": false, "14.32": true, "14.48": true} {
		if got := evaluate(t, testSite, claim75+at("a", supply, "18")).Claims[0].Estimate != nil; got != want {
			t.Errorf("at %s V: %v, want %v", supply, got, want)
		}
	}
	for name, runs := range map[string]string{
		"no run": "", "another load": at("a", "13.5", "18", `load = "a2"`), "too far": at("a", "12.9", "18"), "no supply voltage": run("a", "supply_v ="),
	} {
		if e := evaluate(t, testSite, claim75+runs).Claims[0].Estimate; e != nil {
			t.Errorf("%s: %s", name, e.Text)
		}
	}
}

// With an exponent from the unit's own runs there is a figure with it, which lies in
// the range; a verdict that the range spans stays open, whatever that figure says.
func TestEstimateByOwnExponent(t *testing.T) {
	claim := strings.Replace(claim75, "power_w = 75", "power_w = 85", 1)
	others := at("x", "14.4", "[18, 18]", `load = ["a8", "a2"]`, `driven = ["L", "R"]`, "thdn_pct = [1, 1]") + at("y", "12.6", "[15.75, 15.75]", `load = ["a8", "a2"]`, `driven = ["L", "R"]`, "thdn_pct = [1, 1]")
	s := evaluate(t, testSite, claim+at("a", "13.5", "18")+others)
	c := s.Claims[0]
	e := c.Estimate.Channels[0]
	if e.Own == nil || e.Own.X <= e.Low.X || e.Own.X >= e.High.X || math.Abs(e.Own.X-81*math.Pow(14.4/13.5, 2)) > 1e-6 || !strings.Contains(c.Estimate.Text, "from its own runs") {
		t.Fatalf("%+v, %s", e.Own, c.Estimate.Text)
	}
	if e.Own.Std <= e.Low.Std {
		t.Errorf("the exponent's uncertainty is not in u = %v", e.Own.Std)
	}
	if c.Verdict != verdict.Open || !strings.Contains(c.Reason, verdict.Supply) || e.Own.X < 85 {
		t.Errorf("%s (%s): %s", c.Verdict, c.Reason, c.Estimate.Text)
	}
	burst := strings.Replace(claim, "thdn_pct = 1", "thdn_pct = 1\nsignal = \"burst\"", 1)
	s = evaluate(t, testSite, burst+at("a", "13.5", "18", `method = "burst"`, `read_as = { supply_v = "held-min" }`)+others)
	if e := s.Claims[0].Estimate; e == nil || e.Channels[0].Own != nil || s.Exponent == nil {
		t.Errorf("a burst is carried by the exponent of continuous runs: %+v", e)
	}
}
