package site

import (
	"cmp"
	"html/template"
	"maps"
	"slices"
	"strconv"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// loadsFolder is where the pages of loads are.
const loadsFolder = "loads"

// A loadPage is units measured at one load: all of them, or as many as a page has.
type loadPage struct {
	head
	Load     string        // the nominal load: 4 Ω
	Page     string        // the number of a page after the first: 2
	Units    string        // how many there are on all pages: "13 units"
	Contents []link        // the methods, on whatever page they begin; none where nothing is ranked
	Sections []loadSection // one for each method
	Ranked   bool          // any page has ranks
	Apart    []apartRow    // measured, but without a figure that could be ranked
	Note     string        // what pairwise comparisons are
	Pages    pager         // to the pages before and after this one
	Up       string        // the way to the index of loads
	Find     string        // the list of all units, of those tested at the load, the most power first; a script narrows it down
}

// A loadSection is one method, bridged apart.
type loadSection struct {
	ID      string        // the anchor, unique on the page
	Title   string        // the method, and whether bridged
	Method  link          // the method on the methodology page
	Tables  []rankedTable // units on equal conditions
	Several bool          // there are several tables
}

// A rankedTable is units that may be compared, ranked.
type rankedTable struct {
	Conditions string      // what is equal: frequency and supply
	Continued  bool        // it begins on an earlier page
	Units      string      // how many there are: 5 units
	Scale      string      // where the drawings end: "400 W"
	Bounded    string      // what the ranks of a long table are; empty of others
	Rows       []rankedRow // the units, the most power first
	Doubtful   []rankedRow // told apart from none, with the reason
}

// A rankedRow is one unit of a table.
type rankedRow struct {
	Rank    string        // the interval of its rank: 2–4
	Link    link          // the unit
	Plot    template.HTML // figure and uncertainty, drawn on the table's scale
	Figure  string        // total power: (218.7 ± 2.9) W
	Lacks   string        // what its uncertainty lacks, in words
	Facts   []string      // channels driven, efficiency, supply and price
	Claims  []rankedClaim // the claims for this load
	Apart   string        // from how many it is told apart, in a sentence
	Doubt   string        // why it is told apart from none; empty where that isn't so
	Compare link          // empty where there is none to compare with
}

// A rankedClaim is a claim for the load, with its verdict.
type rankedClaim struct {
	Href    string        // the claim on its unit's page
	Class   string        // the verdict as a class for the style: met, short, open, untested or incomparable
	Word    string        // the verdict in words: falls short
	Claimed string        // what is claimed: 110 W
	Mark    template.HTML // the shape of the verdict, drawn
}

// An apartRow is a unit that has no rank, and why.
type apartRow struct {
	Link link   // the unit
	By   string // the methods by which it was measured
	Why  string // why it has no rank, in a sentence
}

// A pointOf tells the points of one load apart.
type pointOf struct {
	method  string
	bridged bool
}

// pointParts sorts what units show at a load by its points.
func pointParts(units []*brief, ohm float64) map[pointOf][]pointPart {
	out := map[pointOf][]pointPart{}
	for _, of := range units {
		for _, p := range of.partsAt(ohm) {
			at := pointOf{p.Standing.Method, p.Standing.Bridged}
			out[at] = append(out[at], p)
		}
	}
	return out
}

// usualOhm is the nominal load that most units name at a point; of several the smallest.
func usualOhm(parts []pointPart) float64 {
	count := map[float64]int{}
	for _, p := range parts {
		count[p.Standing.Ohm]++
	}
	all := slices.Sorted(maps.Keys(count))
	slices.SortStableFunc(all, func(a, b float64) int { return count[b] - count[a] })
	return all[0]
}

// pointID names a point in ids of a load's page.
func pointID(at sheet.Point) string {
	if at.Bridged {
		return at.Method.ID + "-bridged"
	}
	return at.Method.ID
}

func unitHref(root, slug string) string { return root + unitsFolder + "/" + slug + "/index.html" }

func rankedRowOf(t *sheet.CompactTable, i int, part pointPart, root string) rankedRow {
	c := &t.Rows[i]
	r := rankedRow{
		Rank: c.Rank, Link: link{unitHref(root, c.Slug), c.Name}, Figure: c.Total, Lacks: strings.Join(c.Lacks, "; "), Doubt: sentence(c.Doubt),
	}
	driven := numbered(c.Channels, "channel")
	if t.At.Bridged {
		driven = numbered(c.Channels, "bridged pair")
	}
	r.Facts = append(r.Facts, driven)
	if c.Efficiency != "" {
		r.Facts = append(r.Facts, "efficiency "+c.Efficiency)
	}
	r.Facts = append(r.Facts, "supply "+c.SupplyText())
	if part.Price != "" {
		r.Facts = append(r.Facts, part.Price)
	}
	for _, claim := range part.Claims {
		claimed := claim.Claimed
		if len(part.Claims) > 1 {
			claimed += ", " + claim.Label
		}
		r.Claims = append(r.Claims, rankedClaim{
			Href: r.Link.Href + "#claim-" + claim.ID, Class: string(claim.Verdict), Word: claim.Word,
			Claimed: claimed, Mark: template.HTML(charts.Mark(claim.Verdict)),
		})
	}
	if others := len(t.Rows) - 1; others > 0 {
		r.Apart = apartFrom(t.Apart(i), others, t.Bounded)
		if other := &t.Rows[besideRow(t, i)]; other != c {
			r.Compare = link{compareHref(root, t.At, c.Slug, other.Slug), "Beside " + sheet.Isolated(other.Name)}
		}
	}
	return r
}

// apartFrom says from how many others a unit is told apart; atLeast that it may be more.
func apartFrom(n, others int, atLeast bool) string {
	switch {
	case atLeast && n == 0:
		return "Not surely told apart from any of " + numbered(others, "other")
	case atLeast && n < others:
		return "Told apart from at least " + strconv.Itoa(n) + " of " + numbered(others, "other")
	case n == 0 && others == 1:
		return "Not told apart from the other"
	case others == 1:
		return "Told apart from the other"
	case n == 0:
		return "Told apart from none of " + numbered(others, "other")
	case n == others:
		return "Told apart from all " + numbered(others, "other")
	}
	return "Told apart from " + strconv.Itoa(n) + " of " + numbered(others, "other")
}

// besideRow is the row that a row is best compared with: the next, and the one before for
// the last.
func besideRow(t *sheet.CompactTable, i int) int {
	if i+1 < len(t.Rows) {
		return i + 1
	}
	return max(i-1, 0)
}

// compareHref is the address at which units stand beside each other at a point, from a
// page whose way to the root is given; empty where the site has no such page.
func compareHref(root string, at sheet.Point, slugs ...string) string {
	if !slices.Contains(listKinds, "compare") {
		return ""
	}
	key := quantity.Float(at.Ohm) + "-"
	if at.Bridged {
		key += "bridged-"
	}
	return root + "compare/index.html#" + strings.Join(slugs, "+") + "&at=" + key + at.Method.ID
}

// A loadsPage is the index of all loads.
type loadsPage struct {
	head
	Loads []listedLoad // all loads, the smallest first
}

// A listedLoad is one load in the index.
type listedLoad struct {
	Link  link   // the load's page
	Units string // how many units were tested there: 13 units
}

// listedLoads are the loads at which units were measured, the lowest first, with addresses
// from a page's root.
func listedLoads(units []*brief, root string) (out []listedLoad) {
	var folders []string
	for _, of := range units {
		for _, p := range of.Points {
			folders = append(folders, p.Load)
		}
	}
	slices.Sort(folders)
	pages := oneLoad(slices.Compact(folders))
	count := map[string]int{}
	for _, of := range units {
		on := map[string]bool{}
		for _, p := range of.Points {
			on[pages[p.Load]] = true
		}
		for page := range on {
			count[page]++
		}
	}
	order := slices.SortedFunc(maps.Keys(count), func(a, b string) int { return cmp.Compare(ohmsOf(a), ohmsOf(b)) })
	for _, page := range order {
		out = append(out, listedLoad{link{root + loadsFolder + "/" + page + "/index.html", sheet.Ohms(ohmsOf(page))}, numbered(count[page], "unit")})
	}
	return out
}

// loads makes the index of all loads.
func (b *binder) loads(units []*brief) Output {
	title := b.site.Content.Site.Title
	page := loadsPage{head: b.head(loadsFolder+"/", "By load · "+title, "Every load that "+title+" tested units into.")}
	page.Loads = listedLoads(units, page.Root)
	b.pointsStyle(&page.head)
	return b.put("loads", loadsFolder+"/", page)
}

// A bylines leads to the pages by load and by maker.
type bylines struct {
	Loads     []listedLoad  // the loads that have a page
	Makers    []listedMaker // where they are few
	AllMakers link          // where they aren't
}

// fewMakers is how many makers are named one by one.
const fewMakers = 16

// bylinesOf leads there from a page whose way to the root is given.
func bylinesOf(units []*brief, root string) bylines {
	out := bylines{Loads: listedLoads(units, root), Makers: listedMakers(units, root)}
	if n := len(out.Makers); n > fewMakers {
		out.Makers, out.AllMakers = nil, link{root + makersFolder + "/index.html", "all " + numbered(n, "maker")}
	}
	return out
}
