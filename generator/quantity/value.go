// Package quantity is a value with its unit and its uncertainty as named
// components; it adds them up, and it rounds and writes the result.
//
// A [Value] is a first-order model (JCGM 100:2008, 5.1 and 5.2): its estimate x
// and, for each independent cause of error, the signed contribution
//
//	c·u    c = ∂x/∂q, u = the standard uncertainty of the cause q
//
// Two values that hold the same cause share it: their errors go together, and
// sums and quotients count it once.
package quantity

import (
	"math"
	"strings"
)

// A Source is one named cause of error. Sources are compared by ID.
type Source struct {
	// ID is unique: the same ID in two values is the same error.
	ID string
	// Name says it for people.
	Name string
	// Kind sorts sources for people: instrument, load, lead, pool, supply.
	Kind string
	// Group names sources whose sharing is not known, such as the readings of
	// one instrument. A figure takes all of a group as independent or all as one
	// error, whichever gives it the larger uncertainty. Empty: independent.
	Group string
	// Strand names sources that are one and the same error within a mean of
	// repeats, so that a mean never averages it away. Empty: its own.
	Strand string
	// Estimate names the estimate that DoF belongs to; contributions of one
	// estimate count as one component for the effective degrees of freedom.
	// Empty: the source is its own estimate.
	Estimate string
	// DoF is the degrees of freedom of the source's standard uncertainty;
	// +Inf where it is taken as exactly known.
	DoF float64
	// U is the source's standard uncertainty in Unit, as [New] was given it: a
	// part divided by U is the sensitivity to the source. 0 where several errors
	// were joined.
	U    float64
	Unit string
	// Joined holds the IDs of the errors that were joined to this one; nil where
	// none were.
	Joined []string
}

// A Part is what one source contributes to a value: the sensitivity times the
// source's standard uncertainty, signed, in the value's unit.
type Part struct {
	Source *Source
	C      float64
}

// A Value is an estimate, its unit, and its parts sorted by the sources' IDs.
// The zero Value is an exact 0 without a unit. Values are not changed once made.
type Value struct {
	X     float64
	Unit  string
	Parts []Part
}

// Exact returns a value without uncertainty.
func Exact(x float64, unit string) Value { return Value{X: x, Unit: unit} }

// New returns a value with one cause of error of standard uncertainty u >= 0,
// which is kept with the source. A u of 0 leaves the value exact.
func New(x float64, unit string, u float64, s Source) Value {
	return Caused(x, unit, Cause{u, s})
}

// A Cause is a cause of error of standard uncertainty U >= 0.
type Cause struct {
	U      float64
	Source Source
}

// Caused returns a value with several causes of error, each of its own ID; those of no
// uncertainty are left out. Their uncertainty is kept with the sources.
func Caused(x float64, unit string, causes ...Cause) Value {
	return (*Room)(nil).Caused(x, unit, causes...)
}

// In returns v with another unit's name; the number stays.
func (v Value) In(unit string) Value {
	v.Unit = unit
	return v
}

// A Term is one argument of a function: its value and the function's partial
// derivative by it.
type Term struct {
	Value
	Sensitivity float64
}

// Combine returns a function's result x with the parts that its arguments
// bring: for each source the sum of sensitivity times contribution (JCGM 100,
// equation 13, with the correlations carried by shared sources).
func Combine(x float64, unit string, terms ...Term) Value {
	out := Value{X: x, Unit: unit}
	all, with, last := 0, 0, 0
	for i := range terms {
		if n := len(terms[i].Parts); n > 0 {
			all, with, last = all+n, with+1, i
		}
	}
	switch with {
	case 0:
		return out
	case 1:
		out.Parts = scaled(make([]Part, 0, all), terms[last].Parts, terms[last].Sensitivity)
		return out
	}
	// The sums so far are kept in two places by turns; only the last are kept for good.
	var room [2][32]Part
	sums, next := room[0][:0], room[1][:0]
	if all > len(room[0]) {
		sums, next = make([]Part, 0, all), make([]Part, 0, all)
	}
	for i := range terms {
		t := &terms[i]
		switch {
		case len(t.Parts) == 0:
		case len(sums) == 0:
			sums = scaled(sums, t.Parts, t.Sensitivity)
		default:
			sums, next = merged(next[:0], sums, t.Parts, t.Sensitivity), sums
		}
	}
	out.Parts = make([]Part, len(sums))
	copy(out.Parts, sums)
	return out
}

// scaled appends by·b to out.
func scaled(out, b []Part, by float64) []Part {
	for _, p := range b {
		out = append(out, Part{p.Source, p.C * by})
	}
	return out
}

// cancelled is the share of two contributions below which their sum is only what
// rounding left of a source that cancels: it is dropped, since processors differ
// in it.
const cancelled = 1e-13

// merged appends a + by·b to out, for two sorted lists of parts.
func merged(out, a, b []Part, by float64) []Part {
	for len(a) > 0 && len(b) > 0 {
		switch order := compare(a[0].Source, b[0].Source); {
		case order < 0:
			out, a = append(out, a[0]), a[1:]
		case order > 0:
			out, b = append(out, Part{b[0].Source, by * b[0].C}), b[1:]
		default:
			c, size := a[0].C+by*b[0].C, math.Abs(a[0].C)+math.Abs(by*b[0].C)
			if math.Abs(c) > cancelled*size {
				out = append(out, Part{a[0].Source, c})
			}
			a, b = a[1:], b[1:]
		}
	}
	return scaled(append(out, a...), b, by)
}

// compare orders sources by ID.
func compare(a, b *Source) int {
	if a == b {
		return 0
	}
	return strings.Compare(a.ID, b.ID)
}

// Add returns v + w; the unit is v's.
func (v Value) Add(w Value) Value {
	return Combine(v.X+w.X, v.Unit, Term{v, 1}, Term{w, 1})
}

// Sub returns v − w; the unit is v's.
func (v Value) Sub(w Value) Value {
	return Combine(v.X-w.X, v.Unit, Term{v, 1}, Term{w, -1})
}

// Mul returns v·w in the given unit.
func (v Value) Mul(w Value, unit string) Value {
	return Combine(v.X*w.X, unit, Term{v, w.X}, Term{w, v.X})
}

// Div returns v/w in the given unit; w must not be 0.
func (v Value) Div(w Value, unit string) Value {
	return Combine(v.X/w.X, unit, Term{v, 1 / w.X}, Term{w, -v.X / (w.X * w.X)})
}

// Pow returns v^p in the given unit; v must be positive unless p is a whole
// number.
func (v Value) Pow(p float64, unit string) Value {
	x := math.Pow(v.X, p)
	if v.X == 0 {
		slope := 0.0
		if p == 1 {
			slope = 1
		}
		return Combine(x, unit, Term{v, slope})
	}
	return Combine(x, unit, Term{v, p * x / v.X})
}

// Scale returns f·v for an exact factor f; the unit stays.
func (v Value) Scale(f float64) Value {
	return Combine(f*v.X, v.Unit, Term{v, f})
}

// Sum returns the sum of the values in the first one's unit.
func Sum(values ...Value) Value {
	switch len(values) {
	case 0:
		return Value{}
	case 1:
		return values[0]
	}
	if len(values) > fewValues {
		return sumOfMany(values)
	}
	x, terms := values[0].X, make([]Term, len(values))
	terms[0] = Term{values[0], 1}
	for i := 1; i < len(values); i++ {
		x += values[i].X
		terms[i] = Term{values[i], 1}
	}
	return Combine(x, values[0].Unit, terms...)
}
