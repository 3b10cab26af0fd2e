package preview

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"html"
	"regexp"
)

// Pages of the site are written by its templates, so these patterns find what they look for: text in them that looks
// like a tag is escaped.
var (
	styleLink = regexp.MustCompile(`<link\b[^>]*\brel="stylesheet"[^>]*>`)
	linkHref  = regexp.MustCompile(`\bhref="([^"]*)"`)
	// A stylesheet's name carries a digest of its bytes: style.0a1b2c3d.css.
	styleHash = regexp.MustCompile(`\.[0-9a-f]{8}\.css$`)
)

// marksOf gives by what a page is told from another: the digest of its bytes, its look, which is the same digest taken
// with the digests in the names of stylesheets left out, and those names as the page writes them.
func marksOf(page []byte) (digest, look string, styles []string) {
	digest = short(page)
	blank := styleLink.ReplaceAllFunc(page, func(link []byte) []byte {
		m := linkHref.FindSubmatchIndex(link)
		if m == nil {
			return link
		}
		href := link[m[2]:m[3]]
		styles = append(styles, html.UnescapeString(string(href)))
		return bytes.Replace(link, href, styleHash.ReplaceAll(href, []byte("..css")), 1)
	})
	return digest, short(blank), styles
}

// short is a digest that tells two pages apart.
func short(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:12])
}
