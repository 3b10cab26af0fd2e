package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// claimOf is the claim of the tests with another power and number of channels.
func claimOf(watts float64, channels int) string {
	return strings.NewReplacer("power_w = 75", fmt.Sprintf("power_w = %.17g", watts), "channels = 1", fmt.Sprint("channels = ", channels)).Replace(claim75)
}

// passed are the verdicts that a claim passes as its power rises, each change once.
func passed(t *testing.T, channels int, runs string) (words []verdict.Word) {
	for watts := 60.0; watts <= 105; watts += 0.5 {
		c := evaluate(t, testSite, claimOf(watts, channels)+runs).Claims[0]
		if len(words) == 0 || words[len(words)-1] != c.Verdict {
			words = append(words, c.Verdict)
		}
		if met, short := c.BarLow >= c.LimitW, c.BarHigh <= c.LimitW; met != (c.Verdict == verdict.Met) || short != (c.Verdict == verdict.Short) {
			t.Errorf("%v W: %s, but the bar is %v … %v", watts, c.Verdict, c.BarLow, c.BarHigh)
		}
	}
	return words
}

// A claim that rises through what was measured passes met, open, short, each bound
// once (JCGM 106:2012, 8.3): of one channel, of two, of repeats, and of runs on
// both sides of its voltage, whose worst supply exponent moves with it.
func TestClaimRisesThroughItsRuns(t *testing.T) {
	two := func(id, l, r, volts string) string {
		return run(id, `driven = ["L", "R"]`, `load = ["a4", "b4"]`, "out_v = ["+l+", "+r+"]", "thdn_pct = [1.0, 1.0]", "supply_v = "+volts)
	}
	for _, r := range []struct {
		name     string
		channels int
		runs     string
	}{
		{"one run", 1, run("a")},
		{"repeats", 1, run("a") + run("b", "out_v = 18.1") + run("c", "out_v = 17.9")},
		{"both sides of the voltage", 1, run("a", "supply_v = 14.1") + run("b", "supply_v = 14.7")},
		{"two channels", 2, two("a", "18", "17.8", "14.4")},
		{"two channels, repeats on both sides", 2, two("a", "18", "17.8", "14.2") + two("b", "18.05", "17.9", "14.5")},
	} {
		t.Run(r.name, func(t *testing.T) {
			t.Parallel()
			if words := passed(t, r.channels, r.runs); !slices.Equal(words, []verdict.Word{verdict.Met, verdict.Open, verdict.Short}) {
				t.Errorf("passes %v, want met, open, short", words)
			}
		})
	}
}

// The order in which runs stand in the record decides nothing.
func TestOrderOfRunsDecidesNothing(t *testing.T) {
	runs := []string{run("a", "supply_v = 14.2"), run("b", "out_v = 18.2", "supply_v = 14.6"), run("c", "out_v = 17.8"), run("d", "out_v = 18.4", "thdn_pct = 3"), run("e", `invalid = "misread"`)}
	want := evaluate(t, testSite, claimOf(79, 1)+strings.Join(runs, "")).Claims[0]
	rapid.Check(t, func(r *rapid.T) {
		got := evaluate(t, testSite, claimOf(79, 1)+strings.Join(rapid.Permutation(runs).Draw(r, "order"), "")).Claims[0]
		for _, pair := range [][2]float64{{got.PMin, want.PMin}, {got.PMax, want.PMax}, {got.BarLow, want.BarLow}, {got.BarHigh, want.BarHigh}, {got.Weakest.Mean.X, want.Weakest.Mean.X}, {got.Weakest.Mean.Std, want.Weakest.Mean.Std}} {
			if math.Abs(pair[0]-pair[1]) > 1e-9*math.Abs(pair[1]) {
				r.Fatalf("%v, in another order %v", pair[1], pair[0])
			}
		}
	})
}

// Watts in another measure: readings and claim times the same factor have the same
// p, on a meter that is specified in percent of reading.
func TestScaleDecidesNothing(t *testing.T) {
	metered := func(f float64) string {
		return claimOf(80*f, 1) + run("a", "out_v =", fmt.Sprintf("power_w = %.17g", 81*f), "supply_v = 14.3") + run("b", "out_v =", fmt.Sprintf("power_w = %.17g", 80.2*f), "supply_v = 14.5")
	}
	want := evaluate(t, testSite, metered(1)).Claims[0]
	rapid.Check(t, func(r *rapid.T) {
		f := rapid.SampledFrom([]float64{0.001, 0.25, 0.7456999, 3.412141633, 20, 60}).Draw(r, "factor")
		got := evaluate(t, testSite, metered(f)).Claims[0]
		if math.Abs(got.PMin-want.PMin) > 1e-8 || math.Abs(got.PMax-want.PMax) > 1e-8 || got.Verdict != want.Verdict {
			r.Fatalf("times %v: p %v to %v, %s; want %v to %v", f, got.PMin, got.PMax, got.Verdict, want.PMin, want.PMax)
		}
	})
}

// The order of the channels decides nothing either, nor which of them is weak.
func TestOrderOfChannelsDecidesNothing(t *testing.T) {
	two := func(l, r string) *Claim {
		return evaluate(t, testSite, claimOf(79, 2)+run("a", `driven = ["L", "R"]`, `load = ["a4", "b4"]`, "out_v = ["+l+", "+r+"]", "thdn_pct = [1.0, 1.0]")).Claims[0]
	}
	a, b := two("18", "17.7"), two("17.7", "18")
	if a.PMin != b.PMin || a.Verdict != b.Verdict || a.Weakest.Name != "R" || b.Weakest.Name != "L" {
		t.Errorf("p %v and %v, %s and %s, weakest %s and %s", a.PMin, b.PMin, a.Verdict, b.Verdict, a.Weakest.Name, b.Weakest.Name)
	}
}

// Limits of the rules, beside those of TestBoundaries: at the value as a tester
// writes it, and a billionth below and above. Limits that are no decimal number are
// tried at their neighbouring floats.
func TestMoreBoundaries(t *testing.T) {
	s := evaluate(t, testSite, claim75+run("a", "power_w = 81")+run("b"))
	e := &evaluator{content: s.Content, rec: s.Record}
	r, c := s.Runs[0], &s.Record.Claims[0]
	ch := r.Channels[0]
	groups := []*group{{"L", map[string][]sample{classAt: {{r, ch}}}}}
	lost := func(v float64) bool {
		r.SupplyV.X = v
		reason, _ := e.lost(c, e.termsOf(c), r)
		r.SupplyV.X = 14.4
		return reason != ""
	}
	for _, row := range []struct {
		name  string
		limit float64
		holds func(x float64) bool
		want  [3]bool // below, at, above
	}{
		{"nominal load, upper", 4.04, func(x float64) bool { ch.Nominal = x; return len(channelsFor(c, r)) == 1 }, [3]bool{true, true, false}},
		{"nominal load, lower", 3.96, func(x float64) bool { ch.Nominal = x; return len(channelsFor(c, r)) == 1 }, [3]bool{false, true, true}},
		{"load beyond the corners, upper", 4.2, func(x float64) bool { ch.Resistance.X = x; return offLoad(groups, 4) != nil }, [3]bool{false, false, true}},
		{"load beyond the corners, lower", 3.8, func(x float64) bool { ch.Resistance.X = x; return offLoad(groups, 4) != nil }, [3]bool{true, false, false}},
		{"supply, lower", 12.96, lost, [3]bool{true, false, false}},
		{"watt-meter and volts, upper", ch.Check.U, func(x float64) bool { ch.Check.X = x; return disagreeing(groups) != nil }, [3]bool{false, false, true}},
		{"watt-meter and volts, lower", -ch.Check.U, func(x float64) bool { ch.Check.X = x; return disagreeing(groups) != nil }, [3]bool{true, false, false}},
		{"one frequency, upper", 1010, inOne(1000), [3]bool{true, true, false}},
		{"one frequency, lower", 990, inOne(1000), [3]bool{false, true, true}},
		{"a band's upper end", 20200, inOne(20, 20000), [3]bool{true, true, false}},
		{"a band's lower end", 19.8, inOne(20, 20000), [3]bool{false, true, true}},
		{"repeats' supply", 14.832, func(x float64) bool {
			r.SupplyV.X = x
			defer func() { r.SupplyV.X = 14.4 }()
			return nearSupply(r, s.Runs[1])
		}, [3]bool{true, true, false}},
		{"a method that answers up to a duration", 2, func(x float64) bool {
			long := *c
			long.DurationS = record.Number{Place: c.PowerW.Place, Value: x, Text: "2"}
			_, why := e.unlike(&long, r, 1)
			return why == ""
		}, [3]bool{true, true, false}},
		{"shut down before the claimed duration", 3, func(x float64) bool {
			long := *c
			long.DurationS = record.Number{Place: c.PowerW.Place, Value: 3, Text: "3"}
			rec := *r.Rec
			rec.Outcome, rec.LastedS = "protected", record.Number{Place: c.PowerW.Place, Value: x, Text: "3"}
			return shutBefore(&long, []*Run{{Rec: &rec}}) != nil
		}, [3]bool{true, false, false}},
		{"an inequality that is sure", 1.6448536269515, // NIST/SEMATECH, 1.3.6.7.1, and SciPy, rounded up in the 14th digit
			func(x float64) bool {
				return exceeds(quantity.New(x, "W", 1, quantity.Source{ID: "u", DoF: math.Inf(1)}), 0)
			}, [3]bool{false, true, true}},
	} {
		at := [3]float64{row.limit * (1 - 1e-9), row.limit, row.limit * (1 + 1e-9)}
		if row.limit < 0 {
			at[0], at[2] = at[2], at[0]
		}
		if strings.HasPrefix(row.name, "watt-meter") {
			at = [3]float64{math.Nextafter(row.limit, math.Inf(-1)), row.limit, math.Nextafter(row.limit, math.Inf(1))}
		}
		for i, x := range at {
			if got := row.holds(x); got != row.want[i] {
				t.Errorf("%s at %.17g: %t, want %t", row.name, x, got, row.want[i])
			}
		}
		ch.Nominal, ch.Resistance.X, ch.Check.X = 4, 4, 0
	}
}

// What decimal numbers just reach is reached: binary ones are a bit off in half of
// all cases.
func TestLimitsAreDecimal(t *testing.T) {
	for _, r := range []struct{ x, of, reach float64 }{
		{15.4, 14, supplyReach}, {12.6, 14, supplyReach}, {13.2, 12, supplyReach}, {4.04, 4, nominalReach}, {3.96, 4, nominalReach}, {2.1, 2, loadReach}, {1.9, 2, loadReach}, {14.832, 14.4, lineReach},
	} {
		if !within(r.x, r.of, r.reach) {
			t.Errorf("%v is not within %v of %v", r.x, r.reach, r.of)
		}
		beyond := r.of + (r.x-r.of)*(1+1e-8)
		if within(beyond, r.of, r.reach) {
			t.Errorf("%v is within %v of %v", beyond, r.reach, r.of)
		}
	}
}

// inOne tells whether a frequency is a claim's, or inside its band.
func inOne(claim ...float64) func(float64) bool {
	var items []record.Number
	for _, f := range claim {
		items = append(items, record.Number{Value: f})
	}
	return func(f float64) bool { return inBand(items, f) }
}
