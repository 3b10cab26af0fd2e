package site

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

// A theme is where a site's look comes from.
type theme struct {
	files fs.FS
	// bundle gives the chart script and its licences, or an error that says
	// what to run.
	bundle func() (script, licences []byte, err error)
	// own is the site's own part of the files, in the folder named; nil for the built-in
	// theme.
	own    fs.FS
	folder string // from the root, with slashes
}

// themesFolder is where a site's own themes are, beside content.
const themesFolder = "themes"

// defaultTheme is the theme that the program carries.
func defaultTheme() theme {
	return theme{files: themes.Default(), bundle: themes.Bundle}
}

// of gives the theme of a site: this one, with the files of the folder in their places
// that the site names. The problems are that there is no such folder, or what in it has no
// use.
func (t theme) of(root string, site *record.Site) (theme, record.Problems) {
	if site == nil || site.Theme == "" {
		return t, nil
	}
	t.folder = path.Join(themesFolder, site.Theme)
	own, err := os.OpenRoot(filepath.Join(root, t.folder))
	if err != nil {
		return t, record.Problems{site.Key("theme").Problem("the folder "+t.folder+" can't be read: "+disk.Cause(err).Error(),
			"make it beside content, with files of your own such as style.css or pages/unit.html; or leave theme out")}
	}
	known := t.names()
	t.own = own.FS()
	t.files = themes.Over(t.own, t.files)
	return t, append(t.unused(known), t.unseen(known)...)
}

// place names a file of the theme for people: from the root, where it is the site's own.
func (t theme) place(name string) string {
	if t.own != nil {
		if _, err := fs.Stat(t.own, name); err == nil {
			return path.Join(t.folder, name)
		}
	}
	return name
}

// names lists the theme's files, sorted.
func (t theme) names() []string {
	if t.files == nil {
		return nil
	}
	var all []string
	for _, pattern := range []string{"pages/*.html", "*.css", "script/*.js", iconsFolder + "/*", iconFile} {
		names, _ := fs.Glob(t.files, pattern) // the patterns are right
		all = append(all, names...)
	}
	slices.Sort(all)
	return all
}

// inTemplate matches what html/template says of a mistake: the template, the line, and
// perhaps the column.
var inTemplate = regexp.MustCompile(`^(?:html/)?template: ?([a-z]+\.html):(\d+)(?::(\d+))?: (?s:(.*))$`)

// problem says what is wrong with a template of the theme: its file and line, and what it
// asks for that isn't there.
func (t theme) problem(layout string, err error) record.Problem {
	p := record.Problem{
		File: t.place("pages/" + layout + ".html"), Summary: err.Error(),
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
	p.File, p.Summary, p.Hint = t.place("pages/"+m[1]), m[4], "compare it with the built-in template "+m[1]
	text, err := fs.ReadFile(t.files, "pages/"+m[1])
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
func (t theme) withoutMain(layout string) record.Problem {
	f := &record.File{Name: t.place("pages/" + layout + ".html")}
	f.Text, _ = fs.ReadFile(t.files, "pages/"+layout+".html") // it was read before
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
