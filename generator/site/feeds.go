package site

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/sheet"
	"wattsheet/generator/theme"
)

// The feeds, below the site's root. The second pair has corrections only.
const (
	feedName   = "feed"
	feedAtom   = feedName + ".atom"
	feedJSON   = feedName + ".json"
	feedLength = 50 // entries of a feed: the newest; the sitemap has all pages
)

// never is when a feed without entries was updated last: an instant before any.
const never = "1970-01-01T00:00:00Z"

// A feed is a list of what happened, newest first, before it is written.
type feed struct {
	ID       string // never another one, wherever the site moves
	Title    string
	Subtitle string
	Home     string // the page that shows the same
	Folder   string // where the feed's files are, from the root
	Updated  string
	Author   string
	Entries  []feedEntry
}

// A feedEntry is one sheet, or one correction.
type feedEntry struct {
	ID        string // likewise
	URL       string
	Title     string
	Updated   string // RFC 3339, in UTC
	Published string // empty where it isn't known
	Summary   string
	Content   string // HTML
	Data      string // the address of the sheet as JSON
	Number    string // of the sheet
}

// A feedLink is a feed as the head of a page names it.
type feedLink struct {
	Type  string // its media type
	Title string // what it brings: Sheets
	Href  string // the feed's address
}

// A feedPair is a feed in both forms, for a reader.
type feedPair struct {
	Atom string // the address of the Atom feed
	JSON string // the address of the JSON feed
}

// feedLinks are the feeds that the page of a folder leads to.
func (b *binder) feedLinks(folder string) []feedLink {
	if b.base() == "" {
		return nil
	}
	root := strings.Repeat("../", strings.Count(folder, "/"))
	links := []feedLink{{atomType, "Sheets", root + feedAtom}}
	if folder == "" {
		links = append(links, feedLink{feedType, "Sheets", root + feedJSON})
	}
	if folder == "" || folder == correctionsName+"/" {
		links = append(links, feedLink{atomType, "Corrections", root + correctionsName + "/" + feedAtom},
			feedLink{feedType, "Corrections", root + correctionsName + "/" + feedJSON})
	}
	return links
}

// base is the site's public address with a slash at its end; empty where it isn't known.
func (b *binder) base() string {
	if address := b.site.Content.Site.Address; address != "" {
		return strings.TrimRight(address, "/") + "/"
	}
	return ""
}

// lasting is the address that names a page or a feed for good in its id: the first one
// that it had. The site may have moved since, and the page within it.
func (b *binder) lasting(at string) string {
	site := b.site.Content.Site
	for _, m := range site.Moved { // the first that leads there is the oldest
		if rest, within := strings.CutPrefix("/"+at, m.To); within {
			at = m.From[1:] + rest
			break
		}
	}
	return strings.TrimRight(cmp.Or(site.FirstAddress, site.Address), "/") + "/" + at
}

// feeds makes the feeds; none where the site's address isn't known, for their ids and
// links are addresses.
func (b *binder) feeds(units []*brief) []Output {
	if b.base() == "" {
		return nil
	}
	big := ""
	if b.theme.HasIcon(theme.BigIcon) {
		big = theme.BigIcon
	}
	var outputs []Output
	for _, f := range []feed{b.sheetFeed(units), b.correctionFeed(units)} {
		outputs = append(outputs, Output{Path: f.Folder + feedAtom, Bytes: f.atom(b.base())}, Output{Path: f.Folder + feedJSON, Bytes: f.json(b.base(), big)})
	}
	return outputs
}

// newest sorts entries and keeps as many as a feed has.
func (f *feed) newest() {
	slices.SortStableFunc(f.Entries, func(a, b feedEntry) int {
		return cmp.Or(cmp.Compare(b.Updated, a.Updated), cmp.Compare(a.ID, b.ID))
	})
	f.Entries = f.Entries[:min(len(f.Entries), feedLength)]
	f.Updated = never
	if len(f.Entries) > 0 {
		f.Updated = f.Entries[0].Updated
	}
}

func (b *binder) sheetFeed(units []*brief) feed {
	site := b.site.Content.Site
	f := feed{
		ID: b.lasting(""), Title: site.Title, Home: b.base(), Author: site.Tester,
		Subtitle: join(" ", sentence(site.Tagline), "The newest "+strconv.Itoa(feedLength)+" sheets; one moves up when a result of it moves."),
	}
	for _, u := range units {
		if u.Dated.Updated == "" {
			continue // nothing of it was measured or sealed: there is no finding yet
		}
		folder := strings.TrimSuffix(u.Row.Link.Href, "index.html")
		e := feedEntry{
			ID: b.lasting(folder), URL: b.base() + folder, Title: sheet.Isolated(u.Row.Link.Text) + ": " + u.Dated.Finding,
			Updated: u.Dated.Updated, Summary: join(" ", u.Dated.Finding, u.Dated.Source),
			Data: b.base() + folder + "sheet.json", Number: u.Dated.Number,
		}
		if len(u.Dated.Sealed) > 0 {
			e.Published = u.Dated.Sealed[0]
		}
		e.Content = sheetContent(u, e)
		f.Entries = append(f.Entries, e)
	}
	f.newest()
	return f
}

// sheetContent says what was found, by whom the unit was supplied, and where the rest is.
func sheetContent(u *brief, e feedEntry) string {
	var h strings.Builder
	for _, text := range []string{u.Dated.Finding, u.Dated.Under, u.Dated.Source, u.Row.Lacks} {
		paragraph(&h, text)
	}
	if u.Row.Tested.Text != "" {
		paragraph(&h, "Tested "+u.Row.Tested.Text+". Sheet "+u.Dated.Number+".")
	}
	h.WriteString(`<p><a href="` + escape(e.URL) + `">The sheet, with each figure and its uncertainty</a></p>`)
	return h.String()
}

func paragraph(h *strings.Builder, text string) {
	if text != "" {
		h.WriteString("<p>" + escape(text) + "</p>")
	}
}

func (b *binder) correctionFeed(units []*brief) feed {
	site := b.site.Content.Site
	folder := correctionsName + "/"
	f := feed{
		ID: b.lasting(folder), Title: "Corrections · " + site.Title, Home: b.base() + folder, Folder: folder, Author: site.Tester,
		Subtitle: "The newest " + strconv.Itoa(feedLength) + " corrections of published sheets.",
	}
	for _, u := range units {
		unit := strings.TrimSuffix(u.Row.Link.Href, "index.html")
		for _, c := range u.Corrections {
			number := c.ID[strings.LastIndex(c.ID, "-")+1:]
			e := feedEntry{
				ID: b.lasting(unit) + "#correction-" + number, URL: b.base() + unit + "#correction-" + number,
				Title:   sheet.Isolated(u.Row.Link.Text) + ": correction of " + c.Date.Text,
				Updated: instantOf(c.Date.ISO), Published: instantOf(c.Date.ISO), Summary: join(". ", c.Kind, strings.Join(c.Reason, " ")),
				Data: b.base() + unit + "sheet.json", Number: u.Dated.Number,
			}
			if c.Verdict {
				e.Title += ": a verdict changed"
			}
			e.Content = b.correctionContent(c)
			f.Entries = append(f.Entries, e)
		}
	}
	f.newest()
	return f
}

// correctionContent says what was wrong, what it is now, and why.
func (b *binder) correctionContent(c correctionRow) string {
	var h strings.Builder
	paragraph(&h, c.Kind+".")
	for _, text := range c.Reason {
		paragraph(&h, text)
	}
	if len(c.Results) > 0 {
		h.WriteString("<ul>")
		for _, r := range c.Results {
			h.WriteString("<li>" + escape(r.Of+": was "+r.Was+", now "+r.Now) + "</li>")
		}
		h.WriteString("</ul>")
	}
	for _, text := range c.Effect {
		paragraph(&h, text)
	}
	if c.NoticedBy != "" {
		paragraph(&h, "Noticed by "+c.NoticedBy+".")
	}
	for i, v := range []link{c.Former, c.Version} {
		if v.Href != "" {
			h.WriteString("<p>" + []string{"As it was", "As it is since"}[i] +
				`: <a href="` + escape(b.absolute(correctionsName+"/", v.Href)) + `">` + escape(v.Text) + "</a></p>")
		}
	}
	return h.String()
}

// absolute is the address that a link on the page of a folder leads to: that of a page's
// folder, without index.html.
func (b *binder) absolute(folder, href string) string {
	base, err := url.Parse(b.base() + folder)
	if err != nil {
		return b.base()
	}
	to, err := base.Parse(href)
	if err != nil {
		return b.base()
	}
	return strings.TrimSuffix(to.String(), "index.html")
}
