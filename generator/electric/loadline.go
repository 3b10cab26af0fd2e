package electric

import (
	"errors"
	"math"

	"wattsheet/generator/quantity"
)

// A LoadPoint is the power P in W that a channel gives into the load R in Ω, both
// at the unit's terminals: one point a load element.
type LoadPoint struct{ P, R quantity.Value }

// A LoadLine is the least-squares fit of a source with an inner resistance,
//
//	P(R) = E²·R/(R + Rs)²
//
// to a channel's points. E in V and Rs in Ω are those of the unit on this bench's
// supply.
type LoadLine struct {
	E, Rs quantity.Value
	// Chi2 is Σ w·r² over the points, with Free = n − 2 degrees of freedom.
	Chi2 float64
	Free int
	// Residuals are P − P(R) of the points in W, and Weights 1/u² of them.
	Residuals, Weights []float64
}

// ErrNoLine says that points give no load line: fewer than three, or no finite
// minimum with E > 0.
var ErrNoLine = errors.New("the points give no load line")

// FitLoadLine fits a line to at least three points. The weights are 1/u²(P − P(R))
// with R's error in both terms and without the sources that are stated as common
// to all points; they are settled by iteration and then kept fixed. The
// uncertainties of E and Rs come from the fit's conditions by implicit
// differentiation, so that what points share is shared there too (JCGM 100:2008,
// 5.2 for the sharing; own derivation for the fit).
func FitLoadLine(points []LoadPoint, common func(*quantity.Source) bool) (LoadLine, error) {
	if len(points) < 3 {
		return LoadLine{}, ErrNoLine
	}
	e, rs := straightLine(points)
	if !(e > 0) || math.IsInf(e, 0) || math.IsNaN(rs) {
		return LoadLine{}, ErrNoLine
	}
	weights := make([]float64, len(points))
	for range 50 {
		for i, p := range points {
			weights[i] = weight(p, e, rs, common)
		}
		before := e
		for range 50 {
			de, drs := gaussNewton(points, weights, e, rs)
			e, rs = e+de, rs+drs
			if math.Abs(de) <= 1e-14*math.Abs(e) && math.Abs(drs) <= 1e-14*(math.Abs(rs)+1e-6) {
				break
			}
		}
		if math.IsNaN(e) || math.IsNaN(rs) || e <= 0 {
			return LoadLine{}, ErrNoLine
		}
		if math.Abs(e-before) <= 1e-13*e {
			break
		}
	}
	return finish(points, weights, e, rs)
}

// straightLine is a first guess: √(R/P) = (R + Rs)/E is a straight line in R.
func straightLine(points []LoadPoint) (e, rs float64) {
	var n, sx, sy, sxx, sxy float64
	for _, p := range points {
		x, y := p.R.X, math.Sqrt(p.R.X/p.P.X)
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return 1 / slope, (sy - slope*sx) / n / slope
}

// slopes are the model's value and derivatives at a load.
type slopes struct {
	f, e, s, r float64 // P, ∂P/∂E, ∂P/∂Rs, ∂P/∂R
	ee, es, ss float64 // second derivatives by the parameters
	er, sr     float64 // and by a parameter and R
}

func slopesAt(e, rs, r float64) slopes {
	t := r + rs
	t2, t3, t4 := t*t, t*t*t, t*t*t*t
	return slopes{
		f: e * e * r / t2, e: 2 * e * r / t2, s: -2 * e * e * r / t3, r: e * e * (rs - r) / t3,
		ee: 2 * r / t2, es: -4 * e * r / t3, ss: 6 * e * e * r / t4,
		er: 2 * e * (rs - r) / t3, sr: 2 * e * e * (2*r - rs) / t4,
	}
}

// weight is 1/u² of a point's residual without the common sources.
func weight(p LoadPoint, e, rs float64, common func(*quantity.Source) bool) float64 {
	d := slopesAt(e, rs, p.R.X)
	residual := quantity.Combine(0, "W", quantity.Term{Value: p.P, Sensitivity: 1}, quantity.Term{Value: p.R, Sensitivity: -d.r})
	return weightOf(residual, common)
}

// weightOf is 1/u² of a value without the common sources; 1 where nothing is
// uncertain.
func weightOf(v quantity.Value, common func(*quantity.Source) bool) float64 {
	own := v
	own.Parts = nil
	for _, part := range v.Parts {
		if common == nil || !common(part.Source) {
			own.Parts = append(own.Parts, part)
		}
	}
	u := own.Std()
	if u == 0 {
		return 1
	}
	return 1 / (u * u)
}

// gaussNewton is one step to the least weighted sum of squares.
func gaussNewton(points []LoadPoint, weights []float64, e, rs float64) (de, drs float64) {
	var a, b, c, g, h float64
	for i, p := range points {
		d := slopesAt(e, rs, p.R.X)
		w, r := weights[i], p.P.X-d.f
		a, b, c = a+w*d.e*d.e, b+w*d.e*d.s, c+w*d.s*d.s
		g, h = g+w*d.e*r, h+w*d.s*r
	}
	det := a*c - b*b
	return (c*g - b*h) / det, (a*h - b*g) / det
}

// finish propagates the points' uncertainty through the fit's two conditions
// Σ w·(P − f)·∂f/∂θ = 0 with the weights kept fixed.
func finish(points []LoadPoint, weights []float64, e, rs float64) (LoadLine, error) {
	l := LoadLine{Free: len(points) - 2, Weights: weights}
	var a, b, c float64 // the conditions' derivatives by the parameters
	for i, p := range points {
		d := slopesAt(e, rs, p.R.X)
		w, r := weights[i], p.P.X-d.f
		l.Residuals = append(l.Residuals, r)
		l.Chi2 += w * r * r
		a += w * (r*d.ee - d.e*d.e)
		b += w * (r*d.es - d.e*d.s)
		c += w * (r*d.ss - d.s*d.s)
	}
	det := a*c - b*b
	if det == 0 || math.IsNaN(det) {
		return LoadLine{}, ErrNoLine
	}
	var forE, forRs []quantity.Term
	for i, p := range points {
		d := slopesAt(e, rs, p.R.X)
		w, r := weights[i], p.P.X-d.f
		add := func(v quantity.Value, byE, byS float64) {
			forE = append(forE, quantity.Term{Value: v, Sensitivity: -(c*byE - b*byS) / det})
			forRs = append(forRs, quantity.Term{Value: v, Sensitivity: -(a*byS - b*byE) / det})
		}
		add(p.P, w*d.e, w*d.s)
		add(p.R, w*(r*d.er-d.r*d.e), w*(r*d.sr-d.r*d.s))
	}
	l.E, l.Rs = quantity.Combine(e, "V", forE...), quantity.Combine(rs, "Ω", forRs...)
	return l, nil
}

// Slopes are the model's derivatives ∂P/∂E in A and ∂P/∂Rs in A² at a load r in Ω.
func (l LoadLine) Slopes(r float64) (byE, byRs float64) {
	d := slopesAt(l.E.X, l.Rs.X, r)
	return d.e, d.s
}

// Residual returns how far a point of the fit is off the line, P − P(R) in W. Its
// uncertainty takes into account that the line was fitted to the point.
func (l LoadLine) Residual(p LoadPoint) quantity.Value {
	d := slopesAt(l.E.X, l.Rs.X, p.R.X)
	return quantity.Combine(p.P.X-d.f, "W",
		quantity.Term{Value: p.P, Sensitivity: 1},
		quantity.Term{Value: p.R, Sensitivity: -d.r},
		quantity.Term{Value: l.E, Sensitivity: -d.e},
		quantity.Term{Value: l.Rs, Sensitivity: -d.s})
}

// SourceFromTwo returns the source behind two loads, the volts E without load and
// the inner resistance Rs,
//
//	Rs = (v1 − v2)/(v2/r2 − v1/r1),  E = v1 + Rs·v1/r1
//
// from the rms volts across each load in Ω (Ohm's law). The currents must differ.
func SourceFromTwo(v1, r1, v2, r2 quantity.Value) (e, rs quantity.Value) {
	i1, i2 := v1.Div(r1, "A"), v2.Div(r2, "A")
	rs = v1.Sub(v2).Div(i2.Sub(i1), "Ω")
	return v1.Add(rs.Mul(i1, "V")), rs
}

// Chance returns the probability of a χ² as large as this one or larger where the
// model holds.
func (l LoadLine) Chance() float64 { return quantity.ChiSquaredAbove(l.Chi2, l.Free) }

// Fits reports whether the points agree with the model: χ² not beyond its 95 %
// point.
func (l LoadLine) Fits() bool {
	return l.Chi2 <= quantity.ChiSquared(0.95, l.Free)
}

// At returns the power into a load r > 0 in Ω.
func (l LoadLine) At(r quantity.Value) quantity.Value {
	d := slopesAt(l.E.X, l.Rs.X, r.X)
	return quantity.Combine(d.f, "W",
		quantity.Term{Value: l.E, Sensitivity: d.e},
		quantity.Term{Value: l.Rs, Sensitivity: d.s},
		quantity.Term{Value: r, Sensitivity: d.r})
}
