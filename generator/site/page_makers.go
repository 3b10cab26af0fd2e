package site

import (
	"cmp"
	"html/template"
	"maps"
	"slices"
	"strconv"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// makersFolder is where the pages of makers are.
const makersFolder = "makers"

// A makerPage is how the claims of one maker's units held.
type makerPage struct {
	head
	Name    string        // the maker
	Page    string        // the number of a page after the first, which has no years and no lines: 2
	Also    []string      // other spellings of the name
	Summary string        // how many units and claims there are and how they held, in a sentence
	Years   template.HTML // claims by model year and verdict
	Lines   []modelLine   // models that follow one another
	Units   []makerUnit   // the units of this page, the latest model first
	Pages   pager         // to the other pages
	Up      string        // the way to the index of makers
}

// A modelLine is models that follow one another, the earliest first.
type modelLine []lineModel

// A lineModel is one model of a line.
type lineModel struct {
	Link    link     // to where the page has the unit
	Year    string   // its model year; empty where not known
	Tallies []sumRow // how many of its claims have each verdict
}

// A makerUnit is one unit on its maker's page.
type makerUnit struct {
	ID          string             // the anchor, unique on the page
	Link        link               // the unit
	Kind        string             // kind and class of the unit: mono, class AB
	Year        string             // its model year; empty where not known
	Tested      day                // when it was tested
	Claims      []claimRow         // its claims, all on one scale
	Tallies     []sumRow           // how many of its claims have each verdict
	Reply       *replyPart         // the maker's answer; nothing without one
	Corrections []correctedUnitRow // its corrections
}

// A correctedUnitRow is one correction on its maker's page.
type correctedUnitRow struct {
	Link    link   // the correction; its text is the date
	Kind    string // what kind of correction, in words
	Verdict bool   // it changed a verdict
}

// unitsOfMaker is how many units with all their claims are on one page of a maker.
const unitsOfMaker = 40

// maker makes the pages of one maker, of its units: what is said of all stands on the first.
func (b *binder) maker(slug string, units []*brief) (outputs []Output) {
	parts := make([]*makerPart, len(units))
	var spellings []string
	for i, of := range units {
		parts[i] = of.Maker.part()
		spellings = append(spellings, parts[i].Maker)
	}
	slices.SortStableFunc(parts, func(a, c *makerPart) int {
		return cmp.Or(-cmp.Compare(a.Year, c.Year), cmp.Compare(a.Model, c.Model), cmp.Compare(a.Slug, c.Slug))
	})
	name, also := usual(spellings)
	summary := makerSummary(parts)
	var claims []*sheet.Claim
	for _, p := range parts {
		claims = append(claims, claimsOf(p.Claims)...)
	}
	lines := charts.ClaimLines(claims) // on one scale
	pagers := makerPagers(slug, parts)
	for n := range pagers {
		some := parts[n*unitsOfMaker : min((n+1)*unitsOfMaker, len(parts))]
		page := makerPage{head: b.makerHead(slug, n, name, summary), Name: name, Summary: summary, Up: "../"}
		b.pointsStyle(&page.head)
		if n == 0 {
			page.Also, page.Years, page.Lines = also, yearTable(parts), modelLines(parts)
		} else {
			page.Page, page.Up = strconv.Itoa(n+1), "../../"
		}
		if len(pagers) > 1 {
			b.styled(&page.head)
			page.Pages = pagers[n].from(page.Root)
		}
		for _, p := range some {
			of := len(p.Claims)
			rows := claimRowsOn(claims[:of], lines[:of], page.Methodology)
			page.Units = append(page.Units, makerUnitOf(p, page.Root, rows, claims[:of]))
			lines, claims = lines[of:], claims[of:]
		}
		outputs = append(outputs, b.put("maker", makerAddress(slug, n), page))
	}
	return outputs
}

// makerAddress is the folder of a maker's page by its number from 0.
func makerAddress(slug string, n int) string { return pageBelow(makersFolder+"/"+slug+"/", n) }

// makerHead is the head of a maker's page by its number from 0.
func (b *binder) makerHead(slug string, n int, name, summary string) head {
	title := sheet.Isolated(name)
	if n > 0 {
		title += ", page " + strconv.Itoa(n+1)
	}
	return b.head(makerAddress(slug, n), title+" · "+b.site.Content.Site.Title, title+": "+summary)
}

// makerPagers lead from each page of a maker to the others, and to each model year.
func makerPagers(slug string, parts []*makerPart) []pager {
	out := make([]pager, (len(parts)+unitsOfMaker-1)/unitsOfMaker)
	var years []link
	for i, p := range parts {
		if i == 0 || p.Year != parts[i-1].Year {
			years = append(years, link{makerAddress(slug, i/unitsOfMaker) + "index.html#unit-" + p.Slug, cmp.Or(p.Year, "no year")})
		}
	}
	for n := range out {
		out[n] = pagerOf("Pages by model year", n, len(out), years)
		if n > 0 {
			out[n].Newer = link{makerAddress(slug, n-1) + "index.html", "Previous page"}
		}
		if n+1 < len(out) {
			out[n].Older = link{makerAddress(slug, n+1) + "index.html", "Next page"}
		}
	}
	return out
}

// pointsStyle adds the style of the pages by load and by maker.
func (b *binder) pointsStyle(h *head) {
	if path := b.assets["points.css"]; path != "" {
		h.Styles = append(h.Styles, h.Root+path)
	}
}

func makerUnitOf(p *makerPart, root string, rows []claimRow, claims []*sheet.Claim) makerUnit {
	u := makerUnit{
		ID: "unit-" + p.Slug, Link: link{root + p.Link.Href, p.Link.Text}, Kind: p.Kind, Year: p.Year,
		Tested: p.Tested, Claims: rows, Reply: p.Reply, Tallies: sumRows(countsOf(claims)),
	}
	for i := range rows {
		if rows[i].InWords {
			rows[i].Href = u.Link.Href + rows[i].Href
		}
	}
	for _, c := range p.Corrections {
		u.Corrections = append(u.Corrections, correctedUnitRow{link{u.Link.Href + "#" + c.At, c.Day.Text}, c.Kind, c.Verdict})
	}
	return u
}

// usual is the spelling that most units have, of several the first by bytes, and the
// others.
func usual(spellings []string) (name string, also []string) {
	count := map[string]int{}
	for _, s := range spellings {
		count[s]++
	}
	all := slices.Sorted(maps.Keys(count))
	slices.SortStableFunc(all, func(a, b string) int { return count[b] - count[a] })
	return all[0], all[1:]
}

// makerSummary says in a sentence how many claims of how many units held.
func makerSummary(parts []*makerPart) string {
	var claims []leading
	for _, p := range parts {
		claims = append(claims, p.Claims...)
	}
	text := numbered(len(parts), "unit") + " tested, "
	if len(claims) == 0 {
		return text + "without a claim."
	}
	text += numbered(len(claims), "claim") + ": "
	var words []string
	for i, n := range counts(claims) {
		if n > 0 {
			words = append(words, strconv.Itoa(n)+" "+string(verdict.Words[i]))
		}
	}
	return text + and(words) + "."
}

// numbered is a count with its noun: "1 unit", "3 units".
func numbered(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// yearTable counts claims by model year and verdict, the latest year first. Claims that no
// run answers have a column only where there are any.
func yearTable(parts []*makerPart) template.HTML {
	t := table{Caption: "Claims by model year and verdict", Class: "small years", Head: []column{{Text: "Model year"}, {Text: "Units", Numeric: true}}}
	var all []leading
	for _, p := range parts {
		all = append(all, p.Claims...)
	}
	columns := map[int]int{} // of the verdicts, by number
	for i, n := range counts(all) {
		if w := verdict.Words[i]; n > 0 || w != verdict.Untested && w != verdict.Incomparable {
			columns[i] = len(t.Head)
			t.Head = append(t.Head, column{Text: capital(string(w)), Numeric: true})
		}
	}
	var rows []row
	for start := 0; start < len(parts); {
		end := start
		var claims []leading
		for end < len(parts) && parts[end].Year == parts[start].Year {
			claims = append(claims, parts[end].Claims...)
			end++
		}
		year := cmp.Or(parts[start].Year, "not stated")
		cells := []cell{{Text: year, Column: 0, Head: "row"}, {Text: strconv.Itoa(end - start), Column: 1}}
		for i, n := range counts(claims) {
			if at, has := columns[i]; has {
				cells = append(cells, countCell(verdict.Words[i], n, at))
			}
		}
		rows = append(rows, row{Cells: cells})
		start = end
	}
	t.Groups = [][]row{rows}
	return t.html()
}

// countCell is how many claims have a verdict, with its mark where there are any.
func countCell(w verdict.Word, n, column int) cell {
	if n == 0 {
		return cell{Text: "0", Column: column, Class: "none-of"}
	}
	mark := template.HTML(`<span class="` + string(w) + ` shape">` + charts.Mark(w) + `</span>`)
	return cell{Text: strconv.Itoa(n), Column: column, Class: "strong", Markup: mark}
}

// modelLines are the lines of two and more models that follow one another, by the first.
func modelLines(parts []*makerPart) (out []modelLine) {
	bySlug, later, page := map[string]*makerPart{}, map[string][]*makerPart{}, map[string]string{}
	for i, p := range parts {
		bySlug[p.Slug] = p
		if n := i / unitsOfMaker; n > 0 {
			page[p.Slug] = strconv.Itoa(n+1) + "/index.html"
		}
	}
	var first []*makerPart
	for i := len(parts) - 1; i >= 0; i-- { // the earliest first
		p := parts[i]
		if bySlug[p.Follows] == nil || p.Follows == p.Slug {
			first = append(first, p)
		} else {
			later[p.Follows] = append(later[p.Follows], p)
		}
	}
	for _, p := range first {
		var line modelLine
		seen := map[string]bool{}
		for queue := []*makerPart{p}; len(queue) > 0; queue = queue[1:] {
			at := queue[0]
			if seen[at.Slug] {
				continue
			}
			seen[at.Slug] = true
			line = append(line, lineModel{link{page[at.Slug] + "#unit-" + at.Slug, at.Model}, at.Year, sumRows(countsOf(claimsOf(at.Claims)))})
			queue = append(queue, later[at.Slug]...)
		}
		if len(line) > 1 {
			out = append(out, line)
		}
	}
	return out
}

func claimsOf(all []leading) []*sheet.Claim {
	out := make([]*sheet.Claim, len(all))
	for i := range all {
		out[i] = all[i].claim()
	}
	return out
}

// A makersPage is the index of all makers.
type makersPage struct {
	head
	Makers []listedMaker // all makers, by name
}

// A listedMaker is one maker in the index.
type listedMaker struct {
	Link  link   // the maker's page
	Units string // how many of its units were tested: 3 units
}

// listedMakers are the makers of units, by name, with addresses from a page's root.
func listedMakers(units []*brief, root string) []listedMaker {
	spellings := map[string][]string{}
	for _, of := range units {
		spellings[of.Maker.Slug] = append(spellings[of.Maker.Slug], of.Maker.Name)
	}
	var out []listedMaker
	for _, slug := range slices.Sorted(maps.Keys(spellings)) {
		name, _ := usual(spellings[slug])
		out = append(out, listedMaker{link{root + makersFolder + "/" + slug + "/index.html", name}, numbered(len(spellings[slug]), "unit")})
	}
	slices.SortStableFunc(out, func(a, b listedMaker) int {
		return cmp.Compare(strings.ToLower(a.Link.Text), strings.ToLower(b.Link.Text))
	})
	return out
}

// makers makes the index of all makers.
func (b *binder) makers(units []*brief) Output {
	title := b.site.Content.Site.Title
	page := makersPage{head: b.head(makersFolder+"/", "By maker · "+title, "Every maker of a unit tested by "+title+".")}
	page.Makers = listedMakers(units, page.Root)
	b.problems = append(b.problems, spelledTwice(units)...)
	b.pointsStyle(&page.head)
	return b.put("makers", makersFolder+"/", page)
}
