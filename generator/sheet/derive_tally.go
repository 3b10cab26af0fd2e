package sheet

import (
	"math"
	"slices"
	"strconv"

	"wattsheet/generator/quantity"
)

// A tally is the components of one figure, with each c·u as it is written: it stands
// in its own row, and in the sums. The next figure overwrites it.
type tally struct {
	lines     []quantity.Line
	texts     []byte
	ends      []int      // of each line's text
	variances []variance // what u² is the sum of
	groups    []string   // those taken as one error, in the order met
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
	t.lines, t.texts, t.ends, t.variances, t.groups = t.lines[:0], t.texts[:0], t.ends[:0], t.variances[:0], t.groups[:0]
	for _, l := range lines {
		if l.C == 0 && !all {
			continue
		}
		t.lines = append(t.lines, l)
		t.texts = numbers.append(t.texts, l.C)
		t.ends = append(t.ends, len(t.texts))
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

// text is a line's c·u, as written.
func (t *tally) text(i int) []byte {
	if i == 0 {
		return t.texts[:t.ends[0]]
	}
	return t.texts[t.ends[i-1]:t.ends[i]]
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
			b = append(append(b, unsigned(s.of.text(v.from))...), "²"...)
			continue
		}
		b = append(append(b, '('), s.of.text(v.from)...)
		for j := v.from + 1; j < v.to; j++ {
			sign := " + "
			if s.of.text(j)[0] == '-' {
				sign = " − "
			}
			b = append(append(b, sign...), unsigned(s.of.text(j))...)
		}
		b = append(b, ")²"...)
	}
	return b
}

// unsigned is a number's text without a minus.
func unsigned(text []byte) []byte {
	if text[0] == '-' {
		return text[1:]
	}
	return text
}

// A sharing is what one estimate with finite degrees of freedom adds to u².
type sharing struct {
	name          string
	variance, dof float64
	terms         squares
}

// estimates are those that have finite degrees of freedom.
func (t *tally) estimates() []sharing {
	var out []sharing
	for _, v := range t.variances {
		if math.IsInf(v.dof, 1) || v.dof == 0 {
			continue
		}
		i := slices.IndexFunc(out, func(s sharing) bool { return s.name == v.estimate })
		if i < 0 {
			i = len(out)
			out = append(out, sharing{name: v.estimate, terms: squares{of: t}})
		}
		out[i].variance += v.value
		out[i].dof = v.dof
		out[i].terms.some = append(out[i].terms.some, v)
	}
	return out
}
