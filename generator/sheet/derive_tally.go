package sheet

import (
	"math"
	"slices"
	"strconv"

	"wattsheet/generator/quantity"
)

// A tally is the components of one figure, and what u² is the sum of. The next figure
// overwrites it.
type tally struct {
	lines     []quantity.Line
	numbers   *numerals
	variances []variance // what u² is the sum of
	groups    []string   // those taken as one error, in the order met
	shared    []sharing  // by estimates
}

// A variance is what one component, or a group taken as one error, adds to u².
type variance struct {
	from, to int // the lines
	value    float64
	estimate string
	dof      float64
}

// take fills the tally; without all, components that contribute nothing are left out.
func (t *tally) take(lines []quantity.Line, numbers *numerals, all bool) {
	t.lines, t.numbers, t.variances, t.groups = t.lines[:0], numbers, t.variances[:0], t.groups[:0]
	for _, l := range lines {
		if l.C == 0 && !all {
			continue
		}
		t.lines = append(t.lines, l)
		if l.Sharing == quantity.Common && !slices.Contains(t.groups, l.Source.Group) {
			t.groups = append(t.groups, l.Source.Group)
		}
	}
	for i := 0; i < len(t.lines); i = t.variances[len(t.variances)-1].to {
		t.variances = append(t.variances, t.variance(i))
	}
}

// variance is that of the component at a line, or of the group that begins there.
func (t *tally) variance(from int) variance {
	l := &t.lines[from]
	v := variance{from, from + 1, l.C * l.C, estimateOf(l.Source), l.Source.DoF}
	if l.Sharing != quantity.Common {
		return v
	}
	sum := l.C
	for ; v.to < len(t.lines) && t.lines[v.to].Source.Group == l.Source.Group; v.to++ {
		sum += t.lines[v.to].C
		if s := t.lines[v.to].Source; s.DoF > 0 && s.DoF < v.dof {
			v.dof, v.estimate = s.DoF, estimateOf(s) // of one error the fewest degrees of freedom count
		}
	}
	v.value = sum * sum
	return v
}

// estimateOf is the estimate that a source's degrees of freedom belong to.
func estimateOf(s *quantity.Source) string {
	if s.Estimate == "" {
		return s.ID
	}
	return s.Estimate
}

// letter is that of a group taken as one error.
func (t *tally) letter(group string) string { return letterNo(slices.Index(t.groups, group)) }

// letterOf is the letter of a group among a figure's components.
func letterOf(lines []quantity.Line, group string) string {
	var groups []string
	for _, l := range lines {
		if l.C != 0 && l.Sharing == quantity.Common && !slices.Contains(groups, l.Source.Group) {
			groups = append(groups, l.Source.Group)
		}
	}
	return letterNo(slices.Index(groups, group))
}

func letterNo(n int) string {
	letter := string(rune('A' + n%26))
	if n >= 26 {
		letter += strconv.Itoa(n / 26)
	}
	return letter
}

// squares is the sum that the variance is, to be written.
func (t *tally) squares() squares { return squares{t, t.variances} }

// squares are some of a tally's variances, written as a sum.
type squares struct {
	of   *tally
	some []variance
}

func (s squares) append(b []byte) []byte {
	for i, v := range s.some {
		if i > 0 {
			b = append(b, " + "...)
		}
		if s.of.lines[v.from].Sharing != quantity.Common {
			b = append(s.of.numbers.append(b, math.Abs(s.of.lines[v.from].C)), "²"...)
			continue
		}
		b = append(b, '(')
		for j, l := range s.of.lines[v.from:v.to] {
			b = s.of.numbers.term(b, l.C, j == 0)
		}
		b = append(b, ")²"...)
	}
	return b
}

// A sharing is what one estimate with finite degrees of freedom adds to u².
type sharing struct {
	name          string
	variance, dof float64
	terms         squares
}

// estimates are those that have finite degrees of freedom; they stand until the next are
// asked for.
func (t *tally) estimates() []sharing {
	out := t.shared[:0]
	for _, v := range t.variances {
		if math.IsInf(v.dof, 1) || v.dof == 0 {
			continue
		}
		i := slices.IndexFunc(out, func(s sharing) bool { return s.name == v.estimate })
		if i < 0 {
			var some []variance
			if i = len(out); i < cap(out) {
				some = out[:i+1][i].terms.some[:0] // its room
			}
			out = append(out, sharing{name: v.estimate, terms: squares{of: t, some: some}})
		}
		out[i].variance += v.value
		out[i].dof = v.dof
		out[i].terms.some = append(out[i].terms.some, v)
	}
	t.shared = out
	return out
}
