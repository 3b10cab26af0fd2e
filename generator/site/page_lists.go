package site

import "html/template"

// An action of a template costs about a microsecond, and more where it escapes an address.
// The lists below are on many pages, or long, so each can write itself in one; a theme may
// range over its members too.

// A styleList is the addresses of styles.
type styleList []string

// Links is what loads them, as markup for the head of a page.
func (l styleList) Links() template.HTML {
	return drafted(func(d *draft) {
		for _, href := range l {
			d.raw(`<link rel="stylesheet" href="`).words(href).raw("\">\n")
		}
	})
}

// A scriptList is the addresses of scripts.
type scriptList []string

// Elements is what runs them, as markup for the head of a page.
func (l scriptList) Elements() template.HTML {
	return drafted(func(d *draft) {
		for _, src := range l {
			d.raw(`<script defer blocking="render" src="`).words(src).raw("\"></script>\n")
		}
	})
}

// A navigation is links to the site's pages.
type navigation []link

// Items is the list's items, as markup.
func (l navigation) Items() template.HTML {
	return drafted(func(d *draft) {
		for _, to := range l {
			d.raw(`<li><a href="`).words(to.Href).raw(`">`).words(to.Text).raw("</a></li>\n")
		}
	})
}

// A derivationList is derivations one after the other.
type derivationList []derivation

// Folded is all of them, each folded below its title, as markup.
func (l derivationList) Folded() template.HTML {
	return drafted(func(d *draft) {
		for i := range l {
			one := &l[i]
			d.raw("<details class=\"derivation\">\n<summary><span class=\"derivation-title\">").words(one.Title)
			d.raw(`</span> <span class="soft">`).words(one.Note).raw("</span></summary>\n")
			if one.Seen != "" {
				d.raw(`<p class="seen">`).raw(string(one.Seen)).raw("</p>\n")
			}
			d.raw(string(one.Body)).raw("</details>\n")
		}
	})
}

// An embedList is what the page of a sheet offers of embeds.
type embedList []embedRow

// Items is the list's items, as markup.
func (l embedList) Items() template.HTML {
	return drafted(func(d *draft) {
		for i := range l {
			d.raw(`<li><a href="`).words(l[i].Href).raw(`">`).words(l[i].Text).raw("</a><pre><code>").words(l[i].Code).raw("</code></pre></li>\n")
		}
	})
}
