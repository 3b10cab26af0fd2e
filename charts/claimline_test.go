package charts

import (
	"math"
	"strings"
	"testing"

	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// decided makes a claim with a mean, its U, and the bar that the rule decides by.
func decided(word verdict.Word, claimed, mean, u, low, high float64) *sheet.Claim {
	return &sheet.Claim{
		Verdict: word, Word: string(word), ClaimW: claimed, LimitW: claimed, BarLow: low, BarHigh: high,
		Weakest: &sheet.ClaimChannel{Mean: watt(mean, u)},
	}
}

// percent reads a position in percent.
func percent(s string) float64 { return must(strings.TrimSuffix(s, "%")) }

func TestClaimLinePositions(t *testing.T) {
	claims := []*sheet.Claim{
		decided(verdict.Met, 100, 108, 2, 106.5, 109.5),
		decided(verdict.Short, 200, 180, 4, 177, 183),
	}
	low, high := ClaimScale(claims)
	if low != 85 || high != 115 { // 88 % - 1 and 110 % + 1, outwards to multiples of 5
		t.Fatalf("scale %d to %d, want 85 to 115", low, high)
	}
	lines := ClaimLines(claims)
	for i, want := range []struct{ ring, bar, width, least, most float64 }{
		{(108 - 85) / 0.3, (106.5 - 85) / 0.3, 3 / 0.3, (106 - 85) / 0.3, (110 - 85) / 0.3},
		{(90 - 85) / 0.3, (88.5 - 85) / 0.3, 3 / 0.3, (88 - 85) / 0.3, (92 - 85) / 0.3},
	} {
		n := parse(t, lines[i])
		bar, whisker := n.all("claim-bar")[0], n.all("claim-whisker")[0]
		for what, pair := range map[string][2]float64{
			"stroke":          {percent(n.all("claim-limit")[0].attr("x1")), 50},
			"ground":          {percent(n.all("claim-ground-short")[0].attr("width")), 50},
			"ring":            {percent(n.all("claim-ring")[0].attr("cx")), want.ring},
			"bar":             {percent(bar.attr("x")), want.bar},
			"bar's width":     {percent(bar.attr("width")), want.width},
			"whisker's start": {percent(whisker.attr("x1")), want.least},
			"whisker's end":   {percent(whisker.attr("x2")), want.most},
		} {
			if math.Abs(pair[0]-pair[1]) > 0.01 {
				t.Errorf("line %d: %s at %v %%, want %v", i, what, pair[0], pair[1])
			}
		}
	}
	if got, want := parse(t, lines[0]).attr("aria-label"), "met: (108.0 ± 2.0) W measured, 100 W claimed"; strings.ReplaceAll(got, nbsp, " ") != want {
		t.Errorf("said as %q, want %q", got, want)
	}
}

// A claim is on the side of the stroke that its verdict says, as the rule has it:
// met when the bar begins at the limit or above, short when it ends there or below.
func TestClaimLineShowsTheVerdict(t *testing.T) {
	for _, s := range demo(t) {
		for i, line := range ClaimLines(s.Claims) {
			n, c := parse(t, line), s.Claims[i]
			limit := percent(n.all("claim-limit")[0].attr("x1"))
			bars := n.all("claim-bar")
			if len(bars) == 0 {
				continue
			}
			from := percent(bars[0].attr("x"))
			to := from + percent(bars[0].attr("width"))
			if c.Verdict == verdict.Met && from < limit-0.02 || c.Verdict == verdict.Short && to > limit+0.02 {
				t.Errorf("%s %s: %s, but the bar is at %v to %v and the limit at %v", s.Slug, c.ID, c.Verdict, from, to, limit)
			}
		}
	}
}

func TestClaimLineOffTheScale(t *testing.T) {
	far := decided(verdict.Short, 1000, 120, 3, 118, 122)
	near := decided(verdict.Met, 100, 104, 1, 103, 105)
	if low, high := ClaimScale([]*sheet.Claim{far, near}); low != 50 || high != 110 {
		t.Errorf("scale %d to %d, want 50 to 110", low, high)
	}
	n := parse(t, ClaimLines([]*sheet.Claim{far, near})[0])
	arrow := n.all("claim-arrow")
	if len(arrow) != 1 || arrow[0].attr("x") != "0%" || arrow[0].Children[1].Text != "120.0"+nbsp+"W" {
		t.Errorf("no arrow to the left with its figure: %v", arrow)
	}
	if len(n.all("claim-ring")) > 0 {
		t.Error("a ring for a value that is off the scale")
	}
}

func TestClaimLineWithoutFigures(t *testing.T) {
	untested := &sheet.Claim{Verdict: verdict.Untested, Word: "Untested", ClaimW: 75, LimitW: 75}
	lines := ClaimLines([]*sheet.Claim{untested, {Verdict: verdict.Open}})
	n := parse(t, lines[0])
	if len(n.all("claim-limit")) != 1 || len(n.all("claim-ring"))+len(n.all("claim-bar")) != 0 || lines[1] != "" {
		t.Errorf("a claim without figures: %q", lines)
	}
	if got := n.attr("aria-label"); got != "Untested: 75"+nbsp+"W claimed" {
		t.Errorf("said as %q", got)
	}
}

// The limit lies below the claim where the site allows so; the stroke is the limit.
func TestClaimLineWithAllowance(t *testing.T) {
	c := decided(verdict.Met, 100, 99, 1, 98, 100)
	c.LimitW = 97
	low, high := ClaimScale([]*sheet.Claim{c})
	n := parse(t, ClaimLines([]*sheet.Claim{c})[0])
	want := 100 * (97 - float64(low)) / float64(high-low)
	if got := percent(n.all("claim-limit")[0].attr("x1")); math.Abs(got-want) > 0.01 {
		t.Errorf("stroke at %v %%, want %v", got, want)
	}
	if !strings.Contains(n.attr("aria-label"), "limit 97") {
		t.Errorf("the limit is not said: %q", n.attr("aria-label"))
	}
}

func TestMarks(t *testing.T) {
	shapes := map[string]verdict.Word{}
	for _, word := range verdict.Words {
		n := parse(t, Mark(word))
		if n.attr("class") != "mark mark-"+string(word) || n.attr("aria-hidden") != "true" {
			t.Errorf("%s: %v", word, n.Attr)
		}
		shape := strings.Replace(Mark(word), "mark-"+string(word), "", 1)
		if other, seen := shapes[shape]; seen {
			t.Errorf("%s and %s have the same shape", word, other)
		}
		shapes[shape] = word
	}
	if Mark("held") != "" {
		t.Error("held is no verdict and has no mark")
	}
}
