package site

import (
	"cmp"
	"slices"

	"wattsheet/generator/sheet"
)

// A nearBrief is by what other units are found near a unit: what kind it is, and its
// power at its main point. That is the one of most power, unbridged, by the site's first
// method that gives one.
type nearBrief struct {
	Kind    string
	Method  string `json:",omitempty"` // empty where it has no figure
	Load    string `json:",omitempty"` // the name of the load's page
	TotalW  exact
	Pointed string `json:",omitempty"` // the main point for people: "4 Ω, at 1 % THD+N"
}

// nearBriefOf gives it for a sheet, where it stands as given.
func nearBriefOf(s *sheet.Sheet, standings []*sheet.Standing) nearBrief {
	out := nearBrief{Kind: s.Record.Unit.Kind}
	for _, st := range standings {
		at := st.At
		if at.Bridged || out.Method != "" && out.Method != at.Method.ID {
			continue
		}
		if st.Total != nil && st.Doubt == "" && exact(st.Total.X) > out.TotalW {
			out.Method, out.Load, out.TotalW, out.Pointed = at.Method.ID, loadFolder(at.Ohm), exact(st.Total.X), at.Title()
		}
	}
	return out
}

// How far units may lie apart to be comparable, as a ratio of powers; and how many are
// named, of each side and of the same maker.
const (
	nearRatio   = 1.5
	nearEach    = 3
	nearOfMaker = 6
)

// nearUnits gives for each unit, by number, those near it: of the same maker, and of the
// same kind with comparable power at the same main point, the next above and below.
func nearUnits(units []*brief) (out [][]int) {
	out = make([][]int, len(units))
	byMaker, byPower := map[string][]int{}, map[nearBrief][]int{}
	for i, of := range units {
		byMaker[of.Maker.Slug] = append(byMaker[of.Maker.Slug], i)
		if n := of.Near; n.Method != "" {
			key := nearBrief{Kind: n.Kind, Method: n.Method, Load: n.Load}
			byPower[key] = append(byPower[key], i)
		}
	}
	for _, all := range byMaker {
		for at, i := range all {
			out[i] = around(out[i], all, at, nearOfMaker/2, func(int) bool { return true })
		}
	}
	for _, all := range byPower {
		slices.SortStableFunc(all, func(a, b int) int { return cmp.Compare(units[a].Near.TotalW, units[b].Near.TotalW) })
		for at, i := range all {
			out[i] = around(out[i], all, at, nearEach, func(j int) bool { return comparable(units[i].Near, units[j].Near) })
		}
	}
	for i := range out {
		slices.Sort(out[i])
		out[i] = slices.Compact(out[i])
	}
	return out
}

// around adds up to n before and n behind a place in a list, as far as they fit.
func around(out, all []int, at, n int, fits func(int) bool) []int {
	out = slices.Grow(out, 2*n)
	for j := max(at-n, 0); j <= min(at+n, len(all)-1); j++ {
		if j != at && fits(all[j]) {
			out = append(out, all[j])
		}
	}
	return out
}
