package site

import (
	"encoding/json"
	"html/template"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/picture"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// Embeds are light pages for frames on other people's pages: of a whole sheet, of each
// claim and of each chart. Each says the verdict in words, who supplied the unit and where
// the sheet is, for nobody knows what stands around it.
const embedName = "embed"

// embedOfSheet is the embed of a whole sheet, which an oEmbed consumer gets for its page.
const embedOfSheet = "sheet"

// The size of a frame, in pixels: oEmbed wants one, and static files can't ask which. What
// is in it fits any width from 300 on.
const embedWidth = 480

// An embedPage is a light page for frames on other people's pages, with a "page" of its own.
type embedPage struct {
	head
	Heading    string        // the page's headline
	Single     bool          // it is of one claim, whose label and verdict say what the heading says
	Caption    string        // what a chart shows, in a sentence
	Claims     []claimRow    // the claims; none where a chart is shown
	Chart      template.HTML // the still chart; empty where claims are shown
	Lacks      string        // that verdicts rest on an incomplete uncertainty, in a sentence
	Name       string        // the unit: Mossfettle Brackenjar 100
	Disclosure string        // who supplied the unit and what the tester earns: leave it on the page
	Link       string        // where the sheet says more
}

// An embedRow is what the page of a sheet offers of an embed.
type embedRow struct {
	Href string // the page for a frame
	Text string // what it shows
	Code string // HTML to copy
}

// embedFolder is where an embed stands.
func embedFolder(s *sheet.Sheet, id string) string {
	return unitsFolder + "/" + s.Slug + "/" + embedName + "/" + id + "/"
}

// An embed is one of a sheet.
type embed struct {
	id, heading, title, anchor string
	height                     int // of a frame that shows all of it, about
	claims                     []*sheet.Claim
	chart                      *charts.Chart
}

// embedsOf are all embeds of a sheet: the whole one, those of its claims, and of its charts.
func (b *binder) embedsOf(s *sheet.Sheet) []embed {
	all := []embed{{
		id: embedOfSheet, heading: s.Headline, title: sheet.Isolated(s.Name) + ", all claims: " + s.Headline, height: 330 + 105*len(s.Claims), claims: s.Claims,
	}}
	for i, c := range s.Claims {
		heading := c.Label + ": " + strings.ToLower(c.Word)
		all = append(all, embed{
			id: "claim-" + c.ID, heading: heading, title: sheet.Isolated(s.Name) + ", " + heading, anchor: "#claim-" + c.ID, height: 400, claims: s.Claims[i : i+1],
		})
	}
	for _, c := range b.chartsOf(s) {
		all = append(all, embed{id: c.ID, heading: c.Title, title: sheet.Isolated(s.Name) + ": " + c.Title, anchor: "#chart-" + c.ID, height: 900, chart: c})
	}
	return all
}

// chartsOf draws the charts of a sheet; once, where the binder is that of one unit.
func (b *binder) chartsOf(s *sheet.Sheet) []*charts.Chart {
	if b.charts != nil {
		return b.charts()
	}
	return charts.All(s)
}

// embeds makes the embeds of a sheet, each with the oEmbed response for it where the
// site's address is known.
func (b *binder) embeds(s *sheet.Sheet) (outputs []Output, problems record.Problems) {
	for _, e := range b.embedsOf(s) {
		folder := embedFolder(s, e.id)
		page := b.embedPage(s, e)
		one, found := b.render("embed", folder, page)
		if problems = append(problems, found...); found != nil {
			return nil, problems
		}
		outputs = append(outputs, one)
		if b.site.Content.Site.Address != "" {
			outputs = append(outputs, Output{Path: folder + oembedName, Bytes: b.oembed(s, e, &page.head)})
		}
	}
	return outputs, problems
}

// unnumbered is a drawing without the numbers by which a live chart finds a mark of the still: a
// page for frames has none. A quote in a drawing's text is escaped, so this is an attribute.
func unnumbered(drawing string) template.HTML {
	const number = ` data-n="`
	return drafted(func(d *draft) {
		for {
			before, after, more := strings.Cut(drawing, number)
			d.raw(before)
			if !more {
				return
			}
			_, drawing, _ = strings.Cut(after, `"`)
		}
	})
}

func (b *binder) embedPage(s *sheet.Sheet, e embed) embedPage {
	p := embedPage{
		head: b.head(embedFolder(s, e.id), e.title, e.title), Heading: e.heading, Name: s.Name, Disclosure: s.Disclosure,
		Link: "../../index.html" + e.anchor, Lacks: lacking(e.claims), Claims: claimRows(e.claims, ""),
	}
	p.Sheet, p.Single = s.Number, e.id != embedOfSheet && e.chart == nil
	if st := b.site.Ledger(s.Slug); st != nil && st.Sealed() {
		p.Version = itoa(len(st.Versions))
	}
	if e.chart != nil {
		p.Caption, p.Chart = e.chart.Caption, unnumbered(e.chart.Tall)
	}
	if p.Canonical != "" { // a search engine shall show the sheet
		p.Embed = p.Canonical + oembedName
		p.Canonical = b.at(&p.head, unitsFolder+"/"+s.Slug+"/")
		p.Link = p.Canonical + e.anchor
	}
	return p
}

// oembedName is the oEmbed response beside an embed.
const oembedName = "oembed.json"

// An oembedResponse is one of oEmbed 1.0 (2.3.4). A thumbnail has all three of its values, or
// none of them.
type oembedResponse struct {
	Type            string `json:"type"`
	Version         string `json:"version"`
	Title           string `json:"title"`
	Author          string `json:"author_name"`
	Provider        string `json:"provider_name"`
	ProviderURL     string `json:"provider_url"`
	HTML            string `json:"html"`
	Width           int    `json:"width"`
	Height          int    `json:"height"`
	Thumbnail       string `json:"thumbnail_url,omitempty"`
	ThumbnailWidth  int    `json:"thumbnail_width,omitempty"`
	ThumbnailHeight int    `json:"thumbnail_height,omitempty"`
}

// oembed writes the response of oEmbed 1.0 for an embed: of the type rich.
func (b *binder) oembed(s *sheet.Sheet, e embed, h *head) []byte {
	site := b.site.Content.Site
	r := oembedResponse{
		Type: "rich", Version: "1.0", Title: e.title, Author: site.Tester, Provider: site.Title, ProviderURL: b.at(h, ""),
		HTML: b.frameCode(s, e, h), Width: embedWidth, Height: e.height,
	}
	if e.id == embedOfSheet { // the card is of the whole sheet
		r.Thumbnail, r.ThumbnailWidth, r.ThumbnailHeight = b.at(h, unitsFolder+"/"+s.Slug+"/")+cardName, picture.CardWidth, picture.CardHeight
	}
	text, err := json.Marshal(r)
	if err != nil {
		panic("site: an oEmbed response can't be written: " + err.Error()) // plain types only
	}
	return append(text, '\n')
}

// frameCode is the HTML that shows an embed on another page: as wide as its place.
func (b *binder) frameCode(s *sheet.Sheet, e embed, h *head) string {
	return `<iframe src="` + escape(b.at(h, embedFolder(s, e.id))) + `" title="` + escape(oneLine(e.title)) +
		`" width="100%" height="` + itoa(e.height) + `" loading="lazy"></iframe>`
}

// embedRows are the embeds as the page of a sheet offers them; none where the site's
// address isn't known, for a frame needs a whole one.
func (b *binder) embedRows(s *sheet.Sheet, h *head) (rows []embedRow) {
	if b.site.Content.Site.Address == "" {
		return nil
	}
	for _, e := range b.embedsOf(s) {
		text := e.heading
		if e.id == embedOfSheet {
			text = "The whole sheet"
		}
		rows = append(rows, embedRow{embedName + "/" + e.id + "/index.html", text, b.frameCode(s, e, h)})
	}
	return rows
}
