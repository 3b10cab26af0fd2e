package charts

import (
	"strconv"
	"strings"

	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// Badges are files of their own, shown on pages that are not ours: they bring their
// ground and colours, and name no font that has to be there.
const (
	badgePad    = 12.0
	badgeMark   = 14.0
	badgeMost   = 420.0 // the widest name or figure
	badgeLeast  = 150.0
	badgeLine   = 180.0 // the width of a claim line
	badgeBefore = 20.0  // from one verdict's count to the next
)

// A Badge is a small drawing of a verdict, as a complete SVG file, with the size that
// it states, in pixels.
type Badge struct {
	SVG           []byte
	Width, Height float64
}

// badgeCounts are the verdicts as a unit's badge counts them: in the words of its page.
var badgeCounts = []struct {
	verdict   verdict.Word
	undecided bool
	word      string
}{
	{verdict.Met, false, "met"}, {verdict.Short, false, "short"},
	{verdict.Open, false, "too close to call"}, {verdict.Open, true, "undecided"},
	{verdict.Untested, false, "untested"}, {verdict.Incomparable, false, "not comparable"},
}

// UnitBadge draws a unit's name and how many of its claims have which verdict, each
// as a shape and a word.
func UnitBadge(s *sheet.Sheet) Badge {
	name := shortened(s.Name, badgeMost, true)
	says, x, y := []string{}, badgePad, 46.0
	width := max(textWidth(name, true), badgeLeast)
	var rows svg
	for _, of := range badgeCounts {
		count := 0
		for _, c := range s.Claims {
			if c.Verdict == of.verdict && c.Undecided() == of.undecided {
				count++
			}
		}
		if count == 0 {
			continue
		}
		text := strconv.Itoa(count) + nbsp + of.word
		wide := badgeMark + 5 + textWidth(text, true)
		if x+wide > badgeMost {
			x, y = badgePad, y+22
		}
		rows.badgeVerdict(of.verdict, text, x, y)
		width, x, says = max(width, x+wide-badgePad), x+wide+badgeBefore, append(says, text)
	}
	if len(says) == 0 {
		says = []string{"no claims"}
		rows.badgeText("no claims", x, y, softColour, "400", "start")
	}
	width, height := width+2*badgePad, y+14
	w := openBadge(width, height, s.Name, s.Name+": "+strings.Join(says, ", ")+".")
	w.badgeText(name, badgePad, 24, inkColour, "600", "start")
	w.raw(string(rows.markup))
	return w.closeBadge(width, height)
}

// ClaimBadge draws one claim: its label, its verdict as a shape and a word, its claim
// line and its figure.
func ClaimBadge(c *sheet.Claim) Badge {
	label := shortened(c.Label, badgeMost/2, true)
	word := shortened(c.Word, badgeMost/2, true)
	figure := c.Brief
	if f := meanOf(c); f != nil {
		figure = f.Text
	}
	of := ""
	if c.ClaimW > 0 && c.Rec != nil {
		of = "of " + claimText(&stroke{claim: c})
	}
	figure, of = shortened(figure, badgeMost/2, true), shortened(of, badgeMost/2, false)
	right := max(textWidth(figure, true), textWidth(of, false))
	top := textWidth(label, true) + 18 + badgeMark + 5 + textWidth(word, true)
	width := max(badgeLine+16+right, top) + 2*badgePad
	const height = 80
	w := openBadge(width, height, c.Label+": "+c.Word, claimAlternative(c)+".")
	w.badgeText(label, badgePad, 24, inkColour, "600", "start")
	w.badgeVerdict(c.Verdict, word, width-badgePad-textWidth(word, true)-badgeMark-5, 24)
	if line := ClaimLines([]*sheet.Claim{c})[0]; line != "" {
		w.open("svg", "x", number(badgePad), "y", "35", "width", number(badgeLine), "height", strconv.Itoa(claimHeight), "overflow", "visible")
		w.raw(line)
		w.close("svg")
	}
	y := 50.0
	if of == "" || figure == "" {
		y = 58
	}
	if figure != "" {
		w.badgeText(figure, width-badgePad, y, inkColour, "600", "end")
		y += lineHeight
	}
	w.badgeText(of, width-badgePad, y, softColour, "400", "end")
	return w.closeBadge(width, height)
}

// openBadge begins a file of a size, with its ground, title and description.
func openBadge(width, height float64, title, description string) *svg {
	w := &svg{make([]byte, 0, 3<<10)}
	w.open("svg", "xmlns", "http://www.w3.org/2000/svg", "viewBox", "0 0 "+number(width)+" "+number(height),
		"width", number(width), "height", number(height), "role", "img", "aria-labelledby", "title desc",
		"font-family", "system-ui, sans-serif", "font-size", number(fontSize))
	w.text("title", title, "id", "title")
	w.text("desc", description, "id", "desc")
	w.empty("rect", "x", "0.5", "y", "0.5", "width", number(width-1), "height", number(height-1), "fill", cardColour, "stroke", softColour)
	return w
}

// closeBadge ends what openBadge began.
func (w *svg) closeBadge(width, height float64) Badge {
	w.close("svg")
	return Badge{w.markup, decimal(width), decimal(height)}
}

func (w *svg) badgeText(text string, x, y float64, colour, weight, anchor string) {
	w.text("text", text, "x", number(x), "y", number(y), "fill", colour, "font-weight", weight, "text-anchor", anchor)
}

// badgeVerdict writes a verdict's shape and, beside it, a text in its colour.
func (w *svg) badgeVerdict(word verdict.Word, text string, x, y float64) {
	colour := verdictColours[word]
	if shape, known := verdictShapes[word]; known {
		w.open("svg", "x", number(x), "y", number(y-12), "width", number(badgeMark), "height", number(badgeMark), "viewBox", "0 0 16 16",
			"fill", "none", "stroke", colour, "stroke-width", "2.4")
		shape(w)
		w.close("svg")
	}
	w.badgeText(text, x+badgeMark+5, y, colour, "600", "start")
}
