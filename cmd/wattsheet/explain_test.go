package main

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

// demo is the site of this repository.
func demo(t *testing.T) *site.Site {
	t.Helper()
	s, problems, err := site.Load("../..", time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC))
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	return s
}

// said is a derivation as one line, and checks its lines' width.
func said(t *testing.T, what string, passages []sheet.Passage) string {
	t.Helper()
	var words []string
	for _, p := range passages {
		for _, l := range append([]string{p.Head}, p.Lines()...) {
			if n := utf8.RuneCountInString(harmless(l)); n > sheet.Columns {
				t.Errorf("%s: a line has %d columns: %s", what, n, l)
			}
			words = append(words, strings.Fields(l)...)
		}
	}
	return strings.Join(words, " ")
}

// has checks that a derivation gives a figure: as published, and its u, ν, k and U.
func has(t *testing.T, what, text string, figures ...*sheet.Figure) {
	t.Helper()
	for _, f := range figures {
		if f == nil {
			continue
		}
		published := "published as " + strings.Join(strings.Fields(strings.ReplaceAll(f.Text, "\u00a0", " ")), " ")
		if !strings.Contains(text, published) {
			t.Errorf("%s: %s is not there: %s", what, f.Quantity, published)
		}
	}
}

// Every claim and every run of the demo can be explained, with the sheet's own
// figures, in 80 columns.
func TestExplainGivesTheFiguresOfTheSheet(t *testing.T) {
	corners, equations, rows := 0, 0, 0
	for _, s := range demo(t).Sheets {
		said(t, s.Slug, s.DeriveClaims())
		for _, c := range s.Claims {
			what := s.Slug + " " + c.ID
			text := said(t, what, s.DeriveClaim(c))
			has(t, what, text, c.Level)
			for _, ch := range c.Channels {
				has(t, what, text, ch.Mean)
			}
			for _, word := range []string{c.Word, c.Why, c.PText, c.FlipText} {
				if word = strings.Join(strings.Fields(strings.ReplaceAll(word, "\u00a0", " ")), " "); !strings.Contains(text, word) {
					t.Errorf("%s doesn't say %q", what, word)
				}
			}
			equations += recomputed(t, what, text)
			rows += tabled(t, what, text, c.LimitW)
			for _, m := range cornerLine.FindAllStringSubmatch(text, -1) {
				corners++
				if m[1] != m[2] {
					t.Errorf("%s: the budget of the deciding corner gives u = %s, the corner %s", what, m[1], m[2])
				}
			}
		}
		for _, r := range s.Runs {
			what := s.Slug + " " + r.ID
			text := said(t, what, s.DeriveRun(r))
			has(t, what, text, r.Total, r.SupplyV, r.SupplyA, r.SupplyPower, r.Efficiency, r.Heat)
			for _, c := range r.Channels {
				has(t, what, text, c.Resistance, c.Volts, c.OutV, c.Power, c.Check, c.Distortion)
			}
			equations += recomputed(t, what, text)
		}
	}
	if corners < 30 || equations < 5000 || rows < 50 {
		t.Errorf("only %d deciding corners, %d equations and %d corners' p were followed", corners, equations, rows)
	}
}

// Every other figure of the demo can be followed too: stated figures, ratios, repeats,
// temperatures, the check unit.
func TestExplainOtherFigures(t *testing.T) {
	s := demo(t)
	counts := map[string]int{}
	follow := func(kind, what string, passages []sheet.Passage, figures ...*sheet.Figure) {
		if passages == nil {
			return
		}
		text := said(t, what, passages)
		has(t, what, text, figures...)
		counts[kind] += recomputed(t, what, text)
	}
	for _, u := range s.Sheets {
		for _, sp := range u.Specs {
			follow("spec", u.Slug+" "+sp.ID, u.DeriveSpec(sp), sp.Measured)
		}
		var ratios, temperatures []*sheet.Figure
		for _, r := range u.Ratios {
			ratios = append(ratios, r.Figure)
		}
		for _, th := range u.Thermals {
			for _, p := range th.Points {
				temperatures = append(temperatures, p.TempC, p.Rise)
			}
		}
		follow("ratios", u.Slug+" ratios", u.DeriveRatios(), ratios...)
		follow("thermals", u.Slug+" thermals", u.DeriveThermals(), temperatures...)
		follow("repeats", u.Slug+" repeats", u.DeriveRepeats())
	}
	check := sheet.CheckUnit(s.Content)
	follow("check unit", "check unit", sheet.DeriveCheckUnit(s.Content), check.Mean, check.Days[0].Power)
	for kind, least := range map[string]int{"spec": 150, "ratios": 50, "thermals": 20, "repeats": 200, "check unit": 40} {
		if counts[kind] < least {
			t.Errorf("%s: only %d equations were followed", kind, counts[kind])
		}
	}
	t.Log(counts)
}

// the u of a corner's budget, and the one that the corner was decided by
var cornerLine = regexp.MustCompile(`([-0-9.e]+) W \[combined-uncertainty\] ν = (?:[^=]*|[^k]*)k = \S+ \S+ = \S+ U = k·u = \S+ = \S+ W \[expanded-uncertainty\] y = \S+ W, u = (\S+) W,`)

// a row of the corners' table: y, u, ν, (y − L)/u and p
var cornerRow = regexp.MustCompile(`[0-9]\.[0-9]{4} +-?1 +\S+ +([-0-9.e]+) +([0-9.e-]+) +([0-9.e-]+|∞) +([-0-9.e]+) +([0-9.]+) +(met|short|open)`)

// tabled checks the rows of corners' tables and returns how many there were. p has
// five decimals; z moves it by less than 0.4 of itself.
func tabled(t *testing.T, what, text string, limit float64) int {
	t.Helper()
	rows := cornerRow.FindAllStringSubmatch(text, -1)
	for _, m := range rows {
		if !agree("("+m[1]+" − "+calculable(limit)+")/"+m[2], m[4]) {
			t.Errorf("%s: %s: (y − L)/u is not that", what, m[0])
		}
		if p := studentBelow(parsed(t, m[4]), dofOf(t, m[3])); math.Abs(p-parsed(t, m[5])) > 0.6e-5 {
			t.Errorf("%s: %s: p is %.6f", what, m[0], p)
		}
	}
	return len(rows)
}

func calculable(x float64) string { return strconv.FormatFloat(x, 'g', 12, 64) }

func dofOf(t *testing.T, text string) float64 {
	if text == "∞" {
		return math.Inf(1)
	}
	return parsed(t, text)
}

func parsed(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil {
		t.Errorf("%q is not a number", text)
	}
	return x
}
