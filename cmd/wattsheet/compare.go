package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

func compareCommand() *command {
	c := &command{
		name: "compare", does: "tell two units apart, or rank all at one load", takes: "[UNIT UNIT] [--method ID] [--load OHM] [--bridged]\n                         [--as-of TIME] [--root DIR]",
		about: `Compares the total power of two units at each method and load at which both have
runs: what was measured, what each may give at one supply voltage and the
nominal load, and whether they are told apart, or why not. UNIT is the name of
the unit's folder.

Without units it ranks all that have a figure by a method at a load; those that
were measured at other frequencies or with other kinds of supply stand in tables
of their own. A unit's ranks are an interval: units that the bench can't tell
apart share them. They come from comparing pairs, each by itself.

Two units are told apart where the probability that one gives more is 0.95 at
least, whatever each does when its supply and its load are not quite the
other's. What both readings share, such as a load resistor, counts once.`,
		flags: []option{
			rootOption,
			{"method", "ID", "only this method"},
			{"load", "OHM", "only this nominal load, in ohms"},
			{"bridged", "", "bridged channels only"},
			asOfOption,
		},
		examples: []string{"wattsheet compare ottersprocket-20 ottersprocket-21", "wattsheet compare --load 4 --method thd1", "wattsheet compare --load 4 --method thd1 --root demo"},
	}
	c.run = func(u *ui, args []string) int { return runCompare(u, c, args) }
	return c
}

func runCompare(u *ui, c *command, args []string) int {
	root, method, load, bridged, text := ".", "", "", "", ""
	words, status, ok := c.read(u, flagsFirst(c, args), map[string]*string{"root": &root, "method": &method, "load": &load, "bridged": &bridged, "as-of": &text}, 2)
	if !ok {
		return status
	}
	ohm, err := loadAsked(load)
	switch {
	case err != nil:
		return u.misused(err)
	case len(words) == 1:
		return u.misused(fmt.Errorf("compare needs two units, or none\nhint: wattsheet compare %s UNIT; without units it ranks all", words[0]))
	case len(words) == 0 && (method == "" || load == ""):
		return u.misused(fmt.Errorf("compare needs two units, or a method and a load\nhint: wattsheet compare UNIT UNIT, or wattsheet compare --method ID --load OHM"))
	}
	asOf, err := parseAsOf(text, u.clock())
	if err != nil {
		return u.misused(err)
	}
	s, problems, err := loadSite(u, root, asOf)
	if err != nil {
		return u.failed(err)
	}
	if problems.Errors() {
		u.problems(problems)
		u.note("", "%s", tally(problems))
		return exitFailed
	}
	asked := asked{method, ohm, bridged != ""}
	if err := asked.check(s.Content); err != nil {
		return u.failed(err)
	}
	if len(words) == 0 {
		return u.rank(s, asked)
	}
	return u.pairs(s, words, asked)
}

// loadAsked is the load of --load; 0 where none is given.
func loadAsked(load string) (float64, error) {
	if load == "" {
		return 0, nil
	}
	ohm, err := strconv.ParseFloat(load, 64)
	if err != nil || !(ohm > 0) || math.IsInf(ohm, 0) {
		return 0, fmt.Errorf("--load is %q, which is no load\nhint: write ohms as a plain number: --load 4", load)
	}
	return ohm, nil
}

// asked is which points a comparison was asked for; what is empty is all.
type asked struct {
	method  string
	ohm     float64
	bridged bool
}

// check reports a method that isn't there.
func (a asked) check(content *record.Content) error {
	if a.method == "" {
		return nil
	}
	_, err := chosenMethods(content, []string{a.method})
	return err
}

// points are those of the sheets' points that were asked for.
func (a asked) points(sheets []*sheet.Sheet) []sheet.Point {
	return slices.DeleteFunc(sheet.Points(sheets), func(p sheet.Point) bool {
		return a.method != "" && p.Method.ID != a.method || a.ohm != 0 && !p.Near(a.ohm) || a.bridged && !p.Bridged
	})
}

// rank prints the ranking at the points asked for.
func (u *ui) rank(s *site.Site, a asked) int {
	points := a.points(s.Sheets)
	if !a.bridged {
		points = slices.DeleteFunc(points, func(p sheet.Point) bool { return p.Bridged })
	}
	if len(points) == 0 {
		return u.failed(fmt.Errorf("no unit has a run by the method %q at %s Ω%s\nhint: %s", a.method, strconv.FormatFloat(a.ohm, 'g', -1, 64), a.kind(), a.elsewhere(s.Sheets)))
	}
	for _, p := range points {
		for _, t := range sheet.Rank(s.Sheets, p) {
			u.passage(t.Passage())
			u.say("")
		}
	}
	u.passage(sheet.RankNote())
	return exitDone
}

func (a asked) kind() string {
	if a.bridged {
		return " bridged"
	}
	return ""
}

// elsewhere is the hint at which loads there are runs by the method.
func (a asked) elsewhere(sheets []*sheet.Sheet) string {
	var loads []string
	for _, p := range (asked{method: a.method}).points(sheets) {
		loads = append(loads, p.Load())
	}
	if len(loads) == 0 {
		return "it has no runs at all"
	}
	return "it has runs at " + strings.Join(loads, ", ")
}

// pairs prints the comparison of two units at all points that both have.
func (u *ui) pairs(s *site.Site, words []string, a asked) int {
	var two [2]*sheet.Sheet
	for i, slug := range words {
		var err error
		if two[i], err = sheetOf(s.Sheets, slug); err != nil {
			return u.failed(err)
		}
	}
	theirs := func(i int) []sheet.Point { return a.points(two[i : i+1]) }
	other := theirs(1)
	common := slices.DeleteFunc(theirs(0), func(p sheet.Point) bool {
		return !slices.ContainsFunc(other, func(q sheet.Point) bool { return p.Same(q) })
	})
	if len(common) == 0 {
		return u.failed(fmt.Errorf("%s and %s have no run by one method at one load%s\nhint: %s; %s", words[0], words[1], a.narrowed(),
			words[0]+" has "+titles((asked{}).points(two[:1])), words[1]+" has "+titles((asked{}).points(two[1:]))))
	}
	for i, p := range common {
		if i > 0 {
			u.say("")
		}
		u.passage(sheet.Apart(two[0], two[1], p).Passage())
	}
	return exitDone
}

// narrowed says that flags left something out.
func (a asked) narrowed() string {
	if a == (asked{}) {
		return ""
	}
	return " of those asked for"
}

// titles lists points for people.
func titles(points []sheet.Point) string {
	if len(points) == 0 {
		return "no valid run"
	}
	var out []string
	for _, p := range points {
		out = append(out, p.Title())
	}
	return strings.Join(out, "; ")
}

// passage prints a passage.
func (u *ui) passage(p sheet.Passage) {
	u.say("%s", p.Head)
	for _, l := range p.Lines() {
		u.say("%s", l)
	}
}
