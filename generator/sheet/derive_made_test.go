package sheet

import (
	"math"
	"slices"
	"testing"

	"wattsheet/generator/quantity"
)

// What total, efficiency and heat are made of gives their u: for a sum of independent
// shares the root of the sum of squares (JCGM 100:2008, 5.1.2), for a quotient that of the
// relative ones (5.1.6). Where anything is otherwise, the components have
// to be listed.
func TestFiguresAreMadeOfTheirShares(t *testing.T) {
	s := lifetimeSheet(t)
	d := &s.Deriver().d
	made := 0
	for _, r := range s.Runs {
		d.of = r
		if r.Efficiency == nil {
			continue
		}
		for _, f := range []*Figure{r.Heat, r.Efficiency} {
			m, ok := d.madeOf(f)
			if !ok || m.summed || len(m.shares) != 2 {
				t.Fatalf("run %s: %s isn't made of two figures", r.ID, f.Quantity)
			}
			u := math.Hypot(m.shares[0].factor*m.shares[0].of.Std, m.shares[1].factor*m.shares[1].of.Std)
			if math.Abs(u-f.Std) > 1e-9*f.Std {
				t.Errorf("run %s: %s: the shares give u = %v, not %v", r.ID, f.Quantity, u, f.Std)
			}
			made++
		}
		if relative := math.Hypot(r.Total.Std/r.Total.X, r.SupplyPower.Std/r.SupplyPower.X); math.Abs(relative-r.Efficiency.Std/r.Efficiency.X) > 1e-9*relative {
			t.Errorf("run %s: the efficiency's relative u is not that of a quotient", r.ID)
		}
		if m, ok := d.madeOf(r.Total); !ok || m.summed != (len(r.Channels) > 1) {
			t.Errorf("run %s: the total isn't made of the channels", r.ID)
		}
		for name, spoil := range map[string]func(lines []quantity.Line) []quantity.Line{
			"larger":  func(l []quantity.Line) []quantity.Line { l[0].C *= 1.0001; return l },
			"shared":  func(l []quantity.Line) []quantity.Line { l[0].Sharing = quantity.Common - l[0].Sharing; return l },
			"missing": func(l []quantity.Line) []quantity.Line { return l[1:] },
			"another": func(l []quantity.Line) []quantity.Line {
				return append(l, quantity.Line{Source: &quantity.Source{ID: "new", U: 1}, C: 1})
			},
		} {
			whole := r.Heat
			spoiled := *whole
			spoiled.Lines = spoil(slices.Clone(whole.Lines))
			r.Heat = &spoiled
			if _, ok := d.madeOf(r.Heat); ok {
				t.Errorf("run %s: with a component %s it still counts as made of its shares", r.ID, name)
			}
			r.Heat = whole
		}
	}
	if made < 40 {
		t.Errorf("only %d figures were made of others", made)
	}
	for _, shared := range []quantity.Line{{Source: &quantity.Source{ID: "a", Group: "g", DoF: math.Inf(1)}, C: 1, Sharing: quantity.Common}, {Source: &quantity.Source{ID: "a", Estimate: "e", DoF: 8}, C: 1}} {
		twice := []share{{of: &Figure{Lines: []quantity.Line{shared}}, factor: 1}, {of: &Figure{Lines: []quantity.Line{shared}}, factor: 1}}
		if apartly(twice) || !apartly(twice[:1]) {
			t.Error("a group or an estimate that two shares have in common isn't seen")
		}
	}
}
