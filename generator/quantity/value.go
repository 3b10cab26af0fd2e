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
	"sort"
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
	v := Value{X: x, Unit: unit}
	if u != 0 {
		s.U, s.Unit = u, unit
		v.Parts = []Part{{&s, u}}
	}
	return v
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
	switch len(terms) {
	case 0:
	case 1:
		out.Parts = scaled(terms[0].Parts, terms[0].Sensitivity)
	default:
		out.Parts = scaled(terms[0].Parts, terms[0].Sensitivity)
		for _, t := range terms[1:] {
			out.Parts = merged(out.Parts, t.Parts, t.Sensitivity)
		}
	}
	return out
}

func scaled(parts []Part, by float64) []Part {
	out := make([]Part, len(parts))
	for i, p := range parts {
		out[i] = Part{p.Source, p.C * by}
	}
	return out
}

// cancelled is the share of two contributions below which their sum is only what
// rounding left of a source that cancels: it is dropped, since processors differ
// in it.
const cancelled = 1e-13

// merged returns a + by·b for two sorted lists of parts.
func merged(a, b []Part, by float64) []Part {
	out := make([]Part, 0, len(a)+len(b))
	for len(a) > 0 && len(b) > 0 {
		switch order := strings.Compare(a[0].Source.ID, b[0].Source.ID); {
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
	out = append(out, a...)
	return append(out, scaled(b, by)...)
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
	if len(values) == 0 {
		return Value{}
	}
	out := values[0]
	if len(values) > fewValues {
		return sumOfMany(values)
	}
	for _, v := range values[1:] {
		out = out.Add(v)
	}
	return out
}

// Mean returns the arithmetic mean of repeats. Parts of one strand become one
// error, taken with correlation 1 between the repeats: what an instrument is
// wrong by, it is wrong by in each of them.
func Mean(values ...Value) Value {
	out := Sum(values...).Scale(1 / float64(len(values)))
	if len(values) < 2 {
		return out
	}
	strands := map[string][]Part{}
	var kept []Part
	for _, p := range out.Parts {
		if p.Source.Strand == "" {
			kept = append(kept, p)
			continue
		}
		strands[p.Source.Strand] = append(strands[p.Source.Strand], p)
	}
	for _, parts := range strands {
		kept = append(kept, oneError(parts))
	}
	sort.Slice(kept, func(i, j int) bool { return kept[i].Source.ID < kept[j].Source.ID })
	out.Parts = kept
	return out
}

// oneError joins the parts of one strand, sorted by ID, to one part.
func oneError(parts []Part) Part {
	if len(parts) == 1 {
		return parts[0]
	}
	fewest := parts[0].Source
	ids := make([]string, len(parts))
	c := 0.0
	for i, p := range parts {
		ids[i], c = p.Source.ID, c+p.C
		fewest = fewer(fewest, p.Source)
	}
	s := *fewest
	s.ID, s.U, s.Joined = strings.Join(ids, " & "), 0, ids
	s.Name = strings.TrimSpace(s.Name) + ", in all repeats"
	return Part{&s, c}
}
