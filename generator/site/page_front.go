package site

import (
	"cmp"
	"html/template"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// How many units the first page shows, and each page of older ones. What a script draws of
// a filtered list are as many as the first page.
const (
	unitsInFront = 50
	unitsOnPage  = 100
)

// olderFolder holds the pages of older units: list/2/, list/3/ …; the first page of the list
// is the front page.
const olderFolder = "list"

// A frontPage is the site's first page.
type frontPage struct {
	head
	Tagline string    // the site's own line under its name; empty without one
	Tester  string    // who tests and publishes
	About   string    // the address of the about page; empty without one
	Sum     string    // how many units and claims there are, in a sentence's beginning
	Counts  []sumRow  // how many claims of all units have each verdict
	Methods []link    // by which there are runs
	First   string    // the site's first method: at 1 % THD+N
	Finder  *finder   // search and filters; nothing where no unit is published
	Units   unitRows  // the units tested last
	Pages   pager     // the way to the other pages of the list
	By      bylines   // the ways on to loads and makers
	Feed    *feedPair // nil where the site's address isn't known
}

// An olderPage is a further page of the list.
type olderPage struct {
	head
	Heading string   // the page's headline
	Span    string   // from when to when its units were tested
	Units   unitRows // its units, by the date of the last test
	Pages   pager    // the way to the other pages of the list
}

// A sumRow is how many claims of all units have one verdict.
type sumRow struct {
	Class string        // the verdict as a class for the style: met
	Mark  template.HTML // the shape of the verdict, drawn
	Text  string        // 12 met
}

// sumRows are counts as a page lists them.
func sumRows(counts []count) (out []sumRow) {
	for _, c := range counts {
		out = append(out, sumRow{string(c.Verdict), template.HTML(charts.Mark(c.Verdict)), c.says()})
	}
	return out
}

// A pager leads to the other pages of a list.
type pager struct {
	Label        string // what the pages follow
	Says         string // Page 2 of 5
	Newer, Older link   // empty where there is none
	Years        []link // to the first unit tested in each year, where there are several pages
}

// A finder is what the list can be filtered by, sorted; a script does it.
type finder struct {
	Data     string   // the way to the folder of the index
	Pace     int      // how many rows are shown at a time
	Says     string   // how many units there are, and in which order
	Currency string   // the site's currency: EUR
	Verdicts []choice // verdicts, with their shapes
	Kinds    []choice // kinds of units: mono
	Classes  []choice // classes of output stages
	Loads    []choice // nominal loads
	Makers   []choice // makers
}

// finderHref is the list of all units, from a page whose way to the root is given: of those
// tested at a nominal load, the most power first. Without script it is the whole list.
func finderHref(root string, ohm float64) string {
	return root + "index.html#load=" + strconv.FormatFloat(ohm, 'g', -1, 64) + "&sort=power"
}

// A choice is one thing to filter by.
type choice struct {
	Value string        // as the script takes it
	Text  string        // as a reader sees it
	Mark  template.HTML // of a verdict
}

// choiceWords are the verdicts as a choice names them: open has two words.
var choiceWords = map[verdict.Word]string{
	verdict.Met: "Met", verdict.Short: "Falls short", verdict.Open: "Too close to call or undecided",
	verdict.Untested: "Untested", verdict.Incomparable: "Not comparable",
}

// byDate are the units in the order of the list: newest test first, those without a date
// last, then by slug.
func byDate(units []*brief) []*brief {
	return slices.SortedFunc(slices.Values(units), func(a, b *brief) int {
		return cmp.Or(cmp.Compare(b.Row.Tested.ISO, a.Row.Tested.ISO), cmp.Compare(a.Row.Slug, b.Row.Slug))
	})
}

// listScale is the scale that all claim lines of the list share, on whatever page.
func listScale(units []*brief) (low, high int) {
	var claims []*sheet.Claim
	for _, of := range units {
		if of.Leading != nil {
			claims = append(claims, of.Leading.claim())
		}
	}
	return charts.ClaimScale(claims)
}

// pagesOf cuts the list, in its order, into pages; the first is the front page.
func pagesOf(units []*brief) [][]*brief {
	first := min(unitsInFront, len(units))
	return append([][]*brief{units[:first]}, slices.Collect(slices.Chunk(units[first:], unitsOnPage))...)
}

// front makes the first page of what is known of the units.
func (b *binder) front(units []*brief) Output {
	site := b.site.Content.Site
	page := frontPage{head: b.head("", site.Title, join(" ", sentence(site.Title), site.Tagline)), Tagline: site.Tagline, Tester: site.Tester}
	if _, ok := b.texts["about"]; ok {
		page.About = "about/index.html"
	}
	page.By = bylinesOf(units, page.Root)
	if b.base() != "" {
		page.Feed = &feedPair{feedAtom, feedJSON}
	}
	b.styled(&page.head)
	units = byDate(units)
	page.sums(units)
	page.Methods = b.methodsUsed(units, page.Methodology)
	if methods := b.site.Content.Methods.Methods; len(methods) > 0 {
		page.First = methods[0].Title
	}
	pages := pagesOf(units)
	page.Pages = pagersOf(pages)[0]
	low, high := listScale(units)
	page.Units = rowsOf(pages[0], "", page.Methodology, low, high)
	if len(units) > 0 {
		page.Finder = finderOf(units)
		b.listed(&page.head)
	}
	page.Structured = b.structuredFront(&page)
	if script := b.assets["home.js"]; script != "" {
		page.Scripts = append(page.Scripts, script)
	}
	return b.put("front", "", page)
}

// listed adds the scripts that find units.
func (b *binder) listed(h *head) {
	for _, name := range []string{"list.js", "front.js"} {
		if path := b.assets[name]; path != "" {
			h.Scripts = append(h.Scripts, h.Root+path)
		}
	}
}

// styled adds the style of lists.
func (b *binder) styled(h *head) {
	if path := b.assets["list.css"]; path != "" {
		h.Styles = append(h.Styles, h.Root+path)
	}
}

// older makes the pages of the list after the first.
func (b *binder) older(units []*brief) (outputs []Output) {
	units = byDate(units)
	low, high := listScale(units)
	pages := pagesOf(units)
	pagers := pagersOf(pages)
	for n := 1; n < len(pages); n++ {
		folder := olderAddress(n)
		title := "Older sheets, page " + strconv.Itoa(n+1)
		page := olderPage{head: b.head(folder, title+" · "+b.site.Content.Site.Title, title+" of "+strconv.Itoa(len(pages))+". "+b.site.Content.Site.Title+"."), Heading: title}
		first, last := pages[n][0].Row.Tested, pages[n][len(pages[n])-1].Row.Tested
		if first.ISO != "" && last.ISO != "" {
			page.Span = "Tested from " + last.Text + " to " + first.Text + "."
		}
		b.styled(&page.head)
		page.Pages = pagers[n].from(page.Root)
		page.Units = rowsOf(pages[n], page.Root, page.Methodology, low, high)
		outputs = append(outputs, b.put("older", folder, page))
	}
	return outputs
}

// olderAddress is the folder of a page of the list by its number from 0.
func olderAddress(n int) string {
	if n == 0 {
		return ""
	}
	return olderFolder + "/" + strconv.Itoa(n+1) + "/"
}

// pagersOf lead from each page of the list to the others; they are empty where there is one
// page only. A page's links still lack the way to the root.
func pagersOf(pages [][]*brief) []pager {
	out := make([]pager, len(pages))
	if len(pages) < 2 {
		return out
	}
	to := func(n int) string { return olderAddress(n) + "index.html" }
	var years []link
	for i, page := range pages {
		for _, of := range page {
			year, _, _ := strings.Cut(of.Row.Tested.ISO, "-")
			if year == "" {
				year = "no date"
			}
			if n := len(years); n == 0 || years[n-1].Text != year {
				years = append(years, link{to(i) + "#unit-" + of.Row.Slug, year})
			}
		}
	}
	for n := range out {
		out[n] = pagerOf("Pages by date", n, len(pages), years)
		if n > 0 {
			out[n].Newer = link{to(n - 1), "Newer tests"}
		}
		if n+1 < len(pages) {
			out[n].Older = link{to(n + 1), "Older tests"}
		}
	}
	return out
}

// pagerOf begins the pager of the nth of some pages, from 0 on.
func pagerOf(label string, n, of int, years []link) pager {
	return pager{Label: label, Says: "Page " + strconv.Itoa(n+1) + " of " + strconv.Itoa(of), Years: years}
}

// from puts the way to the root before a pager's links.
func (p pager) from(root string) pager {
	for _, l := range []*link{&p.Newer, &p.Older} {
		if l.Href != "" {
			l.Href = root + l.Href
		}
	}
	years := make([]link, len(p.Years))
	for i, l := range p.Years {
		years[i] = link{root + l.Href, l.Text}
	}
	p.Years = years
	return p
}

// sums counts units, claims and verdicts.
func (p *frontPage) sums(units []*brief) {
	var all []count
	claims := 0
	for _, of := range units {
		for _, c := range of.Row.List.Counts {
			all, claims = counted(all, c), claims+c.N
		}
	}
	slices.SortStableFunc(all, func(a, b count) int {
		return cmp.Or(cmp.Compare(slices.Index(verdict.Words, a.Verdict), slices.Index(verdict.Words, b.Verdict)), cmp.Compare(a.Word, b.Word))
	})
	p.Counts = sumRows(all)
	p.Sum = inNumber(len(units), "unit") + " on the bench, " + inNumber(claims, "power claim")
}

// inNumber counts things in words: "1 unit", "13 units", "10,000 units".
func inNumber(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return thousands(n) + nbsp + thing
}

// thousands writes a count with commas: 10,000.
func thousands(n int) string {
	text := strconv.Itoa(n)
	for at := len(text) - 3; at > 0; at -= 3 {
		text = text[:at] + "," + text[at:]
	}
	return text
}

// methodsUsed are the methods by which any of the units was tested, in the order of
// methods.toml.
func (b *binder) methodsUsed(units []*brief, methodology string) (out []link) {
	used := map[string]bool{}
	for _, of := range units {
		for _, p := range of.Row.List.Points {
			used[p.Method] = true
		}
	}
	for i := range b.site.Content.Methods.Methods {
		if m := &b.site.Content.Methods.Methods[i]; used[m.ID] {
			out = append(out, link{methodology + "#method-" + m.ID, m.Title})
		}
	}
	return out
}

// finderOf lists what the units can be filtered by.
func finderOf(units []*brief) *finder {
	f := &finder{Data: dataFolder + "/", Pace: unitsInFront, Says: inNumber(len(units), "unit") + ", newest test first."}
	kinds, classes, makers, loads := map[string]bool{}, map[string]bool{}, map[string]bool{}, map[float64]bool{}
	spelt := map[string][]string{} // of each maker, as its units have it
	for _, of := range units {
		l := &of.Row.List
		kinds[l.Kind], classes[l.Class] = true, true
		spelt[of.Maker.Slug] = append(spelt[of.Maker.Slug], l.Maker)
		f.Currency = l.Currency
		for _, p := range l.Points {
			loads[p.signed()] = true
		}
	}
	for _, all := range spelt {
		name, _ := usual(all)
		makers[name] = true
	}
	for _, w := range verdict.Words {
		f.Verdicts = append(f.Verdicts, choice{string(w), choiceWords[w], template.HTML(charts.Mark(w))})
	}
	f.Kinds, f.Classes, f.Makers = choices(kinds), choices(classes), choices(makers)
	for _, ohm := range slices.SortedFunc(maps.Keys(loads), func(a, b float64) int {
		return cmp.Or(cmp.Compare(math.Abs(b), math.Abs(a)), cmp.Compare(b, a))
	}) {
		f.Loads = append(f.Loads, choice{Value: quantity.Float(ohm), Text: sheet.Point{Ohm: math.Abs(ohm), Bridged: ohm < 0}.Load()})
	}
	return f
}

// choices are texts to filter by, sorted; what isn't stated is none.
func choices(texts map[string]bool) (out []choice) {
	for _, text := range slices.Sorted(maps.Keys(texts)) {
		if text != "" {
			out = append(out, choice{Value: text, Text: text})
		}
	}
	return out
}
