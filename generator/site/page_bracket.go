package site

import (
	"html/template"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// bracket tells in a few sentences what became of the difference between a claim's
// conditions and those of its runs, which stand above it; empty where nothing was carried.
func bracket(c *sheet.Claim) string {
	if len(c.Corners) < 2 {
		return ""
	}
	least, most := outer(c.Corners)
	return strings.Join(nonEmpty(
		"Two things about the unit aren't known: how strongly its power follows the supply (from not at all, "+is("k", quantity.Float(least))+
			", to as strongly as can be, "+is("k", quantity.Float(most))+"), and what limits it (from current, "+is("m", "−1")+", to voltage, "+is("m", "+1")+")."+
			" So the runs were carried to the claim's conditions under each extreme.",
		agreement(c)), " ")
}

// is writes a symbol's value, held together.
func is(symbol, value string) string { return symbol + nbsp + "=" + nbsp + value }

// agreement says what the extremes make of a claim.
func agreement(c *sheet.Claim) string {
	said := []verdict.Word{}
	for _, corner := range c.Corners {
		if !slices.Contains(said, corner.Verdict) {
			said = append(said, corner.Verdict)
		}
	}
	var words []string
	for _, w := range said {
		words = append(words, "“"+strings.ToLower(sheet.Printed(w))+"”")
	}
	switch {
	case len(said) > 1:
		return "They don't agree: taken by themselves they say " + and(words) + ". So there is no verdict."
	case said[0] == c.Verdict && c.Verdict == verdict.Open:
		return "None of them settles it."
	case said[0] == c.Verdict:
		return "All of them say the same: " + words[0] + "."
	case len(c.Assumed) > 0:
		return "Under the assumed conditions all of them say " + words[0] + ". But the claim doesn't state those; with them eased (10" + nbsp +
			"% distortion or clipped, a tenth more volts) the runs don't show it, so there is no verdict."
	}
	return "All of them say " + words[0] + ", but that doesn't hold, for the reason given above."
}

// stood says at which supply voltage and load the runs of a claim stood, and which
// the claim is for; empty where the readings don't tell.
func stood(s *sheet.Sheet, c *sheet.Claim) string {
	v, r := runsUnder(s, c).stood()
	if v == "" || r == "" {
		return ""
	}
	stated := with(c.Rec.SupplyV, "V")
	for _, a := range c.Assumed {
		if text, supply := strings.CutSuffix(a, " supply"); supply && stated == "" {
			stated = text + ", which it doesn't state but is assumed,"
		}
	}
	if stated == "" {
		return ""
	}
	return "The runs stood at " + v + " and " + r + " at the unit's terminals; the claim is for " + stated + " and " + sheet.Ohms(c.Rec.LoadOhm.Value) + "."
}

// fromTo writes figures as the range from the smallest to the largest.
func fromTo(figures []*sheet.Figure) string {
	var low, high *sheet.Figure
	for _, f := range figures {
		if f == nil {
			continue
		}
		if low == nil || f.X < low.X {
			low = f
		}
		if high == nil || f.X > high.X {
			high = f
		}
	}
	switch {
	case low == nil:
		return ""
	case low.ValueText == high.ValueText:
		return low.ValueText + nbsp + low.Unit
	}
	return low.ValueText + " to " + high.ValueText + nbsp + high.Unit
}

// corners is the table, on a desk, of the extremes of a claim that has a bracket.
func (b *binder) corners(c *sheet.Claim, methodology string, desk *cellDesk) table {
	t := table{
		Caption: "Extremes of the conditions of claim " + c.ID, Class: "small",
		Head: []column{
			{Text: "k, supply", Numeric: true, Href: methodology + "#formula-" + formula.Carried}, {Text: "m, load", Numeric: true, Href: methodology + "#formula-" + formula.Carried},
			{Text: "Verdict"}, {Text: "p", Numeric: true, Href: methodology + "#formula-" + formula.Chance},
			{Text: "carried / W", Numeric: true, Href: methodology + "#formula-" + formula.Carried}, {Text: "u / W", Numeric: true, Href: methodology + "#formula-" + formula.Combined},
			{Text: "ν", Numeric: true, Href: methodology + "#formula-" + formula.Freedom},
		},
	}
	rule := sheet.RuleOf(b.site.Content.Site).Rule
	shortTo := rule.ShortOf(len(c.Channels))
	rows := make([]row, 0, len(c.Corners))
	for _, corner := range telling(c.Corners) {
		p := quantity.Chance(corner.PMin, rule.MetFrom, shortTo)
		if high := quantity.Chance(corner.PMax, rule.MetFrom, shortTo); high != p {
			p += " … " + high
		}
		desk.add(cell{Text: quantity.Fixed(corner.K, 2), Column: 0})
		desk.add(cell{Text: signed(quantity.Fixed(corner.M, 0)), Column: 1})
		desk.add(cell{Text: sheet.Printed(corner.Verdict), Column: 2, Class: "figure-cell"})
		desk.add(cell{Text: p, Column: 3})
		desk.add(cell{Text: quantity.Significant(corner.Y, 5), Column: 4})
		desk.add(cell{Text: quantity.Significant(corner.U, 3), Column: 5})
		desk.add(cell{Text: freedom(corner.DoF), Column: 6})
		rows = append(rows, desk.row(""))
	}
	t.Groups = [][]row{rows}
	return t
}

// telling leaves out of the corners between the outer ones all but those with the
// smallest and the largest p: many lie where one channel or the other stands worst.
func telling(corners []verdict.CornerResult) []verdict.CornerResult {
	least, most := outer(corners)
	low, high := -1, -1
	for i, c := range corners {
		if c.K == least || c.K == most {
			continue
		}
		if low < 0 || c.PMin < corners[low].PMin {
			low = i
		}
		if high < 0 || c.PMax > corners[high].PMax {
			high = i
		}
	}
	var out []verdict.CornerResult
	for i, c := range corners {
		if c.K == least || c.K == most || i == low || i == high {
			out = append(out, c)
		}
	}
	return out
}

// outer are the smallest and the largest supply exponent of the corners.
func outer(corners []verdict.CornerResult) (least, most float64) {
	least, most = corners[0].K, corners[0].K
	for _, c := range corners {
		least, most = min(least, c.K), max(most, c.K)
	}
	return least, most
}

// signed gives a number its sign; the minus is the one that people read.
func signed(s string) string {
	if rest, negative := strings.CutPrefix(s, "-"); negative {
		return "−" + rest
	}
	if s != "0" {
		return "+" + s
	}
	return s
}

// A bracketText is one claim's extremes, worked through.
type bracketText struct {
	Unit    link          // the sheet
	Claim   link          // the claim in it
	Claimed string        // what is claimed, with its conditions
	Means   []channelRow  // the means of the channels
	Says    string        // the way to the verdict, in sentences
	Corners template.HTML // the table of the corners
	Class   string        // the verdict as a class for the style: met, short, open, untested or incomparable
	Mark    template.HTML // the shape of the verdict, drawn
	Word    string        // the verdict in words: falls short
}

// clearlyOff is how far runs have to stand from a claim's supply voltage, as a
// fraction, to show well what bracketing does.
const clearlyOff = 0.02

// bracketExample works through a claim of a sheet that is met or short: the first
// whose runs stood clearly off its supply voltage, or else the first; nil where there
// is none.
func (b *binder) bracketExample(s *sheet.Sheet, methodology string) *bracketText {
	if s == nil {
		return nil
	}
	var first *sheet.Claim
	for _, c := range s.Claims {
		is, off := bracketed(s, c)
		if is && off >= clearlyOff {
			return b.bracketTextOf(s, c, methodology)
		}
		if is && off > 0 && first == nil {
			first = c
		}
	}
	if first == nil {
		return nil
	}
	return b.bracketTextOf(s, first, methodology)
}

// bracketed reports whether a claim got its verdict from corners, and how far its
// runs stood from its supply voltage.
func bracketed(s *sheet.Sheet, c *sheet.Claim) (is bool, off float64) {
	if len(c.Corners) < 2 || c.Verdict != verdict.Met && c.Verdict != verdict.Short {
		return false, 0
	}
	return true, offSupply(s, c)
}

// offSupply is how far the first run that decides a claim stood from its supply
// voltage, as a fraction; 0 where the claim doesn't state it.
func offSupply(s *sheet.Sheet, c *sheet.Claim) float64 {
	if c.Weakest == nil || len(c.Weakest.Runs) == 0 || c.Weakest.Class != "at" || c.Rec.SupplyV.Value <= 0 {
		return 0
	}
	r := runOf(s, c.Weakest.Runs[0])
	if r == nil || r.SupplyV == nil {
		return 0
	}
	return math.Abs(r.SupplyV.X/c.Rec.SupplyV.Value - 1)
}

func (b *binder) bracketTextOf(s *sheet.Sheet, c *sheet.Claim, methodology string) *bracketText {
	page, desk := "../units/"+s.Slug+"/index.html", takeCells()
	defer desk.clear()
	t := &bracketText{
		Unit: link{page, s.Name}, Claim: link{page + "#claim-" + c.ID, c.Label},
		Claimed: with(c.Rec.PowerW, "W") + "; " + c.Conditions, Says: strings.Join(nonEmpty(stood(s, c), bracket(c)), " "), Corners: b.corners(c, methodology, desk).html(),
		Class: string(c.Verdict), Mark: markOf(c.Verdict), Word: c.Word,
	}
	for _, ch := range c.Channels {
		mean := channelOf(ch, c.Weakest, methodology)
		for i := range mean.Runs {
			mean.Runs[i].Href = page + mean.Runs[i].Href
		}
		t.Means = append(t.Means, mean)
	}
	return t
}
