package site

import (
	"html/template"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A unitPage is the page of one sheet.
type unitPage struct {
	head
	Name         string
	Headline     string
	Subline      string
	Disclosure   string
	Uncertainty  string // the address of what ± means
	Claims       []claimRow
	Chart        template.HTML
	Cautions     []caution
	Runs         template.HTML
	Invalid      template.HTML
	Notes        template.HTML
	Conditions   []factGroup
	Instruments  []instrumentRow
	Downloads    []link
	Tester       string
	SheetAddress string // as print shows it; empty where the site's address isn't known
}

// unit makes the page of a sheet.
func (b *binder) unit(s *sheet.Sheet) (Output, record.Problems) {
	folder := "units/" + s.Slug + "/"
	page := unitPage{
		head: b.head(folder, s.Name+": "+s.Headline, describe(s)),
		Name: s.Name, Headline: s.Headline, Subline: s.Subline, Disclosure: s.Disclosure,
		Cautions: cautionsOf(s), Conditions: b.conditions(s),
		Downloads: []link{{"sheet.json", "This sheet as JSON"}, {"runs.csv", "Its runs as CSV"}},
		Tester:    b.site.Content.Site.Tester,
	}
	page.Sheet, page.Tested, page.SheetAddress = s.Number, dayOf(s.Tested), page.Canonical
	page.Uncertainty = page.Methodology + "#uncertainty"
	page.Claims = claimRows(s.Claims, page.Methodology)
	for i, c := range s.Claims {
		page.Claims[i].Evidence = b.evidenceOf(c, page.Methodology)
	}
	if chart := charts.PowerByLoad(s); chart != nil {
		page.Chart = figureHTML(chart, 1)
		b.live(&page.head)
	}
	runs := runTable{s, page.Methodology}
	page.Runs, page.Invalid = runs.valid(), runs.invalid()
	page.Instruments = b.instruments(s, page.Methodology)
	var problems record.Problems
	page.Notes, problems = b.notes(s)
	out, broken := b.render("unit", folder, page)
	return out, append(problems, broken...)
}

// notes renders the tester's notes of a unit.
func (b *binder) notes(s *sheet.Sheet) (template.HTML, record.Problems) {
	file := b.site.Notes[s.Slug]
	if file == nil {
		return "", nil
	}
	text, problems := renderMarkdown(file, manner{Root: "../../", Sheet: s, Level: 3, IDs: "notes-"})
	return text.Lead + text.Rest, problems
}

// describe is a sheet in two sentences, for search engines and previews.
func describe(s *sheet.Sheet) string {
	return strings.Join(strings.Fields(s.Headline+" "+s.Subline+" "+s.Disclosure), " ")
}

// A frontPage is the site's first page.
type frontPage struct {
	head
	Tagline string
	Tester  string
	Units   []unitRow
	About   string // the address of the about page; empty without one
}

// A unitRow is one sheet in the list.
type unitRow struct {
	Link    link
	Kind    string
	Tested  day
	Tallies []tally
	Claim   *claimRow // nil without claims
}

// front makes the first page.
func (b *binder) front() Output {
	site := b.site.Content.Site
	page := frontPage{head: b.head("", site.Title, join(" ", sentence(site.Title), site.Tagline)), Tagline: site.Tagline, Tester: site.Tester}
	if _, ok := b.texts["about"]; ok {
		page.About = "about/index.html"
	}
	var claims []*sheet.Claim
	var withClaim []int
	for _, s := range b.site.Sheets {
		unit := unitRow{
			Link: link{"units/" + s.Slug + "/index.html", s.Name}, Kind: kindOf(&s.Record.Unit),
			Tested: dayOf(s.Tested), Tallies: tallies(s.Claims),
		}
		if c := leading(s.Claims); c != nil {
			claims, withClaim = append(claims, c), append(withClaim, len(page.Units))
		}
		page.Units = append(page.Units, unit)
	}
	rows := claimRows(claims, page.Methodology)
	for i, at := range withClaim {
		page.Units[at].Claim = &rows[i]
	}
	return b.put("front", "", page)
}

// kindOf says what kind of amplifier a unit is.
func kindOf(u *record.Unit) string {
	class := u.Class
	if class != "" {
		class = "class" + nbsp + class
	}
	return join(", ", u.Kind, class)
}
