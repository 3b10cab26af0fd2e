package site

import (
	"html/template"
	"maps"
	"slices"
	"strconv"

	"wattsheet/charts"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A loadRanking is the units of one load, ranked: what its pages are cut from.
type loadRanking struct {
	entries  []loadEntry // in the order of the pages
	sections []loadSection
	begin    []int   // of each section, its first entry; last of what isn't ranked
	usual    float64 // the nominal load that most units name
}

// A loadEntry is a row of a load's pages: one of a table, or a unit that isn't ranked.
type loadEntry struct {
	section int
	table   *drawnTable
	row     int
	apart   *sheet.Compact // nil of a row of a table
}

// A drawnTable is a table with its drawings, which share a scale over all pages.
type drawnTable struct {
	*sheet.CompactTable
	head  rankedTable
	drawn []string
	parts map[*sheet.Compact]pointPart
}

// load makes the pages of one load, of the units measured there.
func (b *binder) load(folder string, units []*brief) (outputs []Output) {
	all := b.rankedAt(ohmsOf(folder), units)
	pages := slices.Collect(slices.Chunk(all.entries, unitsOnPage))
	if len(pages) == 0 {
		pages = make([][]loadEntry, 1)
	}
	for n, entries := range pages {
		page := b.loadPage(folder, n, len(pages), len(units))
		page.Find = finderHref(page.Root, all.usual)
		all.onto(&page, n, entries)
		outputs = append(outputs, b.put("load", loadAddress(folder, n), page))
	}
	return outputs
}

// loadAddress is the folder of a load's page by its number from 0.
func loadAddress(folder string, n int) string { return pageBelow(loadsFolder+"/"+folder+"/", n) }

// pageBelow is the folder of a page by its number from 0: the first stands in the folder itself.
func pageBelow(folder string, n int) string {
	if n == 0 {
		return folder
	}
	return folder + strconv.Itoa(n+1) + "/"
}

// loadPage begins a page of a load: one by number of all there are.
func (b *binder) loadPage(folder string, n, of, units int) loadPage {
	site := b.site.Content.Site
	name, number := sheet.Ohms(ohmsOf(folder)), ""
	title := "Power into " + name
	if n > 0 {
		number = strconv.Itoa(n + 1)
		title += ", page " + number
	}
	page := loadPage{
		head: b.head(loadAddress(folder, n), title+" · "+site.Title,
			"Units tested into "+name+" by "+site.Title+", ranked on equal conditions only, with the ranks that the uncertainty leaves open."),
		Load: name, Page: number, Units: numbered(units, "unit"), Note: sheet.PairwiseNote, Up: "../",
	}
	b.pointsStyle(&page.head)
	if n > 0 {
		page.Up = "../../"
	}
	if of > 1 {
		b.styled(&page.head)
		page.Pages = pagerOf("Pages by rank", n, of, nil)
		if n > 0 {
			page.Pages.Newer = link{loadAddress(folder, n-1) + "index.html", "Previous page"}
		}
		if n+1 < of {
			page.Pages.Older = link{loadAddress(folder, n+1) + "index.html", "Next page"}
		}
		page.Pages = page.Pages.from(page.Root)
	}
	return page
}

// rankedAt ranks the units at a load by each method.
func (b *binder) rankedAt(ohm float64, units []*brief) *loadRanking {
	all, parts := &loadRanking{usual: ohm}, pointParts(units, ohm)
	if every := slices.Concat(slices.Collect(maps.Values(parts))...); len(every) > 0 {
		all.usual = usualOhm(every)
	}
	var apart []loadEntry
	for i := range b.site.Content.Methods.Methods {
		method := &b.site.Content.Methods.Methods[i]
		for _, bridged := range []bool{false, true} {
			here := parts[pointOf{method.ID, bridged}]
			if len(here) > 0 {
				apart = append(apart, all.add(sheet.Point{Method: method, Ohm: usualOhm(here), Bridged: bridged}, here)...)
			}
		}
	}
	all.begin = append(all.begin, len(all.entries))
	all.entries = append(all.entries, apart...)
	return all
}

// add ranks the units at a point, and gives those without a figure.
func (l *loadRanking) add(at sheet.Point, parts []pointPart) (apart []loadEntry) {
	s := loadSection{ID: "by-" + pointID(at), Title: capital(pointTitle(at)), Method: link{methodologyName + "/index.html#method-" + at.Method.ID, "How it is measured"}}
	all, of := []*sheet.Compact{}, map[*sheet.Compact]pointPart{}
	for _, p := range parts {
		all, of[p.Standing] = append(all, p.Standing), p
	}
	begin, ranked := len(l.entries), 0
	for _, t := range sheet.RankCompact(all, at) {
		for _, c := range t.Without {
			apart = append(apart, loadEntry{table: &drawnTable{CompactTable: t}, apart: c})
		}
		if len(t.Rows) == 0 {
			continue
		}
		ranked++
		drawn := drawTable(t, of)
		for _, doubt := range []bool{false, true} {
			for i := range t.Rows {
				if (t.Rows[i].Doubt != "") == doubt {
					l.entries = append(l.entries, loadEntry{section: len(l.sections), table: drawn, row: i})
				}
			}
		}
	}
	if ranked > 0 {
		s.Several = ranked > 1
		l.sections, l.begin = append(l.sections, s), append(l.begin, begin)
	}
	return apart
}

// pointTitle is how a point's method is named in a list.
func pointTitle(at sheet.Point) string {
	if at.Bridged {
		return "bridged, " + at.Method.Title
	}
	return at.Method.Title
}

func drawTable(t *sheet.CompactTable, parts map[*sheet.Compact]pointPart) *drawnTable {
	out := &drawnTable{CompactTable: t, parts: parts, head: rankedTable{Conditions: capital(t.Conditions), Units: numbered(len(t.Rows), "unit")}}
	var powers []charts.Interval
	for _, r := range t.Rows {
		powers = append(powers, charts.Interval{X: r.TotalW, U: r.TotalU})
	}
	out.head.Scale = quantity.Float(charts.IntervalScale(powers)) + nbsp + "W"
	out.drawn = charts.Intervals(powers)
	if t.Bounded {
		out.head.Bounded = sheet.BoundedNote
	}
	return out
}

// onto puts the entries of a page onto it, and what there is on all of them.
func (l *loadRanking) onto(page *loadPage, n int, entries []loadEntry) {
	page.Ranked = len(l.sections) > 0
	l.contents(page, n)
	var last loadEntry
	for i, e := range entries {
		if e.apart != nil {
			page.Apart = append(page.Apart, apartRow{link{unitHref(page.Root, e.apart.Slug), e.apart.Name}, pointTitle(e.table.At), sentence(e.apart.Why)})
			continue
		}
		if len(page.Sections) == 0 || e.section != last.section {
			s := l.sections[e.section]
			s.Method.Href = page.Root + s.Method.Href
			page.Sections = append(page.Sections, s)
		}
		section := &page.Sections[len(page.Sections)-1]
		if e.table != last.table {
			table := e.table.head
			table.Continued = i == 0 && n > 0 && l.entries[n*unitsOnPage-1].table == e.table
			section.Tables = append(section.Tables, table)
		}
		row := rankedRowOf(e.table.CompactTable, e.row, e.table.parts[e.table.Rows[e.row].Compact], page.Root)
		row.Plot = template.HTML(e.table.drawn[e.row])
		if table := &section.Tables[len(section.Tables)-1]; row.Doubt != "" {
			table.Doubtful = append(table.Doubtful, row)
		} else {
			table.Rows = append(table.Rows, row)
		}
		last = e
	}
}

// contents lists the methods, with the page that each begins on.
func (l *loadRanking) contents(page *loadPage, n int) {
	if !page.Ranked {
		return
	}
	to := func(entry int, id, title string) {
		href := "#" + id
		if at := entry / unitsOnPage; at > 0 && n == 0 {
			href = strconv.Itoa(at+1) + "/index.html" + href
		} else if at != n {
			href = pageBelow("../", at) + "index.html" + href
		}
		page.Contents = append(page.Contents, link{href, title})
	}
	for i, s := range l.sections {
		to(l.begin[i], s.ID, s.Title)
	}
	if at := l.begin[len(l.sections)]; at < len(l.entries) {
		to(at, "not-ranked", "Measured, but not ranked")
	}
}
