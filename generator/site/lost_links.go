package site

import (
	"bytes"
	"html"
	"maps"
	"net/url"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"wattsheet/generator/record"
	"wattsheet/generator/theme"
)

// An ownLink is a link of notes or prose to a page of the site itself, or to a place in one.
type ownLink struct {
	way   string         // from the site's root, as a link has it
	place string         // the id of an element there; empty for the page
	at    record.Problem // its place, as a warning without words
}

// elsewhere is how a destination begins that leads elsewhere, or to a figure.
var elsewhere = regexp.MustCompile(`^(?i:value:|https?:|mailto:)`)

// mayLead reports whether a text may have a link within the site. Most notes have none, and
// aren't parsed for links.
func mayLead(source []byte) bool {
	for {
		i := bytes.IndexByte(source, ']')
		if i < 0 || i+2 > len(source) {
			return false
		}
		source = source[i+1:]
		if (source[0] == '(' || source[0] == ':') && !elsewhere.Match(bytes.TrimLeft(source[1:], " \t\r\n<")) {
			return true
		}
	}
}

// ownLinks are the links of a text, which stands on the page of a folder, within the site.
func ownLinks(file *record.File, page string) (out []ownLink) {
	source := bytes.TrimPrefix(file.Text, []byte("\xef\xbb\xbf"))
	if !mayLead(source) {
		return nil
	}
	r := reader{file: file, source: source}
	_ = ast.Walk(markdown.Parser().Parse(text.NewReader(source)), func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		link, ok := n.(*ast.Link)
		if !ok || !entering {
			return ast.WalkContinue, nil
		}
		to := string(util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(link.Destination))))
		if way, place, ok := wayOf(page, to); ok {
			out = append(out, ownLink{way, place, file.Problem(record.Warning, n.Pos(), r.extent(n.Pos(), ')'), "", "")})
		}
		return ast.WalkContinue, nil
	})
	return out
}

// wayOf is where a link on a page leads, from the site's root, and to which place there; not
// for other sites.
func wayOf(page, to string) (way, place string, ok bool) {
	to, place, _ = strings.Cut(strings.TrimSpace(to), "#")
	to, _, _ = strings.Cut(to, "?")
	if scheme.MatchString(to) || strings.HasPrefix(strings.ReplaceAll(to, `\`, "/"), "//") || to+place == "" {
		return "", "", false
	}
	if id, err := url.PathUnescape(place); err == nil {
		place = id
	}
	if to == "" {
		return page, place, true
	}
	folder := strings.HasSuffix(to, "/")
	if !strings.HasPrefix(to, "/") {
		to = page + to
	}
	way = strings.TrimPrefix(path.Clean("/"+to), "/")
	if folder && way != "" {
		way += "/"
	}
	return way, place, true
}

// lostLinks warns of links in notes and prose that lead nowhere: to a unit that was renamed,
// to a run that the page doesn't have, or after a slip of the pen. read gives a page by its
// path; nil for what can't be read, whose places are not looked at. The content has no
// mistakes, and all units are known.
func (d *Draft) lostLinks(read func(name string) []byte) (problems record.Problems) {
	links := []ownLink{}
	for name, file := range d.frame.binder.site.Prose {
		links = append(links, ownLinks(file, name+"/")...)
	}
	for _, slug := range d.slugs {
		links = append(links, d.units[slug].links...)
	}
	if len(links) == 0 {
		return nil
	}
	known := d.pagesKnown()
	pages := map[string][]byte{} // that were read
	for _, l := range links {
		warn := func(summary, hint string) {
			l.at.Summary, l.at.Hint = summary, hint
			problems = append(problems, l.at)
		}
		page, has := known.has(l.way)
		switch {
		case !has:
			hint := "write it from the site's root, as in /units/NAME/ or /methodology/"
			if near := known.nearest(l.way); near != "" {
				hint = "did you mean " + record.Quote("/"+near) + "?"
			}
			warn("this is a link to /"+l.way+", and the site has no such page", hint)
		case page == "" || l.place == "" || l.place == "top" || strings.ContainsAny(l.place, "=~"): // = and ~: scripts' and browsers'
		default:
			text, was := pages[page]
			if !was {
				text = read(page)
				pages[page] = text
			}
			if text != nil && !bytes.Contains(text, []byte(` id="`+html.EscapeString(l.place)+`"`)) {
				warn("this is a link to #"+l.place+" of /"+strings.TrimSuffix(page, "index.html")+", and the page has no such place",
					"runs are at #run-ID and claims at #claim-…: open the page and take the address from there")
			}
		}
	}
	return problems
}

// The pagesKnown are what texts may link to.
type pagesKnown struct {
	pages map[string]bool // by folder; empty for the first page
	units map[string]bool // also those that are held
	shown map[string]bool
	moved []record.Moved
}

func (d *Draft) pagesKnown() *pagesKnown {
	k := &pagesKnown{pages: map[string]bool{}, units: map[string]bool{}, shown: map[string]bool{}, moved: d.frame.content.Site.Moved}
	briefs, units := d.briefs()
	for _, p := range d.frame.binder.pages(briefs) {
		k.pages[p.Path] = true
	}
	for _, u := range units {
		k.shown[u.slug] = true
	}
	for _, slug := range d.slugs {
		k.units[slug] = true
	}
	return k
}

// nearest is the page that a slip of the finger would make of a way to none, or "". Of a page
// below a unit's it is the unit's that is meant.
func (k *pagesKnown) nearest(way string) string {
	way = strings.TrimSuffix(strings.TrimSuffix(way, "index.html"), "/")
	if slug, below := strings.CutPrefix(way, unitsFolder+"/"); below {
		slug, _, further := strings.Cut(slug, "/")
		if further && k.shown[slug] {
			return "" // the unit is there
		}
		if near := record.Nearest(slug, slices.Sorted(maps.Keys(k.shown))); near != "" {
			return unitsFolder + "/" + near + "/"
		}
		return ""
	}
	var others []string
	for folder := range k.pages {
		if folder != "" && !strings.HasPrefix(folder, unitsFolder+"/") {
			others = append(others, strings.TrimSuffix(folder, "/"))
		}
	}
	slices.Sort(others)
	if near := record.Nearest(way, append(others, slices.Sorted(maps.Keys(k.shown))...)); k.shown[near] {
		return unitsFolder + "/" + near + "/"
	} else if near != "" {
		return near + "/"
	}
	return ""
}

// has reports whether there is something at a way, and the path of the page if it is one
// whose places are known.
func (k *pagesKnown) has(way string) (page string, ok bool) {
	for _, m := range k.moved {
		if strings.HasPrefix("/"+way, m.From) {
			return "", true
		}
	}
	if folder := strings.TrimSuffix(way, "index.html"); k.pages[folder] {
		return folder + "index.html", true
	}
	first, rest, below := strings.Cut(way, "/")
	switch {
	case first == unitsFolder && below:
		slug, rest, below := strings.Cut(rest, "/")
		if k.shown[slug] {
			return "", below && fileOfUnit(rest)
		}
		return "", below && k.units[slug]
	case slices.Contains([]string{theme.AssetsFolder, dataFolder, schemaFolder}, first):
		return "", true
	}
	return "", slices.Contains(rootFiles, way)
}

// rootFiles are files beside pages that a text may link to.
var rootFiles = []string{feedAtom, feedJSON, sitemapName, robotsName, cardName, correctionsName + "/" + feedAtom, correctionsName + "/" + feedJSON}

// fileOfUnit reports whether a unit's folder may have this, beside its pages.
func fileOfUnit(rest string) bool {
	first, last, below := strings.Cut(rest, "/")
	if !below {
		return slices.Contains([]string{"sheet.json", "runs.csv", "badge.svg", cardName, ledgerFile}, first)
	}
	if last == "" || path.Base(last) == "index.html" || strings.HasSuffix(last, "/") {
		return first == embedName
	}
	return slices.Contains([]string{"v", embedName, "badge", picturesFolder, capturesName}, first)
}
