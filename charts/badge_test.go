package charts

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// flat lists the texts of a drawing in their order.
func flat(n node) (all []string) {
	if n.XMLName.Local == "text" {
		all = append(all, strings.ReplaceAll(n.Text, nbsp, " "))
	}
	for _, child := range n.Children {
		all = append(all, flat(child)...)
	}
	return all
}

func TestUnitBadgeCountsVerdicts(t *testing.T) {
	s := &sheet.Sheet{Name: "Dunnocrake <Gorsehoop> 2"}
	for _, word := range []verdict.Word{verdict.Short, verdict.Met, verdict.Untested, verdict.Met} {
		s.Claims = append(s.Claims, &sheet.Claim{Verdict: word})
	}
	n := parse(t, string(UnitBadge(s).SVG))
	if got, want := flat(n), []string{s.Name, "2 met", "1 short", "1 untested"}; !slices.Equal(got, want) {
		t.Errorf("the badge says %q, want %q", got, want)
	}
	if got := strings.ReplaceAll(n.Children[1].Text, nbsp, " "); got != s.Name+": 2 met, 1 short, 1 untested." {
		t.Errorf("described as %q", got)
	}
	if got := flat(parse(t, string(UnitBadge(&sheet.Sheet{Name: "x"}).SVG))); !slices.Equal(got, []string{"x", "no claims"}) {
		t.Errorf("without claims the badge says %q", got)
	}
}

func TestClaimBadge(t *testing.T) {
	c := newBench().claim(4, 100, false)
	c.Verdict, c.Word, c.Weakest, c.BarLow, c.BarHigh = verdict.Met, "Met", &sheet.ClaimChannel{Mean: watt(108, 2)}, 106.5, 109.5
	n := parse(t, string(ClaimBadge(c).SVG))
	if got, want := flat(n), []string{"4 Ω", "Met", "(108.0 ± 2.0) W", "of 100 W claimed"}; !slices.Equal(got, want) {
		t.Errorf("the badge says %q, want %q", got, want)
	}
	if len(n.all("claim-ring")) != 1 || len(n.all("claim-limit")) != 1 {
		t.Error("the badge has no claim line")
	}
	if !strings.Contains(string(ClaimBadge(c).SVG), `stroke="`+verdictColours[verdict.Met]+`"`) {
		t.Error("the verdict's shape is not in its colour")
	}
}

// Every badge of every sheet is one well-formed file that refers to nothing, the
// same each time, and as wide as its texts are estimated to be.
func TestBadgesStandAlone(t *testing.T) {
	long := newBench()
	long.Name = strings.Repeat("Wickerpylon Sumpferret ", 30)
	long.claim(4, 100, false).Label = strings.Repeat("four ohms ", 50)
	for _, s := range append(every(t), long.Sheet) {
		badges := []Badge{UnitBadge(s)}
		for _, c := range s.Claims {
			badges = append(badges, ClaimBadge(c))
			if !bytes.Equal(badges[len(badges)-1].SVG, ClaimBadge(c).SVG) {
				t.Errorf("%s: drawn twice, not the same", c.ID)
			}
		}
		for _, drawn := range badges {
			badge := drawn.SVG
			n := parse(t, string(badge))
			if n.Children[0].XMLName.Local != "title" || n.Children[1].XMLName.Local != "desc" || n.attr("xmlns") == "" {
				t.Fatalf("%s: a badge without title and description", s.Slug)
			}
			if bytes.Contains(badge, []byte("href")) || bytes.Contains(badge, []byte("url(")) || bytes.Contains(badge, []byte("style=")) {
				t.Errorf("%s: a badge that refers to something", s.Slug)
			}
			width := must(n.attr("width"))
			if drawn.Width != width || drawn.Height != must(n.attr("height")) {
				t.Errorf("%s: the badge states another size than %v by %v", s.Slug, drawn.Width, drawn.Height)
			}
			if width > 500 {
				t.Errorf("%s: a badge of %v", s.Slug, width)
			}
			for _, text := range n.Children {
				if text.XMLName.Local == "text" && text.attr("text-anchor") == "start" &&
					must(text.attr("x"))+textWidth(text.Text, text.attr("font-weight") == "600") > width-badgePad+0.2 {
					t.Errorf("%s: %q leaves the badge", s.Slug, text.Text)
				}
			}
		}
	}
}
