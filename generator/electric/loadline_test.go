package electric

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"wattsheet/generator/quantity"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if math.Abs(got-want) > relative*math.Abs(want) {
		t.Errorf("%s = %.14g, want %.14g", what, got, want)
	}
}

func independent(id string, x, u float64) quantity.Value {
	return quantity.New(x, "", u, quantity.Source{ID: id, DoF: math.Inf(1)})
}

// The points and results of an independent least-squares calculation (numerical
// minimisation in double precision with a general scientific library, and 10^6
// Monte Carlo refits for the standard deviations); the inputs are invented.
func TestLoadLineAgainstGeneralLeastSquares(t *testing.T) {
	loads := []float64{8, 4, 2, 4.0 / 3, 1}
	watts := []float64{263.1, 497.4, 897.2, 1218.5, 1482.0}
	var plain, weighted []LoadPoint
	for i := range loads {
		plain = append(plain, LoadPoint{quantity.Exact(watts[i], "W"), quantity.Exact(loads[i], "Ω")})
		weighted = append(weighted, LoadPoint{independent(fmt.Sprint(i), watts[i], 0.02*watts[i]), quantity.Exact(loads[i], "Ω")})
	}
	l, err := FitLoadLine(plain, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "E unweighted", l.E.X, 47.08719988609742, 1e-9)
	near(t, "Rs unweighted", l.Rs.X, 0.22344783509438, 1e-8)
	near(t, "sum of squares", l.Chi2, 2.9643111251543, 1e-9)
	near(t, "P(4)", l.At(quantity.Exact(4, "Ω")).X, 497.200381056, 1e-9)

	l, err = FitLoadLine(weighted, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "E", l.E.X, 47.13910089249409, 1e-9)
	near(t, "Rs", l.Rs.X, 0.22518659395512, 1e-8)
	near(t, "χ²", l.Chi2, 0.0128098037826, 1e-6)
	// The reference takes the Gauss–Newton covariance; with residuals this small
	// the full second derivatives differ from it by a few parts in 10^4.
	near(t, "u(E)", l.E.Std(), 0.430531667993, 1e-3)
	near(t, "u(Rs)", l.Rs.Std(), 0.0175754262026, 1e-3)
	near(t, "u(P(4))", l.At(quantity.Exact(4, "Ω")).Std(), 5.846156686, 1e-3)
	if !l.Fits() {
		t.Error("the line should fit")
	}
}

// Sensitivities against numerical differentiation: each point moved and the line
// fitted again with the weights of the first fit.
func TestLoadLineSensitivities(t *testing.T) {
	var points []LoadPoint
	for i, r := range []float64{8.02, 4.01, 2.0, 1.01} {
		p := 47*47*r/((r+0.2)*(r+0.2)) + 3*float64(i%2)
		points = append(points, LoadPoint{independent(fmt.Sprint("p", i), p, 0.01*p), independent(fmt.Sprint("r", i), r, 0.004*r)})
	}
	l, err := FitLoadLine(points, nil)
	if err != nil {
		t.Fatal(err)
	}
	refit := func(points []LoadPoint) (e, rs float64) {
		e, rs = l.E.X, l.Rs.X
		for range 100 {
			de, ds := gaussNewton(points, l.Weights, e, rs)
			e, rs = e+de, rs+ds
		}
		return e, rs
	}
	for i := range points {
		for _, which := range []string{"p", "r"} {
			moved := func(by float64) []LoadPoint {
				out := append([]LoadPoint{}, points...)
				if which == "p" {
					out[i].P.X += by * 0.01 * points[i].P.X
				} else {
					out[i].R.X += by * 0.004 * points[i].R.X
				}
				return out
			}
			up, upRs := refit(moved(1e-3))
			down, downRs := refit(moved(-1e-3))
			id := which + fmt.Sprint(i)
			near(t, "E by "+id, part(l.E, id), (up-down)/2e-3, 1e-4)
			near(t, "Rs by "+id, part(l.Rs, id), (upRs-downRs)/2e-3, 1e-4)
		}
	}
}

func part(v quantity.Value, id string) float64 {
	for _, p := range v.Parts {
		if p.Source.ID == id {
			return p.C
		}
	}
	return 0
}

// χ² beyond its 95 % point is seen, in about 1 of 20 true lines.
func TestLoadLineGoodness(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	const n = 2000
	refused := 0
	for range n {
		var points []LoadPoint
		for i, r := range []float64{8, 4, 2, 1} {
			p := 40 * 40 * r / ((r + 0.15) * (r + 0.15))
			points = append(points, LoadPoint{independent(fmt.Sprint(i), p*(1+0.01*rnd.NormFloat64()), 0.01*p), quantity.Exact(r, "Ω")})
		}
		l, err := FitLoadLine(points, nil)
		if err != nil {
			t.Fatal(err)
		}
		if !l.Fits() {
			refused++
		}
	}
	if share := float64(refused) / n; share < 0.035 || share > 0.065 {
		t.Errorf("%.3f of true lines don't fit, want about 0.05 (binomial sd 0.005, three of them)", share)
	}
}

func TestLoadLineNeedsThreePoints(t *testing.T) {
	p := LoadPoint{quantity.Exact(100, "W"), quantity.Exact(4, "Ω")}
	if _, err := FitLoadLine([]LoadPoint{p, p}, nil); err == nil {
		t.Error("two points make a line")
	}
	if _, err := FitLoadLine([]LoadPoint{p, p, p}, nil); err == nil {
		t.Error("three times the same load makes a line")
	}
}
