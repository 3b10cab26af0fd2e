package electric

import (
	"fmt"
	"math"
	"testing"

	"wattsheet/generator/quantity"
)

// The NIST Statistical Reference Datasets, "Norris" (linear regression, lower
// difficulty; observed data), y then x. Certified values at the test below.
var norris = [][2]float64{
	{0.1, 0.2}, {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1}, {228.1, 226.5}, {668.5, 666.3}, {998.5, 996.3}, {449.1, 448.6},
	{778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4}, {0.1, 0.6}, {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6},
	{557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3}, {0.6, 0.3}, {557.6, 556.8}, {339.3, 339.1},
	{888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0}, {10.2, 11.1}, {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5},
}

// F. J. Anscombe, "Graphs in statistical analysis", The American Statistician 27
// (1973), the first of four sets (from memory), y then x.
var anscombe = [][2]float64{
	{8.04, 10}, {6.95, 8}, {7.58, 13}, {8.81, 9}, {8.33, 11}, {9.96, 14}, {7.24, 6}, {4.26, 4}, {10.84, 12}, {4.82, 7}, {5.68, 5},
}

// The least-squares core against certified values (Norris) and a calculation with a
// general statistics library (Anscombe): slope, residual standard deviation, and
// the slope's standard deviation by the derivatives.
func TestSlopeAgainstReferenceData(t *testing.T) {
	for _, set := range []struct {
		name             string
		data             [][2]float64
		slope, sd, resid float64
		relative         float64
	}{
		{"Norris", norris, 1.00211681802045, 0.000429796848199937, 0.884796396144373, 1e-11},
		{"Anscombe I", anscombe, 0.5000909091, 0.1179055006, 1.2366033227, 1e-9},
	} {
		n := len(set.data)
		x, y, w, group := make([]float64, n), make([]float64, n), make([]float64, n), make([]int, n)
		for i, p := range set.data {
			y[i], x[i], w[i] = p[0], p[1], 1
		}
		cx, cy := centred(x, w, group), centred(y, w, group)
		k := slope(cx, cy, w)
		near(t, set.name+": slope", k, set.slope, set.relative)
		residual, squares := make([]float64, n), 0.0
		for i := range cx {
			residual[i] = cy[i] - k*cx[i]
			squares += residual[i] * residual[i]
		}
		s := math.Sqrt(squares / float64(n-2))
		near(t, set.name+": residual standard deviation", s, set.resid, set.relative)
		_, byY := slopeDerivatives(cx, residual, w, k)
		variance := 0.0
		for _, c := range byY {
			variance += c * c * s * s
		}
		near(t, set.name+": standard deviation of the slope", math.Sqrt(variance), set.sd, set.relative)
	}
}

// invented are points of a known exponent in two groups, with own errors and a gain
// common to all powers.
func invented(k float64, off ...float64) []ExponentPoint {
	var points []ExponentPoint
	for i, v := range []float64{14.4, 13.5, 12.6, 14.3, 12.5} {
		group := i / 3
		p := []float64{70, 230}[group] * math.Pow(v/14.4, k)
		if i < len(off) {
			p *= 1 + off[i]
		}
		id := fmt.Sprint(i)
		power := quantity.Combine(p, "W",
			quantity.Term{Value: independent("gain", 1, 0.01), Sensitivity: p},
			quantity.Term{Value: independent("own"+id, 1, 0.006+0.002*float64(i)), Sensitivity: p})
		points = append(points, ExponentPoint{power, independent("v"+id, v, 0.01), group})
	}
	return points
}

func isGain(s *quantity.Source) bool { return s.ID == "gain" }

func fitted(t *testing.T, points []ExponentPoint) Exponent {
	t.Helper()
	e, err := FitExponent(points, isGain)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestExponentOfKnownData(t *testing.T) {
	for _, k := range []float64{-1, 0, 1, 2, 2.6} {
		e := fitted(t, invented(k))
		if math.Abs(e.K.X-k) > 1e-12 {
			t.Errorf("k = %.15g, want %g", e.K.X, k)
		}
		for i, r := range e.Residuals {
			if math.Abs(r) > 1e-13 {
				t.Errorf("k = %g: residual %d is %g", k, i, r)
			}
		}
	}
}

// With two points it is ln(P1/P2)/ln(V1/V2), its uncertainty by hand.
func TestExponentOfTwoPoints(t *testing.T) {
	points := []ExponentPoint{
		{independent("p1", 70, 0.7), independent("v1", 14.4, 0.01), 0},
		{independent("p2", 54, 0.5), independent("v2", 12.6, 0.02), 0},
	}
	e := fitted(t, points)
	d := math.Log(14.4 / 12.6)
	k := math.Log(70.0/54) / d
	near(t, "k", e.K.X, k, 1e-13)
	want := math.Sqrt(0.01*0.01+math.Pow(0.5/54, 2)+k*k*(math.Pow(0.01/14.4, 2)+math.Pow(0.02/12.6, 2))) / d
	near(t, "u(k)", e.K.Std(), want, 1e-12)
}

// What all readings are wrong by together leaves k as it is, and so does the order
// of the runs.
func TestExponentProperties(t *testing.T) {
	points := invented(1.7, 0.004, -0.006, 0.003, 0.002)
	e := fitted(t, points)
	if part(e.K, "gain") > 1e-13 {
		t.Errorf("a common gain adds %g to k", part(e.K, "gain"))
	}
	scaled := make([]ExponentPoint, len(points))
	for i, p := range points {
		scaled[i] = ExponentPoint{p.P.Scale(1.037), p.V.Scale(0.98), p.Group}
	}
	s := fitted(t, scaled)
	near(t, "k of scaled readings", s.K.X, e.K.X, 1e-12)
	near(t, "u(k) of scaled readings", s.K.Std(), e.K.Std(), 1e-3) // u of a voltage stays, in volts
	turned := []ExponentPoint{points[4], points[2], points[0], points[3], points[1]}
	o := fitted(t, turned)
	near(t, "k in another order", o.K.X, e.K.X, 1e-13)
	near(t, "u(k) in another order", o.K.Std(), e.K.Std(), 1e-13)
	// a group of one voltage adds nothing
	alone := append(invented(1.7, 0.004, -0.006, 0.003, 0.002), ExponentPoint{independent("x", 500, 5), independent("vx", 14, 0.01), 2})
	near(t, "k with a run alone", fitted(t, alone).K.X, e.K.X, 1e-13)
}

// Sensitivities against central differences of refits with the weights kept.
func TestExponentSensitivities(t *testing.T) {
	points := invented(2.1, 0.01, -0.02, 0.015, -0.01, 0.02)
	e := fitted(t, points)
	group := []int{0, 0, 0, 1, 1}
	refit := func(i int, byP, byV float64) float64 {
		x, y := make([]float64, len(points)), make([]float64, len(points))
		for j, p := range points {
			x[j], y[j] = math.Log(p.V.X), math.Log(p.P.X)
			if i == j {
				x[j], y[j] = math.Log(p.V.X+byV), math.Log(p.P.X*(1+byP))
			}
		}
		return slope(centred(x, e.Weights, group), centred(y, e.Weights, group), e.Weights)
	}
	const h = 1e-5
	for i := range points {
		own := 0.006 + 0.002*float64(i)
		near(t, fmt.Sprint("k by P", i), part(e.K, fmt.Sprint("own", i)), own*(refit(i, h, 0)-refit(i, -h, 0))/(2*h), 1e-6)
		near(t, fmt.Sprint("k by V", i), part(e.K, fmt.Sprint("v", i)), 0.01*(refit(i, 0, h)-refit(i, 0, -h))/(2*h), 1e-6)
	}
}

func TestNoExponent(t *testing.T) {
	p := ExponentPoint{independent("p", 70, 0.7), quantity.Exact(14.4, "V"), 0}
	q := ExponentPoint{independent("q", 54, 0.7), quantity.Exact(12.6, "V"), 1}
	for name, points := range map[string][]ExponentPoint{"none": nil, "one": {p}, "one voltage": {p, p}, "two groups of one": {p, q}} {
		if e, err := FitExponent(points, nil); err == nil {
			t.Errorf("%s: k = %v", name, e.K.X)
		}
	}
}

// The source behind two loads, volts ±(0.8 % + 3 digits of 0.01 V), loads ±1 %, all
// rectangular: an independent first-order calculation with automatic
// differentiation, whose 10^6 Monte Carlo draws agree within 0.05 %; the inputs are
// invented. What two readings share makes it eleven times better known.
func TestSourceFromTwoLoads(t *testing.T) {
	half := quantity.Rectangular
	v1, r1, v2, r2 := 44.72, 4.012, 42.15, 2.006
	e, rs := SourceFromTwo(
		independent("v1", v1, half(0.008*v1+0.03)), independent("r1", r1, half(0.01*r1)),
		independent("v2", v2, half(0.008*v2+0.03)), independent("r2", r2, half(0.01*r2)))
	near(t, "Rs", rs.X, 0.26050631632137, 1e-12)
	near(t, "E", e.X, 47.623749368368, 1e-12)
	near(t, "u(Rs), independent", rs.Std(), 0.034448336048534, 1e-9)
	near(t, "u(E), independent", e.Std(), 0.57761372014753, 1e-9)

	shared := func(id, digits string, x, relative float64) quantity.Value {
		terms := []quantity.Term{{Value: independent(id, 1, half(relative)), Sensitivity: x}}
		if digits != "" {
			terms = append(terms, quantity.Term{Value: independent(digits, 0, half(0.03)), Sensitivity: 1})
		}
		return quantity.Combine(x, "", terms...)
	}
	_, rs = SourceFromTwo(shared("gain", "d1", v1, 0.008), shared("bridge", "", r1, 0.01), shared("gain", "d2", v2, 0.008), shared("bridge", "", r2, 0.01))
	near(t, "u(Rs), shared", rs.Std(), 0.0031133285659601, 1e-9)
	for id, want := range map[string]float64{"bridge": 0.00150403391854, "d1": 0.00186968115677, "d2": -0.00198368069596} {
		near(t, "contribution of "+id, part(rs, id), want, 1e-9)
	}
	if c := part(rs, "gain"); math.Abs(c) > 1e-15 {
		t.Errorf("the common gain contributes %g, want 0", c)
	}
}

// With three points and two parameters each residual, divided by the uncertainty
// that the fit leaves it, is √χ² in size (own derivation: what the fit leaves is
// one direction). To the first order in the residuals, which are small here.
func TestResidualOfThreePoints(t *testing.T) {
	var points []LoadPoint
	for i, r := range []float64{8, 4, 2} {
		p := 30 * 30 * r / ((r + 0.3) * (r + 0.3)) * (1 + 0.003*float64(i%2))
		points = append(points, LoadPoint{independent(fmt.Sprint(i), p, 0.01*p), quantity.Exact(r, "Ω")})
	}
	l, err := FitLoadLine(points, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range points {
		r := l.Residual(p)
		near(t, fmt.Sprint("residual ", i), r.X, l.Residuals[i], 1e-9)
		near(t, fmt.Sprint("standardised residual ", i), math.Abs(r.X)/r.Std(), math.Sqrt(l.Chi2), 2e-3)
	}
	near(t, "p of χ² with one degree of freedom", l.Chance(), math.Erfc(math.Sqrt(l.Chi2/2)), 1e-12)
}
