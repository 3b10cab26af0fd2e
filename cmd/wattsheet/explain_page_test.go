package main

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"wattsheet/generator/sheet"
)

// A pageText is what a page tells, without its markup: a part a line.
type pageText struct{ lines []string }

func (p *pageText) Head(b []byte, text string) []byte {
	p.lines = append(p.lines, text)
	return b
}

func (p *pageText) Begin(b []byte, _ int, _ bool) []byte { return b }

func (p *pageText) End(b []byte, from int, _, _ bool) []byte {
	p.lines = append(p.lines, string(b[from:]))
	return b[:from]
}

func (p *pageText) Close(b []byte) []byte { return b }

// shown is what a page tells of something.
func shown(tell func([]byte, sheet.Markup) []byte) []string {
	var p pageText
	tell(nil, &p)
	return p.lines
}

// TestPagesCanBeFollowed: what a page tells of each claim and run of the demo can be
// followed with a calculator as it is printed there, gives the sheet's own figures, and
// its tables of components add up.
func TestPagesCanBeFollowed(t *testing.T) {
	equations, tables := 0, 0
	for _, s := range demo(t).Sheets {
		d := s.Deriver()
		follow := func(what string, tell func([]byte, sheet.Markup) []byte) string {
			lines := shown(tell)
			text := strings.ReplaceAll(strings.Join(lines, " "), "\u00a0", " ")
			equations += recomputed(t, what, text)
			tables += addedUp(t, what, lines)
			return strings.Join(strings.Fields(text), " ")
		}
		for _, c := range s.Claims {
			what := s.Slug + " " + c.ID
			text := follow(what, func(b []byte, by sheet.Markup) []byte { return d.AppendClaim(b, c, by) })
			has(t, what, text, c.Level)
			for _, ch := range c.Channels {
				has(t, what, text, ch.Mean)
			}
		}
		for _, r := range s.Runs {
			what := s.Slug + " " + r.ID
			text := follow(what, func(b []byte, by sheet.Markup) []byte { return d.AppendRun(b, r, by) })
			has(t, what, text, r.Total, r.SupplyV, r.SupplyA, r.SupplyPower, r.Efficiency, r.Heat)
			for _, c := range r.Channels {
				has(t, what, text, c.Resistance, c.Volts, c.OutV, c.Power, c.Check, c.Distortion)
			}
		}
		follow(s.Slug+" in common", d.AppendCommon)
	}
	if equations < 5000 || tables < 500 {
		t.Errorf("only %d equations and %d tables were followed", equations, tables)
	}
}

var (
	// a row of components: c·u, and the letter of what is taken as one error
	componentRow = regexp.MustCompile(`(-?[0-9.]+(?:e-?[0-9]+)?)(?:  ([A-Z][0-9]*))?$`)
	// the u that a table's components add up to
	addsUpTo = regexp.MustCompile(`^u = ([-0-9.e]+)`)
)

// addedUp checks that the components of each table give the u under it, with those of
// one letter as one error, and returns how many tables there were.
func addedUp(t *testing.T, what string, lines []string) int {
	t.Helper()
	tables := 0
	for i := 0; i < len(lines); i++ {
		if !strings.HasPrefix(lines[i], "source ") {
			continue
		}
		alone, letters := 0.0, map[string]float64{}
		for i++; i < len(lines) && !strings.HasPrefix(lines[i], "u = "); i++ {
			if m := componentRow.FindStringSubmatch(lines[i]); m == nil || strings.HasPrefix(lines[i], "c·u of each run") {
				continue
			} else if x := parsed(t, m[1]); m[2] == "" {
				alone += x * x
			} else {
				letters[m[2]] += x
			}
		}
		for _, x := range letters {
			alone += x * x
		}
		tables++
		m := addsUpTo.FindStringSubmatch(strings.Join(lines[min(i, len(lines)-1):], " "))
		if m == nil {
			t.Errorf("%s: a table says no u", what)
		} else if u := parsed(t, m[1]); math.Abs(math.Sqrt(alone)-u) > 3e-5*u {
			t.Errorf("%s: the components of a table give u = %.6g, under it stands %s", what, math.Sqrt(alone), m[1])
		}
	}
	return tables
}
