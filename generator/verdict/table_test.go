package verdict

import (
	"math"
	"testing"
)

var infinite = math.Inf(1)

// usual is the rule of a site that sets none.
var usual = Rule{MetFrom: 0.95, ShortTo: 0.05}

// near reports whether got is want within tol, absolute.
func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// at returns a channel with runs at the claim's distortion.
func at(y, u, dof float64) Channel { return Channel{At: &Estimate{y, u, dof}} }

// below returns a channel whose runs are below the claim's distortion.
func below(y, u float64) Channel { return Channel{Below: &Estimate{y, u, infinite}} }

// above returns a channel whose runs are above the claim's distortion.
func above(y, u float64) Channel { return Channel{Above: &Estimate{y, u, infinite}} }

// single returns the one corner of a claim whose conditions were met exactly.
func single(channels ...Channel) []Corner { return []Corner{{Channels: channels}} }

// A claim of at least 500 W and u = 9.1 W. Conformance probability by JCGM
// 106:2012, 7.3; the columns computed apart with SciPy (norm.cdf and t.cdf with
// six degrees of freedom), to 1e-10. The words follow from the bounds 0.95 and
// 0.05 (ISO 14253-1:2017 has 0.95, one-sided, by default).
func TestClaimTable(t *testing.T) {
	for _, r := range []struct {
		y             float64
		normal, t6    float64
		wordN, wordT6 Word
	}{
		{478.0, 0.0078119977, 0.0260170115, Short, Short},
		{481.8, 0.0227501319, 0.0462131558, Short, Short},
		{487.3, 0.0814168290, 0.1061479281, Open, Open},
		{495.0, 0.2913481459, 0.3012652831, Open, Open},
		{500.0, 0.5, 0.5, Open, Open},
		{508.0, 0.8103321309, 0.7934227564, Open, Open},
		{515.0, 0.9503597340, 0.9248116193, Met, Open},
		{518.2, 0.9772498681, 0.9537868442, Met, Met},
		{525.0, 0.9969951599, 0.9832934630, Met, Met},
	} {
		for _, c := range []struct {
			dof, p float64
			word   Word
		}{{infinite, r.normal, r.wordN}, {6, r.t6, r.wordT6}} {
			got := Decide(usual, 500, single(at(r.y, 9.1, c.dof)))
			if got.Word != c.word || !near(got.PMin, c.p, 5.1e-11) || got.PMin != got.PMax {
				t.Errorf("%v W, ν %v: %s, p %.11f … %.11f; want %s, %.10f", r.y, c.dof, got.Word, got.PMin, got.PMax, c.word, c.p)
			}
		}
	}
}

// ILAC-G8:09/2019, 4.2.1 (simple acceptance, w = 0) and 4.2.2 (guard band w = U,
// k = 2, so Φ(2)) as rules. Rejection there begins at the limit.
func TestBinaryRules(t *testing.T) {
	simple := Rule{MetFrom: 0.5, ShortTo: 0.5}
	guarded := Rule{MetFrom: 0.97724986805, ShortTo: 0.5}
	for _, r := range []struct {
		y               float64
		simple, guarded Word
	}{
		{478.0, Short, Short}, {487.3, Short, Short}, {495.0, Short, Short}, {math.Nextafter(500, 0), Short, Short},
		{508.0, Met, Open}, {515.0, Met, Open}, {518.19, Met, Open}, {518.21, Met, Met}, {525.0, Met, Met},
	} {
		for _, c := range []struct {
			rule Rule
			word Word
		}{{simple, r.simple}, {guarded, r.guarded}} {
			if got := Decide(c.rule, 500, single(at(r.y, 9.1, infinite))).Word; got != c.word {
				t.Errorf("%v W by %v: %s, want %s", r.y, c.rule, got, c.word)
			}
		}
	}
}

// JCGM 106:2012, 8.3.2 (guarded acceptance, with the one-sided quantiles of the
// table in clause 7, from memory): y is accepted from the limit plus z·u. So the
// bar's low end at that y is the limit itself. Digits computed apart.
func TestAcceptanceLimits(t *testing.T) {
	for _, r := range []struct{ from, y float64 }{
		{0.95, 514.9681680053}, {0.975, 517.8356722593}, {0.99, 521.1697656538},
		{0.80, 500 + 0.8416212*9.1}, {0.90, 500 + 1.2815516*9.1}, {0.999, 500 + 3.0902323*9.1},
	} {
		rule := Rule{MetFrom: r.from, ShortTo: 1 - r.from}
		if got := Decide(rule, 500, single(at(r.y, 9.1, infinite))); !near(got.Low, 500, 1e-6) {
			t.Errorf("accepted with %v from %v W: the bar begins at %.9f, want 500", r.from, r.y, got.Low)
		}
		mirrored := 1000 - r.y // guarded rejection, 8.3.3: the same below the limit
		if got := Decide(rule, 500, single(at(mirrored, 9.1, infinite))); !near(got.High, 500, 1e-6) {
			t.Errorf("rejected with %v up to %v W: the bar ends at %.9f, want 500", r.from, mirrored, got.High)
		}
		for _, c := range []struct {
			y    float64
			word Word
		}{{r.y + 1e-5, Met}, {r.y - 1e-5, Open}, {mirrored + 1e-5, Open}, {mirrored - 1e-5, Short}} {
			if got := Decide(rule, 500, single(at(c.y, 9.1, infinite))).Word; got != c.word {
				t.Errorf("%v W by %v: %s, want %s", c.y, rule, got, c.word)
			}
		}
	}
}

// JCGM 106:2012, clause 7, examples (from memory). A lower limit only, so an
// upper one is taken as the lower one of the negative quantity: the Zener diode
// of −5.47 V (u 0.05 V) at most −5.40 V conforms with 0.92; the motor oil of 13.6
// mm²/s (u 1.8) between 12.5 and 16.3 with 0.66.
func TestConformanceExamples(t *testing.T) {
	p := func(y, u, limit float64) float64 {
		r := Decide(usual, limit, single(at(y, u, infinite)))
		if r.Word != Open {
			t.Errorf("%v ± %v against %v: %s, want open", y, u, limit, r.Word)
		}
		return r.PMin
	}
	if zener := p(5.47, 0.05, 5.40); !near(zener, 0.9192433408, 5.1e-11) {
		t.Errorf("Zener diode: %.11f, want 0.9192433408", zener)
	}
	if oil := p(13.6, 1.8, 12.5) + p(-13.6, 1.8, -16.3) - 1; !near(oil, 0.6626297865, 5.1e-11) {
		t.Errorf("motor oil: %.11f, want 0.6626297865", oil)
	}
	if r := Decide(Rule{0.90, 0.10}, 5.40, single(at(5.47, 0.05, infinite))); r.Word != Met {
		t.Errorf("Zener diode with a bound of 0.90: %s, want met", r.Word)
	}
}
