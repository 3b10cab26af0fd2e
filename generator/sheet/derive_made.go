package sheet

import (
	"math"
	"slices"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
)

// Some figures of a run are made of others whose components stand above them. They say
// which, and how the others' u add up, and don't list the components again.

// A share is a figure that another is made of: its components count factor times there.
// The factor is times/over as it is written; times is 0 where it is 1 or −1.
type share struct {
	of                  *Figure
	factor, times, over float64
}

// A making is what a figure is made of. Where it is summed, shares have sources in
// common, so that components are added one by one; else u² is the sum of the shares' own.
type making struct {
	says   string
	shares []share
	summed bool
}

// madeOf is what a figure of the run at hand is made of; ok is false where its
// components have to be listed.
func (d *derivation) madeOf(f *Figure) (m making, ok bool) {
	r := d.of
	if r == nil || r.Total == nil {
		return m, false
	}
	shares := d.shares[:0]
	switch f {
	case r.Total:
		for _, c := range r.Channels {
			shares = append(shares, share{of: c.Power, factor: 1})
		}
		m.says, m.summed = "Its components are those of the power", len(shares) > 1
		if m.summed {
			m.says = "Its components are those of the channels, row by row, with c = 1; in parentheses those that are taken as one error"
		}
	case r.Heat:
		m.says = "Its components are those of the supply power and, with the other sign, those of the total"
		shares = append(shares, share{of: r.SupplyPower, factor: 1}, share{of: r.Total, factor: -1})
	case r.Efficiency:
		m.says = "Its components are those of the total, times 100/Ps, and those of the supply power, times −η/Ps"
		ps := r.SupplyPower.X
		shares = append(shares, share{r.Total, 100 / ps, 100, ps}, share{r.SupplyPower, -f.X / ps, f.X, ps})
	default:
		return m, false
	}
	d.shares, m.shares = shares, shares
	return m, d.holds(f, &m)
}

// holds reports whether a figure's components are those of its shares, and no others.
func (d *derivation) holds(f *Figure, m *making) bool {
	left := 0
	for _, s := range m.shares {
		if s.of == nil || len(s.of.Lines) == 0 {
			return false
		}
		for _, l := range s.of.Lines {
			if l.C != 0 {
				left++
			}
		}
	}
	for i := range f.Lines {
		l := &f.Lines[i]
		if l.C == 0 {
			continue
		}
		sum, of := d.broughtBy(l, m)
		if !near(sum, l.C) || !m.summed && (len(of) > 1 || of[0].line.Sharing != l.Sharing) {
			return false
		}
		left -= len(of)
	}
	return left == 0 && (m.summed || apartly(m.shares))
}

// near reports whether a sum is the same but for rounding.
func near(sum, x float64) bool { return math.Abs(sum-x) <= 1e-9*math.Abs(x) }

// A brought is what a share's component adds to one of the figure's.
type brought struct {
	line  *quantity.Line
	share int
}

// broughtBy are the shares' components that one of a figure is made of, and what they
// add up to. They stand until the next are asked for.
func (d *derivation) broughtBy(l *quantity.Line, m *making) (sum float64, of []brought) {
	for _, byID := range []bool{false, true} { // a source that channels share may be there twice
		sum, of = 0, d.brought[:0]
		for i := range m.shares {
			s := &m.shares[i]
			for j := range s.of.Lines {
				o := &s.of.Lines[j]
				if (o.Source == l.Source || byID && o.Source.ID == l.Source.ID) && o.C != 0 {
					sum, of = sum+s.factor*o.C, append(of, brought{o, i})
				}
			}
		}
		if d.brought = of; near(sum, l.C) {
			break
		}
	}
	return sum, of
}

// apartly reports whether no group that is taken as one error, and no estimate with
// finite degrees of freedom, is in two shares.
func apartly(shares []share) bool {
	for i, a := range shares {
		for _, b := range shares[i+1:] {
			for _, l := range a.of.Lines {
				if l.Sharing != quantity.Common && math.IsInf(l.Source.DoF, 1) {
					continue
				}
				if slices.ContainsFunc(b.of.Lines, func(o quantity.Line) bool {
					return l.Sharing == quantity.Common && o.Sharing == quantity.Common && o.Source.Group == l.Source.Group ||
						!math.IsInf(l.Source.DoF, 1) && estimateOf(o.Source) == estimateOf(l.Source)
				}) {
					return false
				}
			}
		}
	}
	return true
}

// made says what a figure is made of and its u; the tally has the figure's components.
func (d *derivation) made(s *saying, f *Figure, m making) {
	d.by(formula.Combined)
	s.put(m.says)
	switch {
	case m.summed:
		s.put(": u = √(")
		s.b = d.summed(s.b, &m, d.tally.variances)
		s.put(") = ")
	case len(m.shares) == 1:
		s.put("; u = ")
	default:
		s.put(": u = √(")
		for i, sh := range m.shares {
			if i > 0 {
				s.put(" + ")
			}
			if sh.times == 0 {
				s.num(sh.of.Std).put("²")
			} else {
				s.put("(").factored(sh, sh.of.Std).put(")²")
			}
		}
		s.put(") = ")
	}
	s.amount(f.Std, f.Unit)
}

// factored adds what a u counts by a share's factor.
func (s *saying) factored(sh share, u float64) *saying {
	return s.num(sh.times).put("·").num(u).put("/").num(sh.over)
}

// summed appends the squares of some of the tally's variances, each component as the
// shares have it.
func (d *derivation) summed(b []byte, m *making, some []variance) []byte {
	for i, v := range some {
		if i > 0 {
			b = append(b, " + "...)
		}
		start, n := len(b), 0
		for j := v.from; j < v.to; j++ {
			_, of := d.broughtBy(&d.tally.lines[j], m)
			for _, o := range of {
				b = d.numbers.term(b, o.line.C, n == 0)
				n++
			}
		}
		if n > 1 {
			b = append(slices.Insert(b, start, '('), ')')
		} else if b[start] == '-' {
			b = slices.Delete(b, start, start+1)
		}
		b = append(b, "²"...)
	}
	return b
}

// madeWith says how an estimate's share in u comes of the components or, by the factor,
// of its share in the u of another figure; nothing where it is just that.
func (d *derivation) madeWith(s *saying, f *Figure, e sharing, m making) {
	u := math.Sqrt(e.variance)
	if m.summed {
		s.put(" with √(")
		s.b = d.summed(s.b, &m, e.terms.some)
		s.put(") = ").amount(u, f.Unit)
		return
	}
	_, of := d.broughtBy(&d.tally.lines[e.terms.some[0].from], &m)
	if sh := m.shares[of[0].share]; sh.times != 0 {
		s.put(" with ").factored(sh, u/math.Abs(sh.factor)).put(" = ").amount(u, f.Unit)
	}
}
