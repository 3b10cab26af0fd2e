package main

import (
	"bytes"
	"cmp"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/template"

	"wattsheet/generator/record"
)

func startCommand() *command {
	c := &command{
		name: "start", does: "write the first files of a site, a unit or a theme", takes: `site|unit|theme [NAME] [--root DIR]
       site: [--title T] [--tester T] [--currency C] [--volts V] [--amps A]
             [--meters M] [--loads OHMS] [--watts W]
       unit: [--maker T] [--model T] [--folder NAME] [--channels C] [--kind T]
             [--class C] [--supply S] [--fuses A] [--lowest OHMS] [--price P]
             [--how H] [--from T] [--claims C]
       theme: NAME [--take FILE…]`,
		about: `Asks what a new site or a new unit needs, and writes files that pass check, with
comments that say what each line is for and what else there can be. What is
given as a flag isn't asked for. Enter alone takes the answer in brackets. Where
a pipe ends, the rest is taken as if Enter had been pressed, so both also run
without anybody at the keyboard; at a terminal, the end of the input leaves, and
nothing is written.

start site writes content: site.toml, bench.toml with instruments and loads to
replace by your own, methods.toml and two texts. start unit writes
content/units/NAME with record.toml and notes.md. start theme asks nothing: it
writes themes/NAME with copies of the default theme's files that --take names,
to be changed, and contract.md, which lists all files and what templates get.
Nothing is ever overwritten, and all of it is written or nothing.

A claim is given as the maker prints it: load, watts a channel, supply volts,
distortion, as in "4 ohm 100 W 14.4 V 1 %". What the maker doesn't say is left
out. "4 ohm 300 W bridged" is a figure for bridged channels, "2 x 100 W 4 ohm"
one for two channels at once, where the unit has more. Watts are a channel's: a
figure for all together is divided first. A semicolon stands between two claims.

A decimal comma is taken where it can be nothing else. Among several numbers
(4,4) it may also stand between two: then it is asked about. A semicolon between
the numbers (2,67; 4), or a point in the fraction, says which it is.`,
		flags: slices.Concat([]option{rootOption}, optionsOf(siteQuestions(&siteAnswers{})), optionsOf(unitQuestions(&unitAnswers{})), []option{takeFlag}),
		examples: []string{
			"wattsheet start site --root bench --title Ottertests --tester Otter",
			"wattsheet start unit --maker Mossfettle --model Jar --how own --from myself",
			"wattsheet start theme paper --take style.css pages/prose.html",
		},
	}
	c.run = func(u *ui, args []string) int { return runStart(u, c, args) }
	return c
}

// optionsOf are the flags by which questions can be answered beforehand.
func optionsOf(questions []question) (out []option) {
	for _, q := range questions {
		out = append(out, option{q.flag, q.value, q.does})
	}
	return out
}

func runStart(u *ui, c *command, args []string) int {
	root := "."
	var site siteAnswers
	var unit unitAnswers
	forSite, forUnit := siteQuestions(&site), unitQuestions(&unit)
	values := map[string]*string{"root": &root, takeFlag.name: new(string)}
	for _, q := range slices.Concat(forSite, forUnit) {
		values[q.flag] = new(string)
	}
	words, status, ok := c.read(u, args, values, len(args))
	switch {
	case !ok:
		return status
	case len(words) > 1 && (words[0] == "site" || words[0] == "unit"):
		return u.misused(c.tooMany(words[1:]))
	}
	content := filepath.Join(root, "content")
	a := newAsker(u, values)
	switch {
	case len(words) == 0:
		return u.misused(errors.New("start needs a word: site, unit or theme\nhint: wattsheet start site begins a new site, wattsheet start unit a unit of it"))
	case words[0] == "site":
		return u.startSite(a, content, &site, forSite, forUnit)
	case words[0] == "unit":
		return u.startUnit(a, content, &unit, forUnit, forSite)
	case words[0] == "theme":
		return u.startTheme(a, content, words[1:], slices.Concat(forSite, forUnit))
	}
	return u.misused(fmt.Errorf("start takes site, unit or theme, not %q\nhint: wattsheet help start says what each asks for", words[0]))
}

// strange is the error for a flag that belongs to the other word.
func (a *asker) strange(word string, others []question) error {
	for _, q := range others {
		if *a.given[q.flag] != "" {
			return strangeFlag(word, q.flag)
		}
	}
	if word != "theme" && *a.given[takeFlag.name] != "" {
		return strangeFlag(word, takeFlag.name)
	}
	return nil
}

func strangeFlag(word, flag string) error {
	return fmt.Errorf("start %s takes no --%s\nhint: wattsheet help start lists the flags of each", word, flag)
}

// A startFile is a file to be written, its name relative to the new folder.
type startFile struct{ name, text string }

//go:embed start
var startTexts embed.FS

// startFiles fills in the texts, each of which has its name there and here.
func startFiles(answers any, names ...[2]string) ([]startFile, error) {
	all, err := template.New("").Funcs(template.FuncMap{"toml": record.Quote, "markdown": markdownText}).ParseFS(startTexts, "start/*")
	if err != nil {
		return nil, err
	}
	var files []startFile
	for _, n := range names {
		var b bytes.Buffer
		if err := all.ExecuteTemplate(&b, n[0], answers); err != nil {
			return nil, err
		}
		files = append(files, startFile{n[1], b.String()})
	}
	return files, nil
}

// markdownText is a text as it stands in CommonMark: what could be markup has a
// backslash before it (CommonMark 0.31.2, section 2.4). A hyphen is markup only where a
// line begins, a point only behind a number there.
func markdownText(text string) string {
	var b strings.Builder
	for i, r := range text {
		markup := strings.ContainsRune("!\"#$%&()*+/:;<=>?@[\\]^_`{|}~", r)
		list := r == '-' && i == 0 || r == '.' && i > 0 && strings.Trim(text[:i], "0123456789") == ""
		if markup || list {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// errStands says that there is already something where files were to be written.
var errStands = errors.New("there is something already")

// writeFolder writes files into a new folder, all of them or none: they are written
// beside it under a hidden name, which then becomes the folder's. A folder that holds
// anything can't be replaced so, whoever put it there meanwhile.
func writeFolder(folder string, files []startFile) (err error) {
	if _, err := os.Lstat(folder); !errors.Is(err, fs.ErrNotExist) {
		return cmp.Or(err, errStands)
	}
	if err := os.MkdirAll(filepath.Dir(folder), 0o777); err != nil {
		return err
	}
	hidden, err := os.MkdirTemp(filepath.Dir(folder), ".start-*")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(hidden)) }()
	whole := filepath.Join(hidden, "whole") // a folder with the usual permissions
	for _, f := range files {
		path := filepath.Join(whole, filepath.FromSlash(f.name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			return err
		}
		if err := os.WriteFile(path, []byte(f.text), 0o666); err != nil {
			return err
		}
	}
	return os.Rename(whole, folder)
}

// written reports the files of a new folder.
func (u *ui) written(folder string, files []startFile) {
	for _, f := range files {
		u.say("wrote %s", filepath.ToSlash(filepath.Join(folder, f.name)))
	}
}
