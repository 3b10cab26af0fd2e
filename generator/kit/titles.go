package kit

import (
	"fmt"
	"strings"
	"unicode/utf16"

	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A title has at most 100 units of UTF-16, of which search shows some 60, as a large
// platform's help pages and users of it say.
const mostUnits = 100

// titles suggests titles, those first that say the most. None says more than the sheet.
func (m *maker) titles() {
	var all []line
	place := m.Sheet.Record.Unit.Key("model")
	from := []Result{m.headline()}
	put := func(text string) {
		if len(utf16.Encode([]rune(text))) <= mostUnits {
			all = append(all, line{text: text, from: place})
		}
	}
	name := sheet.Isolated(m.Sheet.Name)
	put(name + ": " + strings.TrimSuffix(m.Sheet.Headline, "."))
	if counts := m.counts(); counts != "" {
		put(name + ": " + counts)
	}
	if c := m.leading(); c != nil {
		from = append(from, resultOf(c))
		figure, of := measured(c)
		if c.Brief != "" {
			figure += ","
		}
		put(fmt.Sprintf("%s: %s %s at %s", name, figure, of, c.Label))
		put(fmt.Sprintf("%s W at %s? %s, measured", c.Rec.PowerW.Text, c.Label, name))
	}
	if len(m.Sheet.Claims) > 0 {
		put("Does the " + name + " do what it claims?")
	}
	put(name + ", measured")
	put(name)
	if len(all) == 0 {
		n := len(utf16.Encode([]rune(name)))
		m.problems = append(m.problems, place.Problem(fmt.Sprintf("the unit's name has %d characters as platforms count them, and a video's title takes %d", n, mostUnits),
			"shorten maker or model"))
		return
	}
	m.allowed(all, "a title")
	m.add("titles.txt", lines(all), from...)
}

// counts says of all claims how many are met and how many short, so that neither is told
// without the other: "2 of 5 claims met, 1 short". Where none is short it says how many
// are neither, which "none short" would take for good. It is empty where none is decided: then
// "0 of 5 met" would be true and unfair.
func (m *maker) counts() string {
	n := map[verdict.Word]int{}
	for _, c := range m.Sheet.Claims {
		n[c.Verdict]++
	}
	of := numbered(len(m.Sheet.Claims), "claim")
	switch met, short := n[verdict.Met], n[verdict.Short]; {
	case met == len(m.Sheet.Claims) && met > 0:
		return fmt.Sprintf("%d of %s met", met, of)
	case met > 0 && short == 0:
		return fmt.Sprintf("%d of %s met, %d not decided", met, of, len(m.Sheet.Claims)-met)
	case met > 0:
		return fmt.Sprintf("%d of %s met, %d short", met, of, short)
	case short == 1:
		return fmt.Sprintf("1 of %s falls short", of)
	case short > 0:
		return fmt.Sprintf("%d of %s fall short", short, of)
	}
	return ""
}

// leading is the claim that a title speaks of: the first that falls short, else the first
// that is open, else the first that is met.
func (m *maker) leading() *sheet.Claim {
	for _, w := range []verdict.Word{verdict.Short, verdict.Open, verdict.Met} {
		for _, c := range m.Sheet.Claims {
			if figure, _ := measured(c); c.Verdict == w && figure != "" {
				return c
			}
		}
	}
	return nil
}

// comment makes the comment that a tester pins: verdict, address, who supplied the unit.
func (m *maker) comment() {
	unit := m.Sheet.Record.Unit.Key("model")
	all := []line{{text: m.Sheet.Headline, from: unit}}
	from := []Result{m.headline(), m.disclosed()}
	for _, c := range m.Sheet.Claims {
		all = append(all, line{text: claimSays(c), from: c.Rec.Place})
		from = append(from, resultOf(c))
	}
	all = append(all, line{text: m.plusMinus(), from: unit})
	if text := m.Sheet.Disclosure; text != "" {
		all = append(all, line{}, line{text: text, from: m.Sheet.Record.Source.Place})
	}
	if address := m.address(); address != "" {
		all = append(all, line{}, line{text: "Readings, method, corrections: " + address, from: unit})
		from = append(from, Result{"address", address})
	}
	m.allowed(all, "a comment")
	m.add("pinned-comment.txt", lines(all), from...)
}
