package site

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A unitPage is the page of one sheet.
type unitPage struct {
	head
	Name         string          // the unit: Mossfettle Brackenjar 100
	Headline     string          // the finding in one sentence
	Subline      string          // how the claims came out and what is uncertain, in a sentence
	Disclosure   string          // who supplied the unit and what the tester earns: leave it on the page
	Uncertainty  string          // the address of what ± means
	Claims       []claimRow      // the claims of power, with their verdicts
	Reply        *replyPart      // the maker's answer; nothing without one
	Contacts     []contactRow    // letters to the maker, and from them
	Pairs        []pairPart      // the models before and after it
	Chart        template.HTML   // power by load
	AtLoad       *atLoadPart     // nil where there is no figure at any load
	Videos       []videoPart     // videos about it that are out
	Methods      []link          // by which the claims were decided
	Beside       string          // where the unit is set beside others
	Lacks        string          // that verdicts rest on an incomplete uncertainty, in a sentence
	Estimates    []string        // sentences, none of them of a measurement
	Lines        []lineRow       // the load lines
	Cautions     []caution       // warnings on runs: leave them on the page
	Runs         template.HTML   // the table of runs
	Mixed        links           // runs whose channels drive different loads
	Invalid      template.HTML   // the table of runs that don't count; empty without any
	Charts       []template.HTML // the other charts of the runs
	Specs        template.HTML   // the table of other stated figures; empty without any
	Functions    []functionRow   // checks without a number
	Thermals     template.HTML   // the table of temperatures; empty without any
	Heat         []template.HTML // the charts of temperatures
	Pictures     []pictureRow    // photographs
	Features     []fact          // what it has, as the maker states it
	Ratios       factList        // power for money, volume and mass
	Notes        template.HTML   // the tester's notes; empty without any
	Conditions   []factGroup     // the unit, its settings and where it came from
	Instruments  []instrumentRow // what the readings were made with
	Shops        []shopRow       // where it can be had
	Downloads    []link          // data files and drawings
	Badges       template.HTML   // the badges with HTML to copy
	Embeds       embedList       // pages for frames; none where the site's address isn't known
	Opinions     []opinionGroup  // likes, dislikes, listening: never near a verdict
	OfMaker      link            // the page of its maker
	Held         notices         // what the tester says in place of what is held
	Ledger       ledgerPart      // sealed versions and corrections
	Tester       string          // who tests and publishes
	SheetAddress string          // as print shows it; empty where the site's address isn't known
	Cite         *citePart       // sentences to quote the sheet by
	Licence      *link           // of the data; nil where the site states none
}

// unitPage makes the page of a sheet, and the data of its live charts.
func (b *binder) unitPage(s *sheet.Sheet) ([]Output, record.Problems) {
	folder := unitsFolder + "/" + s.Slug + "/"
	page := unitPage{
		head: b.head(folder, sheet.Isolated(s.Name)+": "+s.Headline, describe(s)),
		Name: s.Name, Headline: s.Headline, Subline: s.Subline, Disclosure: s.Disclosure,
		Cautions: cautionsOf(s), Conditions: b.conditions(s),
		Downloads: []link{{"sheet.json", "This sheet as JSON"}, {"runs.csv", "Its runs as CSV"}},
		Tester:    b.site.Content.Site.Tester,
	}
	page.late = newLate()
	defer page.late.clear()
	page.Preview = b.unitPreview(page.Title, s)
	if l := b.site.Content.Site.Licence; l.Stated() {
		page.Licence = &link{l.Address, l.Name}
	}
	page.Held = b.site.notices(s.Slug, page.ProseLang)
	page.Sheet, page.Tested, page.SheetAddress = s.Number, dayOf(s.Tested), page.Canonical
	page.Uncertainty, page.Beside = page.Methodology+"#uncertainty", besideHref(page.Root, nil, s.Slug)
	page.Claims = claimRows(s.Claims, page.Methodology)
	for i, c := range s.Claims {
		page.Claims[i].Evidence = b.evidenceOf(s, c, page.Methodology, page.late)
		if c.HasP {
			page.Claims[i].Chance = c.PText
		}
		page.Claims[i].Seen = watchingOf(s.Record).seen(c.Rec.Video, c.Label, "")
	}
	page.Reply, page.Contacts, page.Pairs = replyOf(s.Record), contactRows(s.Record), b.pairs(s)
	page.Ledger = b.ledgerPart(s, page.Root)
	if page.Ledger.Version > 0 {
		page.Version, page.VersionOf = itoa(page.Ledger.Version), page.Ledger.Sealed.day()
	}
	for i := range page.Claims {
		page.Claims[i].Corrected = correctedAt(page.Ledger.Corrections, page.Claims[i].ID)
	}
	data := b.drawings(&page, folder, s)
	b.beside(&page, s)
	if page.AtLoad = b.atLoadOf(s, page.Methodology); page.AtLoad != nil {
		b.uses(&page.head, "atload.css", "atload.js")
	}
	b.videos(&page, s)
	runs := runTable{s, b.evidencePictures(s), page.Methodology, watchingOf(s.Record), page.late}
	page.Runs, page.Invalid, page.Mixed = runs.valid(), runs.invalid(), mixed(s)
	page.Instruments = b.instruments(s, page.Methodology)
	page.Notes = b.notesOf(s).html
	page.OfMaker = link{page.Root + makersFolder + "/" + makerSlug(s.Record.Unit.Maker) + "/index.html", s.Record.Unit.Maker}
	page.Badges = badgeList(s, b.badgesOf(s), page.Canonical)
	if page.Embeds = b.embedRows(s, &page.head); page.Embeds != nil {
		page.Embed = page.Canonical + embedName + "/" + embedOfSheet + "/" + oembedName
	}
	b.quotes(&page, s)
	page.Structured = b.structured(&page, s)
	if hasCaptures(s) { // a page, and no data download for machines
		page.Downloads = append(page.Downloads, link{capturesName + "/index.html", "Its captures: waves, spectra and files of samples"})
	}
	out, problems := b.render("unit", folder, page)
	return append([]Output{out}, data...), problems
}

// drawings puts each chart of a sheet in its place on the page, and makes their data.
func (b *binder) drawings(page *unitPage, folder string, s *sheet.Sheet) []Output {
	all := slices.Clone(b.chartsOf(s))
	// Temperatures have a section of their own, after the other charts.
	slices.SortStableFunc(all, func(a, c *charts.Chart) int {
		return cmp.Compare(strings.Index(a.ID, temperatures), strings.Index(c.ID, temperatures))
	})
	if len(all) == 0 {
		return nil
	}
	data, address := chartsData(folder, all)
	for i, c := range all {
		drawn := page.late.drafted(func(d *draft) { writeFigure(d, c, i+1, "h2", address, true) })
		switch c.ID {
		case "power-by-load":
			page.Chart = drawn
		case temperatures:
			page.Heat = append(page.Heat, drawn)
		default:
			page.Charts = append(page.Charts, drawn)
		}
	}
	b.live(&page.head)
	return []Output{data}
}

// temperatures is the id of the chart of temperatures.
const temperatures = "temperatures"

// decidingMethods are the methods of the runs that claims were decided by, in the
// order met.
func decidingMethods(s *sheet.Sheet, methodology string) []link {
	var out []link
	for _, c := range s.Claims {
		for _, ch := range c.Channels {
			for _, id := range ch.Runs {
				r := runOf(s, id)
				if r == nil || r.Method == nil {
					continue
				}
				if l := (link{methodology + "#method-" + r.Method.ID, r.Method.Title}); !slices.Contains(out, l) {
					out = append(out, l)
				}
			}
		}
	}
	return out
}

// beside fills in what a record has beside claims and runs.
func (b *binder) beside(page *unitPage, s *sheet.Sheet) {
	page.Methods = decidingMethods(s, page.Methodology)
	page.Estimates, page.Lines = estimates(s), lineRows(s.Lines, page.Methodology)
	page.Lacks = lacking(s.Claims)
	w := watchingOf(s.Record)
	page.Specs = specTable(s.Specs, page.Methodology, w)
	page.Functions = functionRows(s.Record.Functions, w)
	page.Thermals = thermalTable(s.Thermals, page.Methodology, w)
	page.Pictures = b.pictureRows(s, page.Root)
	page.Features = featureFacts(s.Record.Features)
	page.Ratios = ratioFacts(s.Ratios, page.Methodology)
	page.Shops = shopRows(s.Record.Shops, b.site.Content.Site.Currency)
	page.Opinions = opinionGroups(s.Record.Opinions, w)
}

// A notesText is a unit's notes, rendered, with the mistakes that were found in them.
type notesText struct {
	html     template.HTML
	problems record.Problems
}

// notesOf renders the tester's notes of a unit; once, where the binder is that of one
// unit.
func (b *binder) notesOf(s *sheet.Sheet) *notesText {
	if b.notes != nil {
		return b.notes
	}
	file := b.site.Notes[s.Slug]
	if file == nil {
		return new(notesText)
	}
	text, problems := renderMarkdown(file, notesManner(s, b.site.now()))
	return &notesText{text.Lead + text.Rest, problems}
}

// notesManner says how the notes of a unit become a part of its page.
func notesManner(s *sheet.Sheet, back keptBack) manner {
	return manner{Root: "../../", Sheet: s, Level: 3, IDs: "notes-", Page: unitsFolder + "/" + s.Slug + "/", Back: back}
}

// kindOf says what kind of amplifier a unit is.
func kindOf(u *record.Unit) string {
	class := u.Class
	if class != "" {
		class = "class" + nbsp + class
	}
	return join(", ", u.Kind, class)
}
