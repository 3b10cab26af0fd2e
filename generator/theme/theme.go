// Package theme is where a site's look comes from: the files of the built-in theme, those of the site's own over them,
// and what is wrong in those, in words that their author can mend it by.
package theme

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"

	"wattsheet/generator/disk"
	"wattsheet/generator/record"
	"wattsheet/themes"
)

// A Theme is where a site's look comes from.
type Theme struct {
	Files fs.FS
	// Bundle gives the chart script and its licences, or an error that says
	// what to run.
	Bundle func() (script, licences []byte, err error)
	// Folder is where the site's own files are, from the root, with slashes; empty for the built-in theme.
	Folder string
	own    fs.FS // what is in it; nil for the built-in theme
}

// TopFolder is where a site's own themes are, beside content.
const TopFolder = "themes"

// Default is the theme that the program carries.
func Default() Theme {
	return Theme{Files: themes.Default(), Bundle: themes.Bundle}
}

// Of gives the theme of a site: this one, with the files of the folder in their places
// that the site names. The problems are that there is no such folder, or what in it has no
// use.
func (t Theme) Of(root string, site *record.Site) (Theme, record.Problems) {
	if site == nil || site.Theme == "" {
		return t, nil
	}
	t.Folder = path.Join(TopFolder, site.Theme)
	own, err := os.OpenRoot(filepath.Join(root, t.Folder))
	if err != nil {
		return t, record.Problems{site.Key("theme").Problem("the folder "+t.Folder+" can't be read: "+disk.Cause(err).Error(),
			"make it beside content, with files of your own such as style.css or pages/unit.html; or leave theme out")}
	}
	return t.With(own.FS())
}

// With puts a site's own files over the theme's. The problems are what in them has no use.
func (t Theme) With(own fs.FS) (Theme, record.Problems) {
	known := t.Names()
	t.own, t.Files = own, themes.Over(own, t.Files)
	return t, append(t.unused(known), t.unseen(known)...)
}

// Place names a file of the theme for people: from the root, where it is the site's own.
func (t Theme) Place(name string) string {
	if t.own != nil {
		if _, err := fs.Stat(t.own, name); err == nil {
			return path.Join(t.Folder, name)
		}
	}
	return name
}

// Names lists the theme's files, sorted.
func (t Theme) Names() []string {
	if t.Files == nil {
		return nil
	}
	var all []string
	for _, pattern := range []string{"pages/*.html", "*.css", "script/*.js", iconsFolder + "/*", IconFile} {
		names, _ := fs.Glob(t.Files, pattern) // the patterns are right
		all = append(all, names...)
	}
	slices.Sort(all)
	return all
}

// inTemplate matches what html/template says of a mistake: the template, the line, and
// perhaps the column.
var inTemplate = regexp.MustCompile(`^(?:html/)?template: ?([a-z]+\.html):(\d+)(?::(\d+))?: (?s:(.*))$`)

// Problem says what is wrong with a template of the theme: its file and line, and what it
// asks for that isn't there.
func (t Theme) Problem(layout string, err error) record.Problem {
	p := record.Problem{
		File: t.Place("pages/" + layout + ".html"), Summary: err.Error(),
		Hint: fmt.Sprintf("compare it with the built-in template %s.html", layout),
	}
	m := inTemplate.FindStringSubmatch(err.Error())
	if m == nil {
		if m := inContext.FindStringSubmatch(err.Error()); m != nil {
			p.Summary = fmt.Sprintf("the page isn't whole HTML where %q is done: %s", m[1], m[2])
			p.Hint = "each branch of an {{if}} has to leave tags and quotes open or closed as the other does; " + p.Hint
		}
		return p
	}
	if m[4] == `no such template "main"` {
		return t.withoutMain(layout)
	}
	p.File, p.Summary, p.Hint = t.Place("pages/"+m[1]), m[4], "compare it with the built-in template "+m[1]
	text, err := fs.ReadFile(t.Files, "pages/"+m[1])
	if err != nil {
		return p
	}
	line, _ := strconv.Atoi(m[2])
	column, err := strconv.Atoi(m[3]) // in bytes, from 0
	at, length := inLine(text, line, column, err == nil)
	f := &record.File{Name: p.File, Text: text}
	at, length, p.Summary, p.Hint = t.mended(m[1], text, at, length, p.Summary)
	return f.Problem(record.Error, at, length, p.Summary, p.Hint)
}

// withoutMain is the problem that a layout has no part of its own: the template that asks each layout for it is told of
// by the library, not the one that lacks it.
func (t Theme) withoutMain(layout string) record.Problem {
	f := &record.File{Name: t.Place("pages/" + layout + ".html")}
	f.Text, _ = fs.ReadFile(t.Files, "pages/"+layout+".html") // it was read before
	_, length := inLine(f.Text, 1, 0, false)
	return f.Problem(record.Error, 0, length, `this template defines no "main"`,
		`put {{define "main"}} before what the page shows and {{end}} behind it, as the built-in template `+layout+".html does")
}

// inLine finds what is wrong in a line of a template: from a column to the end of the action that is there, or, where
// only the line is known, all of it.
func inLine(text []byte, line, column int, known bool) (at, length int) {
	for range line - 1 {
		next := bytes.IndexByte(text[at:], '\n')
		if next < 0 {
			break
		}
		at += next + 1
	}
	rest, _, _ := bytes.Cut(text[at:], []byte("\n"))
	if known && column < len(rest) {
		at, rest = at+column, rest[column:]
		rest, _, _ = bytes.Cut(rest, []byte("}}"))
	}
	return at, len(bytes.TrimRight(rest, " \t\r-"))
}
