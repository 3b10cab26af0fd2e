package sheet

import (
	"cmp"
	"slices"
	"strings"

	"wattsheet/generator/quantity"
)

// A Share is the part of a figure's variance u² that one thing brings.
type Share struct {
	What string  // for people: output volts, repeatability, load
	Of   float64 // between 0 and 1
}

// Shares says what a figure's uncertainty is made of, the largest part first: for each
// cause the fraction
//
//	Σ c²/u², or (Σ c)²/u² where parts of one group are taken as one error
//
// of the variance u², with c the signed contributions (JCGM 100:2008, 5.1.2 and 5.2.2).
// The parts of one reading, of all loads and of one method's repeatability go together.
// Nil where nothing is known to be uncertain.
func (f *Figure) Shares() []Share {
	if f.Std <= 0 {
		return nil
	}
	var out []Share
	add := func(what string, variance float64) {
		i := slices.IndexFunc(out, func(s Share) bool { return s.What == what })
		if i < 0 {
			i = len(out)
			out = append(out, Share{What: what})
		}
		out[i].Of += variance / (f.Std * f.Std)
	}
	for i := 0; i < len(f.Lines); i++ {
		l := f.Lines[i]
		c := l.C
		for l.Sharing == quantity.Common && i+1 < len(f.Lines) && f.Lines[i+1].Source.Group == l.Source.Group {
			i++
			c += f.Lines[i].C
		}
		add(causeOf(l.Source), c*c)
	}
	slices.SortStableFunc(out, func(a, b Share) int { return cmp.Or(cmp.Compare(b.Of, a.Of), strings.Compare(a.What, b.What)) })
	return out
}

// causeOf is what a source is a part of: "output volts, own part (…)" is one of output
// volts, and all that a load is wrong by is one of the load.
func causeOf(s *quantity.Source) string {
	if s.Kind == "load" {
		return "load"
	}
	what, _, _ := strings.Cut(s.Name, " (")
	what, _, _ = strings.Cut(what, ",")
	return what
}
