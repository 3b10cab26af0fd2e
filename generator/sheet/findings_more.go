package sheet

import (
	"fmt"
	"math"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// ofRepeats finds repeats that scatter more than their method's pool: the F test at
// 95 %, at that supply exponent of 0 … 2.6 which scatters least.
func (e *evaluator) ofRepeats(s *Sheet) []Finding {
	var out []Finding
	for _, r := range s.Repeats {
		pool := &r.Method.Pool
		if !pool.RelPct.Given() || pool.RelPct.Value == 0 {
			continue
		}
		test := testOf(r)
		if test.Ratio <= test.Limit {
			continue
		}
		last := r.samples[len(r.samples)-1].run
		out = append(out, Finding{"repeats-scatter", last.Rec.Key("out_v"),
			fmt.Sprintf("channel %s at %s, %s: %s scatter by %s%s%%, the method's pool is %s%s%%", r.Channel, Ohms(r.Nominal), r.Method.Title, countOf(len(r.Points), "repeat"),
				quantity.Significant(test.SPct, 2), nbsp, plain(pool.RelPct.Value), nbsp),
			"a misread meter in one of them, a unit that was still warming up, a connection that was touched"})
	}
	return out
}

// A poolTest is the F test at 95 % of repeats against their method's pool, at that
// supply exponent of 0 … 2.6 by which they scatter least.
type poolTest struct {
	K     float64
	SPct  float64 // the relative standard deviation at that exponent, in percent
	Ratio float64 // SPct² by the pool's
	Limit float64 // the 95 % point of F
}

// testOf tests repeats whose method has a pool.
func testOf(r *Repeat) poolTest {
	pool := &r.Method.Pool
	var t poolTest
	t.K, t.SPct = leastScatter(r.samples)
	t.Ratio = t.SPct * t.SPct / (pool.RelPct.Value * pool.RelPct.Value)
	t.Limit = quantity.FRatio(surely, float64(len(r.Points)-1), pool.DoF.Value)
	return t
}

// leastScatter is the smallest relative standard deviation of repeats, in percent,
// over the supply exponents by which they can be carried to a common voltage, and
// that exponent.
func leastScatter(samples []sample) (k, percent float64) {
	scatter := func(k float64) float64 { return spread(samples, k) }
	if k, inside := leastWithin(scatter, 0, supplyMost); inside {
		return k, scatter(k)
	}
	if scatter(supplyMost) < scatter(0) {
		return supplyMost, scatter(supplyMost)
	}
	return 0, scatter(0)
}

// spread is the relative standard deviation of repeats in percent, carried to
// their mean supply voltage with the exponent k.
func spread(samples []sample, k float64) float64 {
	squares := 0.0
	var room [8]float64
	for _, d := range deviations(room[:0], samples, k) {
		squares += d * d
	}
	return math.Sqrt(squares / float64(len(samples)-1))
}

// ofLines finds load lines that don't fit.
func ofLines(s *Sheet) []Finding {
	var out []Finding
	for _, l := range s.Lines {
		if !l.Fits {
			out = append(out, Finding{"load-line", s.Record.Key("run"), "load line: " + lower(l.Text),
				"a current limit or the protection at the low load, a load other than stated, a misread meter"})
		}
	}
	return out
}

// ofExponent finds a supply exponent that no supply has.
func ofExponent(s *Sheet) []Finding {
	if s.Exponent == nil || !s.Exponent.Outside {
		return nil
	}
	runs := s.Exponent.Groups[0].samples
	return []Finding{{"supply-exponent", runs[len(runs)-1].run.Rec.Key("supply_v"), lower(s.Exponent.Text),
		"a misread supply voltage, the gain changed between the runs, a supply read at the wrong point"}}
}

// BenchFindings looks for what is odd in the bench: a check unit that is off its
// mean on a test day.
func BenchFindings(content *record.Content) []Finding {
	c := CheckUnit(content)
	if c == nil {
		return nil
	}
	var out []Finding
	for i, d := range c.Days {
		if d.Off {
			out = append(out, Finding{"check-unit-off", c.Rec.Readings[i].Key("out_v"),
				fmt.Sprintf("check unit on %s: %s, %s%s%% off its mean", d.Date, d.Power.Text, quantity.Significant(d.DeviationPct, 2), nbsp),
				"the bench was not as on other days: a meter, a load, a connection; look at that day's runs"})
		}
	}
	return out
}
