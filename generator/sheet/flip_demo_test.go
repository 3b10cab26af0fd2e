package sheet

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// demoContent is the content of this repository, with another decision rule where one
// is given.
func demoContent(t *testing.T, rule string) *record.Content {
	t.Helper()
	root := filepath.Join("..", "..", "content")
	var c record.Content
	var all, p record.Problems
	file := func(name string) *record.File {
		text, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			t.Fatal(err)
		}
		if name == "site.toml" && rule != "" {
			text = []byte(strings.Replace(string(text), `acceptance = "guarded"`, `acceptance = "`+rule+`"`, 1))
		}
		return &record.File{Name: name, Text: text}
	}
	c.Site, p = record.DecodeSite(file("site.toml"))
	all = append(all, p...)
	c.Bench, p = record.DecodeBench(file("bench.toml"))
	all = append(all, p...)
	c.Methods, p = record.DecodeMethods(file("methods.toml"))
	all = append(all, p...)
	units, err := filepath.Glob(filepath.Join(root, "units", "*", "record.toml"))
	if err != nil || len(units) == 0 {
		t.Fatal("no units", err)
	}
	for _, u := range units {
		slug := filepath.Base(filepath.Dir(u))
		r, p := record.DecodeRecord(file(filepath.Join("units", slug, "record.toml")), slug)
		c.Records, all = append(c.Records, r), append(all, p...)
	}
	if all = append(all, c.Check()...); all.Errors() {
		t.Fatal(all.Error())
	}
	return &c
}

// shifted are corners with every mean shifted and every uncertainty scaled.
func shifted(corners []verdict.Corner, shift, scale float64) []verdict.Corner {
	var out []verdict.Corner
	move := func(e *verdict.Estimate) *verdict.Estimate {
		if e == nil {
			return nil
		}
		return &verdict.Estimate{Y: e.Y + shift, U: e.U * scale, DoF: e.DoF}
	}
	for _, c := range corners {
		n := verdict.Corner{K: c.K, M: c.M}
		for _, ch := range c.Channels {
			n.Channels = append(n.Channels, verdict.Channel{At: move(ch.At), Below: move(ch.Below), Above: move(ch.Above)})
		}
		out = append(out, n)
	}
	return out
}

// again decides a claim anew by verdict.Decide, its means shifted and uncertainties
// scaled, with what holds a verdict back.
func again(e *evaluator, c *Claim, runs []*Run) func(shift, scale float64) verdict.Word {
	t := e.termsOf(c.Rec)
	m := e.match(c.Rec, t, runs)
	groups, _ := e.groups(c.Rec, t.thdnPct, m.counted)
	corners := e.corners(c.Rec, c.LimitW, t.supplyV, groups, carriers{})
	eased := e.ease(c, t, m)
	return func(shift, scale float64) verdict.Word {
		w := verdict.Decide(e.rule, c.LimitW, shifted(corners, shift, scale)).Word
		switch {
		case w == verdict.Met && len(m.ended) > 0:
			return verdict.Open
		case w == verdict.Short && (t.supplyAssumed || t.thdnAssumed) && (eased.corners == nil ||
			verdict.Decide(e.rule, c.LimitW, shifted(eased.corners, shift, scale)).Word != verdict.Short):
			return verdict.Open
		}
		return w
	}
}

var (
	saidShift = regexp.MustCompile(`(?i)^([0-9.]+)\x{a0}W (more|less), .* would (leave it open|make it “[A-Za-z ]+”)`)
	saidScale = regexp.MustCompile(`(?i)an uncertainty of ±([0-9.]+)\x{a0}W instead of ±[0-9.]+\x{a0}W would (leave it open|make it “[A-Za-z ]+”)`)
)

// Of every claim of the demo that numbers decide, by each usual rule: the flip
// distance changes the verdict to what is said, a hair less doesn't, and neither does
// anything smaller in either direction; the same for the scale of U; and the sentence
// says these with two digits, rounded to what is enough.
func TestFlipOfEveryDemoClaim(t *testing.T) {
	shifts, scales := 0, 0
	for _, rule := range []string{"", "simple", "guarded-by-U"} {
		content := demoContent(t, rule)
		for _, rec := range content.Records {
			s := Evaluate(content, rec)
			e := &evaluator{content, rec, ruleOf(content.Site)}
			for _, c := range s.Claims {
				if len(c.Corners) == 0 || c.heldWhateverY() {
					if c.Flip != nil {
						t.Errorf("%s %s: held whatever y is, but has the flip %+v", s.Slug, c.ID, c.Flip)
					}
					continue
				}
				what, word := rule+" "+s.Slug+" "+c.ID, again(e, c, s.Runs)
				if w := word(0, 1); w != c.Verdict {
					t.Errorf("%s: decided anew it is %s, not %s", what, w, c.Verdict)
				}
				if c.Flip == nil {
					for x := -1.0; x <= 2; x += 0.125 {
						if w := word(x*c.ClaimW, 1); w != c.Verdict {
							t.Errorf("%s: no shift is said to change %s, but %v W makes it %s", what, c.Verdict, x*c.ClaimW, w)
						}
					}
					continue
				}
				shifts += tryFlip(t, what+" shifted", c.Verdict, c.Flip.ShiftTo, func(x float64) verdict.Word { return word(x*c.Flip.Shift, 1) })
				if c.Flip.ScaleTo != "" {
					scales += tryFlip(t, what+" scaled", c.Verdict, c.Flip.ScaleTo, func(x float64) verdict.Word { return word(0, math.Max(1e-6, 1+x*(c.Flip.Scale-1))) })
				}
				flipSaid(t, what, c)
			}
		}
	}
	if shifts < 100 || scales < 60 {
		t.Errorf("only %d shifts and %d scales were tried", shifts, scales)
	}
}

// tryFlip tries a change: by(1) is the flip itself. A hair is 1e-5 of it.
func tryFlip(t *testing.T, what string, now, to verdict.Word, by func(x float64) verdict.Word) int {
	t.Helper()
	const hair = 1e-5
	if w := by(1 + hair); w != to || w == now {
		t.Errorf("%s: %s a hair beyond the flip, foretold %s", what, w, to)
	}
	for i := -3; i <= 3; i++ {
		if x := float64(i) / 3 * (1 - hair); by(x) != now {
			t.Errorf("%s: %s at %v of the flip already, not %s", what, by(x), x, now)
		}
	}
	return 1
}

// flipSaid compares the sentence with the flip.
func flipSaid(t *testing.T, what string, c *Claim) {
	t.Helper()
	// two digits, and what is said is enough: not short of x, away from the present
	near := func(text string, x float64, up bool) bool {
		y, err := strconv.ParseFloat(text, 64)
		beyond := y - math.Abs(x)
		if !up {
			beyond = -beyond
		}
		return err == nil && beyond > -1e-8*math.Abs(x) && beyond <= 1.0001*math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-1)
	}
	m := saidShift.FindStringSubmatch(c.FlipText)
	if m == nil || !near(m[1], c.Flip.Shift, true) || (m[2] == "less") != (c.Flip.Shift < 0) || m[3] != turned(c.Flip.ShiftTo) {
		t.Errorf("%s: %q for %+v", what, c.FlipText, *c.Flip)
	}
	n := saidScale.FindStringSubmatch(c.FlipText)
	if n != nil && (!near(n[1], c.Flip.Scale*c.Weakest.Mean.U, c.Flip.Scale > 1) || n[2] != turned(c.Flip.ScaleTo)) {
		t.Errorf("%s: %q for %+v and U = %s", what, c.FlipText, *c.Flip, quantity.Significant(c.Weakest.Mean.U, 4))
	}
	if n == nil && c.Flip.ScaleTo != "" && c.Flip.Scale > 0.1 && c.Flip.Scale < 10 {
		t.Errorf("%s: the scale %v isn't said: %q", what, c.Flip.Scale, c.FlipText)
	}
}
