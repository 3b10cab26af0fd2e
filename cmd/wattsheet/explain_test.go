package main

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
)

// demo is the site of this repository.
func demo(t *testing.T) *site.Site {
	t.Helper()
	s, problems, err := site.Load("../..")
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
		for _, l := range append([]string{p.Head}, p.Lines...) {
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
	corners := 0
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
			calculated(t, what, text)
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
			calculated(t, what, text)
		}
	}
	if corners == 0 {
		t.Error("no claim shows its deciding corner")
	}
}

var (
	combinedLine = regexp.MustCompile(`u = √\(([^√]*?)\) = ([-0-9.e]+)`)
	freedomLine  = regexp.MustCompile(`ν = ([0-9.e-]+)⁴/\(([^)]*)\) = ([0-9.e-]+)`)
	// the u of a corner's budget, and the one that the corner was decided by
	cornerLine   = regexp.MustCompile(`([-0-9.e]+) W \[combined-uncertainty\] ν = [^=]*(?:= [^=]*)?U = k·u = \S+ = \S+ W, k = t\(0.975; ν\) \[expanded-uncertainty\] y = \S+ W, u = (\S+) W,`)
	expandedLine = regexp.MustCompile(`U = k·u = ([0-9.e-]+)·([0-9.e-]+) = ([0-9.e-]+)`)
)

// calculated does with the printed numbers what a reader with a pocket calculator
// would do, and compares with the printed results.
func calculated(t *testing.T, what, text string) {
	t.Helper()
	close := func(line string, got, want float64) {
		if math.Abs(got-want) > 2e-4*math.Abs(want) {
			t.Errorf("%s: %s: the printed numbers give %g", what, line, got)
		}
	}
	for _, m := range combinedLine.FindAllStringSubmatch(text, -1) {
		sum := 0.0
		for _, square := range strings.Split(strings.ReplaceAll(m[1], "− ", "+ -"), "² + ") {
			inner := 0.0
			for _, term := range strings.Split(strings.Trim(square, "()²"), " + ") {
				inner += parsed(t, term)
			}
			sum += inner * inner
		}
		close(m[0], math.Sqrt(sum), parsed(t, m[2]))
	}
	for _, m := range freedomLine.FindAllStringSubmatch(text, -1) {
		sum := 0.0
		for _, term := range strings.Split(m[2], " + ") {
			u, nu, _ := strings.Cut(term, "⁴/")
			sum += math.Pow(parsed(t, u), 4) / parsed(t, nu)
		}
		close(m[0], math.Pow(parsed(t, m[1]), 4)/sum, parsed(t, m[3]))
	}
	for _, m := range expandedLine.FindAllStringSubmatch(text, -1) {
		close(m[0], parsed(t, m[1])*parsed(t, m[2]), parsed(t, m[3]))
	}
}

func parsed(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil {
		t.Errorf("%q is not a number", text)
	}
	return x
}
