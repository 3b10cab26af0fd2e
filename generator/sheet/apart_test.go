package sheet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// moreLoads are two elements beside those of the test's bench: c4 of a calibration
// of its own, and one that is a good 5 % off.
const moreLoads = `
[[load]]
id = "c4"
nominal_ohm = 4
ohm = 4
ohm_pct = 0.5
calibration = "two"
`

// A unitText is a unit's address and its runs.
type unitText struct{ slug, runs string }

// units evaluates units of one content, all called Invented Two.
func units(t testing.TB, texts ...unitText) []*Sheet {
	t.Helper()
	return unitsAt(t, testBench+moreLoads, texts...)
}

// unitsAt is [units] at another bench.
func unitsAt(t testing.TB, bench string, texts ...unitText) []*Sheet {
	t.Helper()
	file := func(name, text string) *record.File { return &record.File{Name: name, Text: []byte(text)} }
	var c record.Content
	var all, p record.Problems
	c.Site, p = record.DecodeSite(file("site.toml", testSite))
	all = append(all, p...)
	c.Bench, p = record.DecodeBench(file("bench.toml", bench))
	all = append(all, p...)
	c.Methods, p = record.DecodeMethods(file("methods.toml", testMethods))
	all = append(all, p...)
	for _, u := range texts {
		rec, p := record.DecodeRecord(file(u.slug+"/record.toml", testUnit+u.runs), u.slug)
		all = append(all, p...)
		c.Records = append(c.Records, rec)
	}
	if all = append(all, c.Check()...); all.Errors() {
		t.Fatal(all.Error())
	}
	var out []*Sheet
	for _, rec := range c.Records {
		out = append(out, Evaluate(&c, rec))
	}
	return out
}

// fourOhms is the point at which the tests compare.
func fourOhms(s *Sheet) Point { return Point{Method: s.Content.Method("thd1"), Ohm: 4} }

// against compares two units that have the given runs.
func against(t *testing.T, a, b string) *Pair {
	t.Helper()
	s := units(t, unitText{"a", a}, unitText{"b", b})
	return Apart(s[0], s[1], fourOhms(s[0]))
}

// cornerAt is the corner with these exponents.
func cornerAt(t *testing.T, p *Pair, ka, ma, kb, mb float64) PairCorner {
	t.Helper()
	for _, c := range p.Corners {
		if c.KA == ka && c.MA == ma && c.KB == kb && c.MB == mb {
			return c
		}
	}
	t.Fatalf("no corner %v %v %v %v among %d", ka, ma, kb, mb, len(p.Corners))
	return PairCorner{}
}

// A worked example. Unit a gives 18 V and unit b 17.6 V into the same element of
// 4 Ω, supplies at 14.5 V and 14.3 V, so both are carried to 14.4 V. Relative
// standard uncertainties: volts out (0.8 % + 3 digits of 10 mV)/√3, element
// 0.5 %/√3, volts in 0.1 %/√3, scatter 1 % of each run on its own although both
// are called r1. The element's is one error in both and so enters as the
// difference of the two sensitivities (JCGM 100:2008, 5.2.2 and F.1.2.3); the
// meters' readings have unknown sharing, and independent is the larger. ν by JCGM
// 100, G.2b: both scatters are of one estimate with ν = 8. The probabilities are
// scipy's (1.10.1, stats.t.cdf).
func TestApartWorkedExample(t *testing.T) {
	p := against(t, run("r1", "supply_v = 14.5"), run("r1", "out_v = 17.6", "supply_v = 14.3"))
	if len(p.Corners) != 16 || p.Volts != 14.4 {
		t.Fatalf("%d corners at %v V, want 16 at 14.4 V", len(p.Corners), p.Volts)
	}
	root3 := math.Sqrt(3)
	for _, r := range []struct{ ka, ma, kb, mb, p float64 }{
		{0, -1, 0, -1, 0.9797972}, {2.6, -1, 0, 1, 0.8860390}, {0, 1, 2.6, -1, 0.8853984}, {2.6, 1, 2.6, 1, 0.6595993},
	} {
		ya, yb := 81*math.Pow(14.4/14.5, r.ka), 77.44*math.Pow(14.4/14.3, r.kb)
		out := func(y, v float64) float64 { return 2 * y * (0.008*v + 0.03) / root3 / v }
		supply := func(y, k float64) float64 { return k * y * 0.001 / root3 }
		load := ((r.ma-1)*ya - (r.mb-1)*yb) * 0.005 / root3
		scatter := 0.01 * math.Hypot(ya, yb)
		u := math.Sqrt(math.Pow(out(ya, 18), 2) + math.Pow(out(yb, 17.6), 2) + math.Pow(supply(ya, r.ka), 2) + math.Pow(supply(yb, r.kb), 2) + load*load + scatter*scatter)
		dof := 8 * math.Pow(u/scatter, 4)
		c := cornerAt(t, p, r.ka, r.ma, r.kb, r.mb)
		if !close(c.YA, ya, 1e-12) || !close(c.YB, yb, 1e-12) || !close(c.U, u, 1e-10) || !close(c.DoF, dof, 1e-9) {
			t.Errorf("corner %+v, want y %v and %v, u %v, ν %v", c, ya, yb, u, dof)
		}
		if math.Abs(c.P-r.p) > 5e-7 {
			t.Errorf("corner %+v, want p %v", c, r.p)
		}
	}
	if p.Side != verdict.Neither || p.Reason != verdict.Supply {
		t.Errorf("%d (%s), want open for the supply", p.Side, p.Reason)
	}
}

func close(x, want, relative float64) bool { return math.Abs(x-want) <= relative*math.Abs(want) }

// What one element is wrong by is no difference between two units on it. The
// variance of a difference is less by twice the covariance (JCGM 100:2008, 5.2.2,
// equation 13), here 2·(2·Pa·r)·(2·Pb·r) where both powers go with R to the −2.
func TestASharedLoadCancels(t *testing.T) {
	shared := cornerAt(t, against(t, run("r1"), run("r2", "out_v = 17.5")), 0, -1, 0, -1)
	alone := cornerAt(t, against(t, run("r1"), run("r2", "out_v = 17.5", `load = "c4"`)), 0, -1, 0, -1)
	r := 0.005 / math.Sqrt(3)
	if got, want := alone.U*alone.U-shared.U*shared.U, 2*(2*81*r)*(2*76.5625*r); !close(got, want, 1e-9) {
		t.Errorf("the shared element takes %v W² off the variance, want %v", got, want)
	}
	if shared.P <= alone.P {
		t.Errorf("p %v on one element, %v on two: one element tells better", shared.P, alone.P)
	}
	// a gain that is stated as common cancels as far as it is the same, too
	gain := cornerAt(t, against(t, run("r1", `with.out_v = "common"`), run("r2", "out_v = 17.5", `with.out_v = "common"`)), 0, -1, 0, -1)
	if gain.U >= shared.U {
		t.Errorf("u %v with a common gain, %v without", gain.U, shared.U)
	}
}

// First order against a Monte Carlo of the raw readings (JCGM 101:2008): a million
// draws of meters, element and scatter. With normal errors and the scatter's size as
// known, the reference is the normal distribution, at any corner. With rectangular
// meters and a size that has its own 8 degrees of freedom, one draw for both units
// (6.4.9.2: a scaled Student's t), the first order is made for the bounds, and is
// looked at near one.
func TestApartMonteCarlo(t *testing.T) {
	p := against(t, run("r1", "supply_v = 14.5"), run("r1", "out_v = 17.6", "supply_v = 14.3"))
	for _, r := range []struct {
		ka, ma, kb, mb float64
		known          bool
		tolerance      float64
	}{{0, -1, 0, -1, true, 0.002}, {2.6, -1, 0, 1, true, 0.002}, {2.6, 1, 2.6, 1, true, 0.002}, {0, -1, 0, -1, false, 0.004}} {
		c := cornerAt(t, p, r.ka, r.ma, r.kb, r.mb)
		want := c.P
		if r.known {
			want = quantity.Probability((c.YA-c.YB)/c.U, math.Inf(1))
		}
		random := rand.New(rand.NewPCG(7, 11))
		within := func(half float64) float64 {
			if r.known {
				return half / math.Sqrt(3) * random.NormFloat64()
			}
			return half * (2*random.Float64() - 1)
		}
		more := 0
		const draws = 1_000_000
		for range draws {
			s := 0.01
			if !r.known {
				s *= math.Sqrt(8 / chiSquared8(random))
			}
			ohms := 4 + within(0.02)
			y := func(out, in, k, m float64) float64 {
				v, vs := out+within(0.008*out+0.03), in+within(0.001*in)
				return v * v / ohms * (1 + s*random.NormFloat64()) * math.Pow(14.4/vs, k) * math.Pow(ohms/4, m)
			}
			if y(18, 14.5, r.ka, r.ma) > y(17.6, 14.3, r.kb, r.mb) {
				more++
			}
		}
		if got := float64(more) / draws; math.Abs(got-want) > r.tolerance {
			t.Errorf("%+v: Monte Carlo gives %v, first order %v", r, got, want)
		}
	}
}

// chiSquared8 draws from the χ² distribution with 8 degrees of freedom.
func chiSquared8(random *rand.Rand) float64 {
	sum := 0.0
	for range 8 {
		z := random.NormFloat64()
		sum += z * z
	}
	return sum
}

// The order of the two doesn't matter, and nothing can be told apart from itself
// or from its twin.
func TestApartIsSymmetric(t *testing.T) {
	s := units(t, unitText{"a", run("r1", "supply_v = 14.5") + run("r2", "supply_v = 14.2")},
		unitText{"b", run("r1", "out_v = 16", `load = "b4"`)}, unitText{"c", run("r1", "supply_v = 14.5") + run("r2", "supply_v = 14.2")},
		unitText{"d", run("r1", "supply_v = 11")})
	at := fourOhms(s[0])
	for i := range s {
		for j := range s {
			p, q := Apart(s[i], s[j], at), Apart(s[j], s[i], at)
			if p.Side != -q.Side || p.Reason != q.Reason || p.ALow != q.BLow || p.BHigh != q.AHigh || p.Volts != q.Volts || len(p.Corners) != len(q.Corners) {
				t.Errorf("%s, %s: %+v, the other way %+v", s[i].Slug, s[j].Slug, p, q)
			}
			if len(p.Corners) > 0 && math.Abs(p.PMin+q.PMax-1) > 1e-15 {
				t.Errorf("%s, %s: p from %v, the other way to %v", s[i].Slug, s[j].Slug, p.PMin, q.PMax)
			}
		}
		if p := Apart(s[i], s[i], at); p.Side != verdict.Neither || p.Reason != apartSame {
			t.Errorf("%s is told apart from itself: %+v", s[i].Slug, p)
		}
	}
	if p := Apart(s[0], s[1], at); p.Side != verdict.First || !strings.Contains(p.Why, "gives more than Invented Two (b) into 4"+nbsp+"Ω") {
		t.Errorf("a and b: %d, %s", p.Side, p.Why)
	}
	if p := Apart(s[0], s[2], at); p.Side != verdict.Neither || p.PMin >= 0.5 || p.PMax <= 0.5 {
		t.Errorf("twins: %d, p %v … %v", p.Side, p.PMin, p.PMax)
	}
}

// The corners bracket everything between, also where the runs of a unit lie on both
// sides of the common voltage.
func TestCornersBracketTheExponents(t *testing.T) {
	for _, runs := range []string{run("r1", "supply_v = 14.6"), run("r1", "supply_v = 14.58") + run("r2", "supply_v = 14.2"),
		run("r1", "supply_v = 14.6", "out_v = 18.1") + run("r2", "supply_v = 14.2", "out_v = 17.6") + run("r3", "supply_v = 14.41")} {
		p := against(t, runs, run("r1", "out_v = 17.55", "supply_v = 14.35")+run("r2", "out_v = 17.6", "supply_v = 14.42"))
		d := newDuel(p.A, p.B, p.Volts)
		const steps = 26
		for i := range steps + 1 {
			for j := range steps + 1 {
				for _, m := range [][2]float64{{-1, -1}, {-1, 0}, {-0.5, 1}, {0, 0}, {1, -1}, {1, 1}} {
					c := d.at(supplyMost*float64(i)/steps, m[0], supplyMost*float64(j)/steps, m[1])
					if c.P < p.PMin-1e-7 || c.P > p.PMax+1e-7 {
						t.Errorf("%+v is beyond the corners' p %v … %v", c, p.PMin, p.PMax)
					}
				}
			}
		}
	}
}

// Which runs count, and why two units are not compared. Own rule.
func TestWhatIsNotCompared(t *testing.T) {
	other := run("r1", "out_v = 10")
	for _, r := range []struct{ name, runs, reason, why string }{
		{"counts", run("r1"), "", "told apart at every corner"},
		{"no run", run("r1", `load = "a8"`), apartNoFigure, "no run at 4"},
		{"invalid", run("r1", `invalid = "meter on DC"`), apartNoFigure, "r1: marked invalid"},
		{"shut down", run("r1", `outcome = "protected"`), apartNoFigure, "shut down"},
		{"below the limit", run("r1", "thdn_pct = 0.5"), apartNoFigure, "at 0.500" + nbsp + "% distortion, not at the method's 1" + nbsp + "%"},
		{"unknown distortion", run("r1", "thdn_pct = "), apartNoFigure, "distortion is not known"},
		{"held", run("r1", `read_as.out_v = "held-max"`), apartNoFigure, "held peak"},
		{"no supply voltage", run("r1", "supply_v = "), apartNoFigure, "no supply voltage"},
		{"far supply", run("r1", "supply_v = 11.5"), apartVoltage, "10" + nbsp + "% off their mean"},
		{"other frequency", run("r1", "freq_hz = 50"), apartFrequency, "50" + nbsp + "Hz"},
		{"off load", run("r1", `load = "far4"`), "load", "more than 5" + nbsp + "% off"},
		{"readings disagree", run("r1", "power_w = 90"), reasonReadings, "disagree in run r1"},
		{"the method's frequency goes first", run("r0", "freq_hz = 50", "out_v = 3") + run("r1"), "", "told apart at every"},
		{"the assumed voltage goes first", run("r0", "supply_v = 12.6", "out_v = 3") + run("r1"), "", "told apart at every"},
		{"most channels go first", run("r0", `driven = ["L"]`, "out_v = 3") + run("r1", `driven = ["L", "R"]`, `load = ["a4", "b4"]`, "out_v = [18, 18]", "thdn_pct = [1, 1]"), "", "told apart at every"},
	} {
		p := against(t, r.runs, other)
		if p.Reason != r.reason || !strings.Contains(p.Why, r.why) || (p.Side == verdict.First) != (r.reason == "") {
			t.Errorf("%s: %d, %q, %s", r.name, p.Side, p.Reason, p.Why)
		}
	}
	s := units(t, unitText{"a", run("r1", `method = "clip"`)}, unitText{"b", run("r1", `method = "clip"`)})
	if p := Apart(s[0], s[1], Point{Method: s[0].Content.Method("clip"), Ohm: 4}); p.Reason != apartNoFigure || !strings.Contains(p.Why, "no distortion limit") {
		t.Errorf("clipped: %q, %s", p.Reason, p.Why)
	}
}

// At 10 %, at the neighbouring floats, which are 10 % in decimals, and a hair beyond.
func TestSupplyReach(t *testing.T) {
	up, down := math.Nextafter(11, 12), math.Nextafter(9, 8)
	for _, r := range []struct {
		volts float64
		want  bool
	}{{11, true}, {up, true}, {11.0000000001, false}, {9, true}, {down, true}, {8.9999999999, false}} {
		s := &Standing{runs: []*Run{{SupplyV: &Figure{X: r.volts}}}}
		if s.supplyReaches(10) != r.want {
			t.Errorf("%v V is within 10 %% of 10 V: %v", r.volts, !r.want)
		}
	}
}

// A name from right to left is isolated in the sentence for pages, and bare on a terminal.
func TestComparisonsIsolateNames(t *testing.T) {
	p := against(t, run("r1"), run("r1", "out_v = 10"))
	p.A.Sheet.Name = "לוטרה 20"
	p.say()
	passage := strings.Join(p.Passage().Lines(), " ")
	if !strings.Contains(p.Why, "\u2068לוטרה 20\u2069") || !strings.Contains(passage, "לוטרה") || strings.ContainsAny(passage, "\u2068\u2069") {
		t.Errorf("on pages %q, on a terminal %q", p.Why, passage)
	}
	p.B.Sheet.Name = p.A.Sheet.Name
	if a, b := p.Names(); !strings.HasPrefix(a, "\u2068לוטרה 20\u2069") || a == b {
		t.Errorf("twins are %q and %q", a, b)
	}
}

// Hostile names neither move the cursor nor break the lines.
func TestPassageIsHarmless(t *testing.T) {
	p := against(t, run("r1"), run("r1", "out_v = 10"))
	p.A.Sheet.Name = "\x1b[2J\u202eevil\u2066 " + strings.Repeat("W", 200) + "\r\n电电电"
	p.say()
	passage := p.Passage()
	for _, l := range append(passage.Lines(), passage.Head) {
		if width(l) > Columns || strings.ContainsAny(l, "\x1b\r\n\u202e\u2066") {
			t.Errorf("%q", l)
		}
	}
	if text := strings.Join(passage.Lines(), ""); !strings.Contains(text, "evil") {
		t.Errorf("the name is not there: %s", text)
	}
}

// The corners that are printed are those that decide.
func TestDecidingCorners(t *testing.T) {
	near := against(t, run("r1", "supply_v = 14.5"), run("r1", "out_v = 17.6", "supply_v = 14.3"))
	if c := near.Deciding(); len(c) != 2 || c[0].P != near.PMin || c[1].P != near.PMax {
		t.Errorf("not told apart: %+v, p %v … %v", c, near.PMin, near.PMax)
	}
	for _, pair := range []*Pair{against(t, run("r1"), run("r1", "out_v = 17")), against(t, run("r1", "out_v = 17"), run("r1"))} {
		want := pair.PMin
		if pair.Side == verdict.Second {
			want = pair.PMax
		}
		if c := pair.Deciding(); len(c) != 1 || c[0].P != want || pair.Side == verdict.Neither {
			t.Errorf("told apart (%d): %+v, p %v … %v", pair.Side, c, pair.PMin, pair.PMax)
		}
	}
}

// The probabilities that are printed never cross the rule's bounds.
func TestPairText(t *testing.T) {
	for _, r := range []struct {
		low, high float64
		want      string
	}{{0.9501, 0.99999, "0.95 … > 0.99"}, {0.9499, 0.9499, "0.94"}, {0.0499, 0.051, "0.05 … 0.06"}} {
		if got := chanceRange(r.low, r.high); got != r.want {
			t.Errorf("%v … %v is %q, want %q", r.low, r.high, got, r.want)
		}
	}
	if a, b := chanceIs(0.97), chanceIs(0.999999); a != "p = 0.97" || b != "p > 0.99" {
		t.Errorf("%q, %q", a, b)
	}
	total := figure("total", "P", "", measured{Value: quantity.New(81.27, "W", 0.6, quantity.Source{ID: "x", DoF: math.Inf(1)})})
	if got := fmt.Sprint(wattRange(80.04, 82.16, total)); got != "80.0 … 82.2"+nbsp+"W" {
		t.Error(got)
	}
}
