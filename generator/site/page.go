package site

import (
	"bytes"
	"html/template"
	"maps"
	"regexp"
	"slices"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/record"
	"wattsheet/generator/theme"
)

// A binder makes the pages of one site. Its fields are only read while pages
// are made; problems are gathered by the caller of what makes one.
type binder struct {
	site     *Site
	theme    theme.Theme
	layouts  map[string]*template.Template
	assets   map[string]string
	icon     string           // the icon's path below the root; empty without one
	texts    map[string]prose // by name; about, methodology and any other
	nav      []place
	notes    *notesText             // of the unit that the binder is for; nil where it is for all
	badges   func() []charts.Badge  // those of that unit, drawn when first asked for
	charts   func() []*charts.Chart // the charts of that unit, likewise
	tables   *tableMaker            // makes the tables of the whole site
	mains    *mains                 // where units stand at their main points; nil where that isn't kept
	problems record.Problems
}

// binder prepares what all pages of a site share: the templates of a theme, the paths
// of its assets by name, prose, and the navigation. The problems are mistakes in
// templates and prose; without templates there is no binder.
func (s *Site) binder(from theme.Theme, assets map[string]string) (*binder, record.Problems) {
	layouts, problems := from.Layouts()
	if problems != nil {
		return nil, problems
	}
	b := &binder{site: s, theme: from, layouts: layouts, assets: assets}
	if from.HasIcon(theme.IconFile) {
		b.icon = theme.IconFile
	}
	b.texts = b.readProse()
	b.nav = b.navigation()
	problems, b.problems = b.problems, nil
	return b, problems
}

// A place is a page that the navigation names: its path below the root.
type place struct{ Path, Text string }

// methodologyName is the prose file around the generated methodology.
const methodologyName = "methodology"

// taken are names that a prose page can't have: other pages and files of the
// site stand there.
var taken = []string{"assets", "compare", "data", "list", "loads", "makers", "schema", "units"}

// proseAddress matches the names that make a plain address.
var proseAddress = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// readProse renders every prose file.
func (b *binder) readProse() map[string]prose {
	texts := map[string]prose{}
	for _, name := range slices.Sorted(maps.Keys(b.site.Prose)) {
		file := b.site.Prose[name]
		if !proseAddress.MatchString(name) || slices.Contains(taken, name) {
			b.problems = append(b.problems, record.Problem{File: file.Name,
				Summary: "this name can't be the address of a page",
				Hint:    "use a-z, 0-9 and single hyphens, and none of " + and(taken)})
			continue
		}
		m := manner{Root: "../", Level: 2, Title: true, Page: name + "/", Back: b.site.now()}
		switch name {
		case methodologyName:
			m.IDs, m.Level = "text-", 3
		case correctionsName:
			m.IDs = "text-"
		}
		text, problems := renderMarkdown(file, m)
		b.problems = append(b.problems, problems...)
		if text.Title == "" && name != methodologyName && name != correctionsName {
			b.problems = append(b.problems, record.Problem{File: file.Name, Summary: "the page has no title",
				Hint: "begin it with a heading of level 1: # About"})
			continue
		}
		texts[name] = text
	}
	return texts
}

// navigation names the pages beside the sheets.
func (b *binder) navigation() []place {
	nav := []place{
		{"", "Sheets"}, {loadsFolder + "/", "By load"}, {makersFolder + "/", "By maker"}, {compareName + "/", "Compare"},
		{methodologyName + "/", "Methodology"}, {correctionsName + "/", "Corrections"},
	}
	for _, name := range b.proseNames() {
		nav = append(nav, place{name + "/", b.texts[name].Title})
	}
	return nav
}

// proseNames are the texts that are a page by themselves, sorted.
func (b *binder) proseNames() []string {
	var names []string
	for _, name := range slices.Sorted(maps.Keys(b.texts)) {
		if name != methodologyName && name != correctionsName {
			names = append(names, name)
		}
	}
	return names
}

// A head is what every page has: its head and its frame.
type head struct {
	Lang        string        // the language of the program's own words: en
	Title       string        // the page's title, with the site's
	Description string        // one sentence or two, for search engines and shown links
	Canonical   string        // empty where the site's address isn't known
	Preview     preview       // what a link to the page shows elsewhere
	Root        string        // the relative way to the site's root: "../../", or ""
	Icon        string        // empty without one
	Touch       string        // the icon of a home screen; empty but on the first page
	Refresh     string        // the page that browsers go on to; empty but at an old address
	Feeds       []feedLink    // that the page leads to; none where the site's address isn't known
	Styles      styleList     // addresses of the styles that this page needs
	Scripts     scriptList    // addresses of the scripts that this page needs
	ECharts     string        // the chart library; empty without one
	Site        string        // the site's title
	Notice      string        // the site's notice to all readers; empty without one
	Home        string        // the address of the front page
	Methodology string        // the methodology page, without a fragment
	late        *late         // nil where nothing of the page is put in late
	Nav         navigation    // the site's pages beside the sheets
	Sheet       string        // the sheet's number; empty on other pages
	Version     string        // the sheet's sealed version; empty where nothing was sealed
	VersionOf   day           // the day on which it was sealed
	Tested      day           // when the unit was tested; no text on other pages
	ProseLang   string        // the language of prose where it isn't the page's
	Embed       string        // the oEmbed response for the page; empty without one
	Frames      string        // the origins of the players that the page may load into frames; empty but where there are videos
	Structured  template.HTML // what the page says for machines, as a data block
}

// pageLanguage is the language of the program's own words.
const pageLanguage = "en"

// head makes the frame of the page in a folder below the root: "", "about/",
// "units/otter/".
//
// Links name index.html: a link to a folder opens no page from a disk. The
// address of a page stays its folder, as its canonical link says.
func (b *binder) head(folder, title, description string) head {
	site := b.site.Content.Site
	root := strings.Repeat("../", strings.Count(folder, "/"))
	h := head{
		Lang: pageLanguage, Title: title, Description: description, Root: root,
		Site: site.Title, Notice: site.Notice,
		Home: root + "index.html", Methodology: root + methodologyName + "/index.html",
	}
	if site.Language != "" && site.Language != pageLanguage {
		h.ProseLang = site.Language
	}
	if site.Address != "" {
		h.Canonical = strings.TrimRight(site.Address, "/") + "/" + folder
	}
	if b.icon != "" {
		h.Icon = root + b.icon
	}
	h.Feeds = b.feedLinks(folder)
	h.Preview = b.previewOf(strings.TrimSuffix(title, " · "+site.Title), "website", "", "Card of the site "+site.Title)
	if folder == "" && b.theme.HasIcon(theme.TouchIcon) {
		h.Touch = theme.TouchIcon
	}
	for _, name := range []string{"style.css", "chart.css"} {
		if path := b.assets[name]; path != "" {
			h.Styles = append(h.Styles, root+path)
		}
	}
	if path := b.assets["embed.css"]; path != "" && strings.Contains(folder, "/"+embedName+"/") {
		h.Styles = append(h.Styles, root+path)
	}
	for _, p := range b.nav {
		h.Nav = append(h.Nav, link{root + p.Path + "index.html", p.Text})
	}
	return h
}

// uses adds a style and a script of the theme that not every page needs.
func (b *binder) uses(h *head, style, script string) {
	if path := b.assets[style]; path != "" {
		h.Styles = append(h.Styles, h.Root+path)
	}
	if path := b.assets[script]; path != "" {
		h.Scripts = append(h.Scripts, h.Root+path)
	}
}

// live adds the scripts that make still charts interactive.
func (b *binder) live(h *head) {
	script := b.assets["chart.js"]
	if script == "" {
		return
	}
	h.Scripts = append(h.Scripts, h.Root+script)
	if library := b.assets["echarts.js"]; library != "" {
		h.ECharts = h.Root + library
	}
}

// render executes a layout. A mistake in a user's template is a problem.
func (b *binder) render(layout, folder string, model any) (Output, record.Problems) {
	desk := desks.Get().(*[]byte)
	defer desks.Put(desk)
	page := bytes.NewBuffer((*desk)[:0])
	if err := b.layouts[layout].ExecuteTemplate(page, "page", model); err != nil {
		return Output{}, record.Problems{b.theme.Problem(layout, err)}
	}
	*desk = page.Bytes()
	var texts *late
	if m, ok := model.(interface{ lates() *late }); ok {
		texts = m.lates()
	}
	return Output{Path: folder + "index.html", Bytes: texts.filled(*desk)}, nil
}

func (h head) lates() *late { return h.late }

// put renders a page that isn't made in parallel.
func (b *binder) put(layout, folder string, model any) Output {
	out, problems := b.render(layout, folder, model)
	b.problems = append(b.problems, problems...)
	return out
}

// A prosePage is a page of content/prose.
type prosePage struct {
	head
	Heading string        // the page's headline
	Body    template.HTML // the text
}

func (b *binder) prosePage(name string) Output {
	text := b.texts[name]
	folder := name + "/"
	page := prosePage{
		head:    b.head(folder, text.Title+" · "+b.site.Content.Site.Title, text.Title+". "+b.site.Content.Site.Title+"."),
		Heading: text.Title, Body: text.Lead + text.Rest,
	}
	return b.put("prose", folder, page)
}
