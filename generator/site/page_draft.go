package site

import (
	"bytes"
	"html/template"
	"strconv"
	"sync"
)

// desks are room for pages and tables being written, used again: their size isn't known before.
var desks = sync.Pool{New: func() any { return new([]byte) }}

// A draft is markup being written: by appending, as a page has thousands of pieces.
type draft []byte

// drafted is the markup that a function writes.
func drafted(write func(*draft)) template.HTML {
	desk := desks.Get().(*[]byte)
	d := draft((*desk)[:0])
	write(&d)
	out := template.HTML(d)
	*desk = d
	desks.Put(desk)
	return out
}

// raw adds markup as it is.
func (d *draft) raw(markup string) *draft {
	*d = append(*d, markup...)
	return d
}

func (d *draft) number(n int) *draft {
	*d = strconv.AppendInt(*d, int64(n), 10)
	return d
}

// text adds a text, made safe as [escape] makes it.
func (d *draft) text(s string) *draft { return d.escaped(s, &escapes) }

// words adds a text as a template does, which escapes the plus too.
func (d *draft) words(s string) *draft { return d.escaped(s, &templateEscapes) }

func (d *draft) escaped(s string, escapes *[256]string) *draft {
	from := 0
	for i := range len(s) {
		if escaped := escapes[s[i]]; escaped != "" {
			*d = append(append(*d, s[from:i]...), escaped...)
			from = i + 1
		}
	}
	*d = append(*d, s[from:]...)
	return d
}

// escapes are what stands for a byte in content and in quoted attributes, where that
// isn't the byte itself.
var escapes = func() (escapes [256]string) {
	for c := range escapes {
		if s := escape(string(rune(c))); c < 0x80 && s != string(rune(c)) {
			escapes[c] = s
		}
	}
	return escapes
}()

// templateEscapes are those of a template.
var templateEscapes = func() [256]string {
	escapes := escapes
	escapes['+'] = "&#43;"
	return escapes
}()

// attribute adds an attribute with a blank before it; nothing where the value is empty.
func (d *draft) attribute(name, value string) *draft {
	if value == "" {
		return d
	}
	return d.raw(" ").raw(name).raw(`="`).text(value).raw(`"`)
}

// anchor adds a text as a link, as a template does; without an address it stays as it is.
func (d *draft) anchor(href, text string) *draft {
	if href == "" {
		return d.words(text)
	}
	return d.raw(`<a href="`).words(href).raw(`">`).words(text).raw("</a>")
}

// link adds a text as a link; without an address it stays as it is.
func (d *draft) link(href, text string) *draft {
	if href == "" || text == "" {
		return d.text(text)
	}
	return d.raw(`<a href="`).text(href).raw(`">`).text(text).raw("</a>")
}

// block adds JSON that is safe within a script element: no < can end it there.
func (d *draft) block(json []byte) *draft {
	for {
		before, after, more := bytes.Cut(json, []byte("<"))
		*d = append(*d, before...)
		if !more {
			return d
		}
		d.raw(`\u003c`)
		json = after
	}
}
