package site

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/theme"
)

// The files by which static hosts that know them set headers and redirects. Servers that
// don't know them show them as text, which does no harm.
const (
	headersName   = "_headers"
	redirectsName = "_redirects"
)

// Limits of these files, by the documentation of the hosts that read them: lines are
// counted in bytes.
const (
	headerRules     = 100
	headerLine      = 2000
	redirectStatics = 2000
	redirectSplats  = 100
)

// pagePolicy is the policy that every page carries itself (layout.html), for hosts without
// headers. What a page can't say of itself is who may show it in a frame.
const pagePolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'"

// hosting makes the files for hosts, and a page at each address that a page once had. Its
// problems are old addresses that lead nowhere, and promised ones that would be gone.
func (b *binder) hosting(units []*brief) []Output {
	pages := b.pages(units)
	moves := b.moves(pages)
	outputs := []Output{{Path: headersName, Bytes: []byte(b.headers(framesOf(units)))}}
	if text := b.redirects(moves); text != "" {
		outputs = append(outputs, Output{Path: redirectsName, Bytes: []byte(text)})
	}
	for _, m := range moves {
		outputs = append(outputs, b.movedPage(m))
	}
	b.promises(pages, moves)
	return outputs
}

// headers are rules that match paths; of a host all that match apply, and a header that
// two rules set is joined, unless the later one takes it off first with "!".
func (b *binder) headers(frames string) string {
	root := b.basePath()
	var h strings.Builder
	rule := func(path string, lines ...string) {
		h.WriteString(root + path + "\n")
		for _, line := range lines {
			h.WriteString("  " + line + "\n")
		}
	}
	all := []string{
		"Content-Security-Policy: " + pagePolicy + "; frame-ancestors 'none'",
		"X-Content-Type-Options: nosniff",
		// Players in frames ask where they are; no-referrer would stop them.
		"Referrer-Policy: strict-origin-when-cross-origin",
		"Permissions-Policy: camera=(), geolocation=(), microphone=(), payment=(), usb=()",
		"Cache-Control: no-cache",
	}
	if strings.HasPrefix(b.base(), "https://") && root == "/" { // it binds the whole host (RFC 6797, 2.2), also what others have there
		all = append(all, "Strict-Transport-Security: max-age=31536000")
	}
	rule("*", all...)
	// Their names carry their digests; one of a licence text doesn't.
	const forGood = "Cache-Control: public, max-age=31536000, immutable"
	rule(theme.AssetsFolder+"/*.css", "! Cache-Control", forGood)
	rule(theme.AssetsFolder+"/*.js", "! Cache-Control", forGood)
	// Pages that are made to be shown in other sites' frames.
	rule(unitsFolder+"/:unit/embed/*", "! Content-Security-Policy", "Content-Security-Policy: "+pagePolicy+"; frame-ancestors *")
	if frames != "" {
		// What each page may frame it says itself, and both policies hold.
		for _, path := range []string{"", "index.html"} {
			rule(unitsFolder+"/:unit/"+path, "! Content-Security-Policy", "Content-Security-Policy: "+pagePolicy+"; frame-src "+frames+"; frame-ancestors 'none'")
		}
	}
	// Data that programs of other sites may read.
	const anybody = "Access-Control-Allow-Origin: *"
	for _, path := range []string{"data/*", "schema/*", unitsFolder + "/:unit/sheet.json", unitsFolder + "/:unit/runs.csv"} {
		rule(path, anybody)
	}
	if b.base() != "" {
		rule(feedAtom, anybody)
		rule(feedJSON, anybody)
	}
	return h.String()
}

// framesOf are the origins of all players that units' pages may frame: every one with
// https where they don't fit into a line.
func framesOf(units []*brief) string {
	var origins []string
	for _, u := range units {
		origins = append(origins, u.Frames...)
	}
	slices.Sort(origins)
	const others = 500 // characters of the line beside them
	if all := strings.Join(slices.Compact(origins), " "); len(all) <= headerLine-others {
		return all
	}
	return "https:"
}

// A move is a page that has another address now: both as folders from the root.
type move struct{ from, to string }

// moves are the pages that stand at old addresses: that of each [[moved]], and those of
// the pages below it.
func (b *binder) moves(pages []sitePage) []move {
	here := map[string]bool{}
	for _, p := range pages {
		here[p.Path] = true
	}
	var out []move
	site := b.site.Content.Site
	made := map[string]bool{}
	for i := range site.Moved {
		m := &site.Moved[i]
		from, to := m.From[1:], m.To[1:]
		switch {
		case here[from]:
			b.problems = append(b.problems, m.Key("from").Problem("there is a page at "+m.From+", so nothing can lead away from there",
				"from is the address that the page had before, to the one that it has now"))
			continue
		case !here[to]:
			b.problems = append(b.problems, m.Key("to").Problem("there is no page at "+m.To,
				"name a page of the site as it is now, with its slashes; one that is held isn't there"))
			continue
		}
		for _, p := range pages {
			rest, below := strings.CutPrefix(p.Path, to)
			if below && !here[from+rest] && !made[from+rest] {
				made[from+rest] = true
				out = append(out, move{from + rest, p.Path})
			}
		}
	}
	return out
}

// redirects has a line for each old address, and one for whatever else lies below it, such
// as data. The first that matches counts.
func (b *binder) redirects(moves []move) string {
	root := b.basePath()
	var h strings.Builder
	for i, m := range moves {
		if i < redirectStatics {
			fmt.Fprintf(&h, "%s%s %s%s 301\n", root, m.from, root, m.to)
		}
	}
	for i, m := range b.site.Content.Site.Moved {
		if i < redirectSplats {
			fmt.Fprintf(&h, "%s%s* %s%s:splat 301\n", root, m.From[1:], root, m.To[1:])
		}
	}
	if n := len(moves); n > redirectStatics {
		b.problems = append(b.problems, record.Problem{Severity: record.Warning, File: contentFolder + "/" + siteFile,
			Summary: fmt.Sprintf("%s has lines for %d old addresses, and there are %d", redirectsName, redirectStatics, n),
			Hint:    "hosts read no more; at the others a page leads on, as at all of them"})
	}
	return h.String()
}

// A movedPage stands at an old address, and leads to the new one.
type movedPage struct {
	head
	From string // the old address: /units/old/
	To   string // the new one
}

func (b *binder) movedPage(m move) Output {
	site := b.site.Content.Site
	page := movedPage{head: b.head(m.from, "Moved: /"+m.from+" · "+site.Title, "This page of "+site.Title+" has another address now."), From: "/" + m.from}
	page.To = page.Root + m.to + "index.html"
	page.Refresh, page.Feeds = page.To, nil
	b.uses(&page.head, "", "moved.js") // what leads on by itself knows no place in the page
	if b.base() != "" {
		page.Canonical = b.base() + m.to
	}
	return b.put("moved", m.from, page)
}

// kindOfPath is [kindOfPath] with the pages at old addresses, which have no look of their
// own.
func (f *frame) kindOfPath(name string) (slug string, k kind) {
	if f != nil && f.content.Site != nil && strings.HasSuffix(name, "/index.html") {
		for i := range f.content.Site.Moved {
			if m := &f.content.Site.Moved[i]; m.From != "" && strings.HasPrefix("/"+name, m.From) {
				return "", kindHosting
			}
		}
	}
	return kindOfPath(name)
}
