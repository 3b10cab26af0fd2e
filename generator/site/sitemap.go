package site

import (
	"encoding/xml"
	"fmt"
	"maps"
	"slices"
	"strings"
)

const (
	sitemapName = "sitemap.xml"
	robotsName  = "robots.txt"
)

// The limits of one file of a sitemap, by its protocol (sitemaps.org, "Sitemap index
// files"): 50,000 addresses and 52,428,800 bytes before compression.
const (
	sitemapAddresses = 50_000
	sitemapBytes     = 52_428_800
)

// A sitePage is a page of the site by its address from the root, "" for the first page,
// and when what it says moved last; empty where no date follows from the content.
type sitePage struct{ Path, Updated string }

// pages are all pages of the site, those of units first: what the sitemap has, and what
// addresses are promised of. A kind that makes pages has its row here; a test compares.
func (b *binder) pages(units []*brief) []sitePage {
	var out []sitePage
	newest, corrected := "", ""
	makers, ofMaker := map[string]string{}, map[string]int{} // when they moved last, and how many units
	for _, u := range units {
		folder := strings.TrimSuffix(u.Row.Link.Href, "index.html")
		newest = max(newest, u.Dated.Updated)
		out = append(out, sitePage{folder, u.Dated.Updated}, sitePage{folder + derivationName + "/", u.Dated.Updated})
		for i, at := range u.Dated.Sealed {
			out = append(out, sitePage{fmt.Sprintf("%sv/%d/", folder, i+1), at})
		}
		out = append(out, sitePage{folder + nearName + "/", ""})
		if u.Dated.Captures {
			out = append(out, sitePage{folder + capturesName + "/", u.Dated.Updated})
		}
		makers[u.Maker.Slug] = max(makers[u.Maker.Slug], u.Dated.Updated)
		ofMaker[u.Maker.Slug]++
		for _, c := range u.Corrections {
			corrected = max(corrected, instantOf(c.Date.ISO))
		}
	}
	out = append(out, sitePage{"", newest}, sitePage{correctionsName + "/", corrected}, sitePage{methodologyName + "/", ""})
	out = append(out, sitePage{compareName + "/", ""})
	out = append(append(out, sitePage{loadsFolder + "/", newest}), loadPages(units)...)
	out = append(out, sitePage{makersFolder + "/", newest})
	for _, m := range slices.Sorted(maps.Keys(makers)) {
		for n := 0; n*unitsOfMaker < ofMaker[m]; n++ {
			out = append(out, sitePage{makerAddress(m, n), makers[m]})
		}
	}
	for n := range pagesOf(units) {
		if n > 0 {
			out = append(out, sitePage{olderAddress(n), newest})
		}
	}
	for _, name := range b.proseNames() {
		out = append(out, sitePage{name + "/", ""})
	}
	return out
}

// loadPages are the pages of all loads.
func loadPages(units []*brief) (out []sitePage) {
	var folders []string
	for _, u := range units {
		folders = append(folders, u.loads()...)
	}
	slices.Sort(folders)
	page, rows, moved := oneLoad(slices.Compact(folders)), map[string]int{}, map[string]string{}
	for _, u := range units {
		for _, p := range u.pointRows() {
			at := page[p.Load]
			rows[at] += p.Rows
			moved[at] = max(moved[at], u.Dated.Updated)
		}
	}
	for _, folder := range slices.Sorted(maps.Keys(rows)) {
		for n := 0; n == 0 || n*unitsOnPage < rows[folder]; n++ {
			out = append(out, sitePage{loadAddress(folder, n), moved[folder]})
		}
	}
	return out
}

// A sitemapURL is one address of a sitemap, or one file of an index.
type sitemapURL struct {
	Loc     string `xml:"loc"`
	LastMod string `xml:"lastmod,omitempty"`
}

const sitemapSpace = "http://www.sitemaps.org/schemas/sitemap/0.9"

// sitemap makes the sitemap, with an index where one file can't have all, and robots.txt,
// which names it. Both need the site's address.
func (b *binder) sitemap(units []*brief) []Output {
	if b.base() == "" {
		return nil
	}
	robots := "User-agent: *\nAllow: /\n\nSitemap: " + b.base() + sitemapName + "\n"
	outputs := []Output{{Path: robotsName, Bytes: []byte(robots)}}
	files := sitemapFiles(b.base(), b.pages(units), sitemapAddresses, sitemapBytes)
	if len(files) == 1 {
		return append(outputs, Output{Path: sitemapName, Bytes: files[0].text("urlset", "url")})
	}
	var index sitemapFile
	for i, f := range files {
		name := fmt.Sprintf("sitemap-%d.xml", i+1)
		outputs = append(outputs, Output{Path: name, Bytes: f.text("urlset", "url")})
		index = append(index, sitemapURL{b.base() + name, f.newest()})
	}
	return append(outputs, Output{Path: sitemapName, Bytes: index.text("sitemapindex", "sitemap")})
}

// A sitemapFile is what one file of a sitemap lists.
type sitemapFile []sitemapURL

// sitemapFiles shares pages out among as few files as the limits allow; at least one.
func sitemapFiles(base string, pages []sitePage, addresses, bytes int) []sitemapFile {
	const around = 200 // declaration and root
	files := []sitemapFile{nil}
	size := around
	for _, p := range pages {
		u := sitemapURL{base + p.Path, p.Updated}
		more := len(sitemapFile{u}.text("urlset", "url"))
		last := &files[len(files)-1]
		if len(*last) == addresses || size+more > bytes && len(*last) > 0 {
			files, size = append(files, nil), around
			last = &files[len(files)-1]
		}
		*last, size = append(*last, u), size+more
	}
	return files
}

// newest is when anything in the file moved last.
func (f sitemapFile) newest() string {
	at := ""
	for _, u := range f {
		at = max(at, u.LastMod)
	}
	return at
}

// text writes the file.
func (f sitemapFile) text(root, each string) []byte {
	var b strings.Builder
	b.WriteString(xml.Header + "<" + root + ` xmlns="` + sitemapSpace + `">` + "\n")
	for _, u := range f {
		b.WriteString("<" + each + "><loc>")
		_ = xml.EscapeText(&b, []byte(u.Loc)) // a builder takes all
		b.WriteString("</loc>")
		if u.LastMod != "" {
			b.WriteString("<lastmod>" + u.LastMod + "</lastmod>")
		}
		b.WriteString("</" + each + ">\n")
	}
	b.WriteString("</" + root + ">\n")
	return []byte(b.String())
}
