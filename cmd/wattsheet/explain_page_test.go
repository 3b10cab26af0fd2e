package main

import (
	"math"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

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
// each column of its tables of components adds up.
func TestPagesCanBeFollowed(t *testing.T) {
	equations, columns := 0, 0
	for _, s := range demo(t).Sheets {
		d := s.Deriver()
		follow := func(what string, tell func([]byte, sheet.Markup) []byte) string {
			lines := shown(tell)
			text := strings.ReplaceAll(strings.Join(lines, " "), "\u00a0", " ")
			equations += recomputed(t, what, text)
			columns += addedUp(t, what, lines)
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
	t.Logf("%d equations, %d columns of components", equations, columns)
	if equations < 5000 || columns < 500 {
		t.Errorf("only %d equations and %d columns of components were followed", equations, columns)
	}
}

var (
	// one column of components: c, where it has one of its own, c·u, and the letter of
	// what is taken as one error
	componentsHead = regexp.MustCompile(` (?:(\S+(?: \S+)*): )?c +c·u(  as)?`)
	// the u that a column's components add up to
	addsUpTo = regexp.MustCompile(`^(?:(\S+(?: \S+)*): )?u = ([-0-9.e]+)`)
)

// addedUp checks that the components of each column of each table give the u under it,
// with those of one letter as one error, and returns how many columns there were.
func addedUp(t *testing.T, what string, lines []string) int {
	t.Helper()
	columns := 0
	for i := 0; i < len(lines); i++ {
		if !strings.HasPrefix(lines[i], "source ") {
			continue
		}
		head := lines[i]
		var rows []string
		for i++; i < len(lines) && !addsUpTo.MatchString(lines[i]); i++ {
			if !strings.HasPrefix(lines[i], "c·u of each run") {
				rows = append(rows, lines[i])
			}
		}
		for _, at := range componentsHead.FindAllStringSubmatchIndex(head, -1) {
			columns++
			label := ""
			if at[2] >= 0 {
				label = head[at[2]:at[3]]
			}
			if i == len(lines) {
				t.Errorf("%s: a table says no u", what)
				break
			}
			m := addsUpTo.FindStringSubmatch(lines[i])
			if m == nil || m[1] != label {
				t.Errorf("%s: under a table stands %q, not the u of %q", what, lines[i], label)
				break
			}
			// c·u ends where its head ends, and the letter stands under "as"
			end := utf8.RuneCountInString(head[:at[1]])
			if at[4] >= 0 {
				end = utf8.RuneCountInString(head[:at[4]])
			}
			if u, got := parsed(t, m[2]), componentsOf(t, rows, end, at[4] >= 0); math.Abs(got-u) > 3e-5*u {
				t.Errorf("%s: the components of a table give %s u = %.6g, under it stands %s", what, label, got, m[2])
			}
			i++
		}
		i--
	}
	return columns
}

// componentsOf is the u that the components in a column of rows give, each with its last
// digit before the column's end.
func componentsOf(t *testing.T, rows []string, end int, letters bool) float64 {
	t.Helper()
	alone, joined := 0.0, map[string]float64{}
	for _, row := range rows {
		text := []rune(row)
		if len(text) < end || text[end-1] == ' ' {
			continue // of another figure, or the end of a long name
		}
		words := strings.Fields(string(text[:end]))
		x, letter := parsed(t, words[len(words)-1]), ""
		if letters {
			letter = strings.TrimSpace(string(text[end:min(end+4, len(text))]))
		}
		if letter == "" {
			alone += x * x
		} else {
			joined[letter] += x
		}
	}
	for _, x := range joined {
		alone += x * x
	}
	return math.Sqrt(alone)
}
