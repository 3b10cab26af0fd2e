package site

import (
	"net/url"

	"wattsheet/generator/theme"
)

// missingName is the page that hosts show for an address which isn't there.
const missingName = "404.html"

// webManifest is the file that says what the site is called on a home screen.
const webManifest = "manifest.webmanifest"

// A missingPage stands at any address that isn't there, however deep, so its links are
// whole paths. It doesn't work from a disk, where nobody gets to see it.
type missingPage struct {
	head
	Tester      string // who tests and publishes
	Corrections string // the address of the page that says how to report an error
}

// basePath is the path of the site's address: "/", or "/amps/"; "/" where the address
// isn't known.
func (b *binder) basePath() string {
	if u, err := url.Parse(b.base()); err == nil && u.Path != "" {
		return u.EscapedPath()
	}
	return "/"
}

// around makes the page for what isn't there, and the web manifest.
func (b *binder) around() []Output {
	site := b.site.Content.Site
	page := missingPage{head: b.head("", "No such page · "+site.Title, "This address of "+site.Title+" has no page."), Tester: site.Tester}
	page.Canonical, page.Feeds = "", nil
	root := b.basePath()
	for _, at := range []*string{&page.Icon, &page.Home, &page.Methodology} {
		if *at != "" {
			*at = root + *at
		}
	}
	page.Root, page.Touch = root, ""
	page.Corrections = root + correctionsName + "/index.html"
	for i := range page.Styles {
		page.Styles[i] = root + page.Styles[i]
	}
	for i := range page.Nav {
		page.Nav[i].Href = root + page.Nav[i].Href
	}
	out := b.put("missing", "", page)
	if out.Path != "" {
		out.Path = missingName
	}
	return []Output{out, {Path: webManifest, Bytes: b.manifest()}}
}

// A webApp is a web application manifest (W3C): how the site looks on a home screen. It
// stays a page in the browser.
type webApp struct {
	Name       string    `json:"name"`
	ShortName  string    `json:"short_name"`
	ID         string    `json:"id,omitempty"`
	StartURL   string    `json:"start_url"`
	Scope      string    `json:"scope"`
	Lang       string    `json:"lang"`
	Display    string    `json:"display"`
	Background string    `json:"background_color"`
	Theme      string    `json:"theme_color"`
	Icons      []appIcon `json:"icons"`
}

type appIcon struct {
	Src     string `json:"src"`
	Sizes   string `json:"sizes"`
	Type    string `json:"type"`
	Purpose string `json:"purpose"`
}

func (b *binder) manifest() []byte {
	site := b.site.Content.Site
	app := webApp{
		Name: site.Title, ShortName: site.Title, StartURL: "./", Scope: "./", Lang: pageLanguage, Display: "browser",
		Background: "#fbfaf7", Theme: "#fbfaf7", Icons: []appIcon{},
	}
	if b.base() != "" {
		app.ID = b.basePath()
	}
	if b.icon != "" {
		app.Icons = append(app.Icons, appIcon{b.icon, "any", "image/svg+xml", "any"})
	}
	for _, one := range []appIcon{
		{"icon-192.png", "192x192", "image/png", "any"}, {theme.BigIcon, "512x512", "image/png", "any"},
		{"icon-maskable-512.png", "512x512", "image/png", "maskable"},
	} {
		if b.theme.HasIcon(one.Src) {
			app.Icons = append(app.Icons, one)
		}
	}
	return jsonFile(app)
}
