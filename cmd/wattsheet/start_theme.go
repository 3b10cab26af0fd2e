package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/themes"
)

// takeFlag names the files that a new theme begins with.
var takeFlag = option{"take", "FILE…", "files of the default theme to begin with (style.css)"}

// themeContract is the document that a new theme has beside them.
const themeContract = "contract.md"

// startTheme writes the first files of a site's own theme: copies of the default ones.
func (u *ui) startTheme(a *asker, content string, words []string, strangers []question) int {
	if err := a.strange("theme", strangers); err != nil {
		return u.misused(err)
	}
	take, files, err := listed(*a.given[takeFlag.name]), []string(nil), error(nil)
	if len(words) > 0 {
		files = words[1:]
	}
	switch {
	case len(words) == 0:
		err = errors.New("start theme needs a name\nhint: wattsheet start theme paper makes the folder themes/paper")
	case len(files) > 0 && len(take) == 0:
		err = fmt.Errorf("start theme takes one name, not also %q\nhint: --take stands before the files to begin with", files[0])
	default:
		err = mistake("site.toml", "", "theme", record.Quote(words[0]))
	}
	if err != nil {
		return u.misused(err)
	}
	if take = append(take, files...); len(take) == 0 {
		take = []string{"style.css"}
	}
	copies, err := themeCopies(take)
	if err != nil {
		return u.misused(err)
	}
	name := words[0]
	site, err := siteBegun(content)
	if err != nil {
		return u.failed(err)
	}
	folder := filepath.Join(filepath.Dir(content), "themes", name)
	if err = vacant(folder, "copy what is missing from a theme of another name"); err == nil {
		err = writeFolder(folder, copies)
		if err != nil {
			err = notWritten(folder, err)
		}
	}
	if err != nil {
		return u.failed(err)
	}
	u.written(folder, copies)
	u.lines("", nextOfTheme(content, name, site.Theme))
	return exitDone
}

// nextOfTheme says how the new theme is switched on.
func nextOfTheme(content, name, now string) string {
	const rest = "delete what stays as it was: a file that isn't there is the default theme's, also in later versions"
	file := filepath.ToSlash(filepath.Join(content, "site.toml"))
	switch now {
	case name:
		return "next: " + file + " names it already; change the copies, and " + rest
	case "":
		return fmt.Sprintf("next: put the line theme = %s at the head of %s, above its first [table]; change the copies, and %s", record.Quote(name), file, rest)
	}
	return fmt.Sprintf("next: make theme = %s of theme = %s in %s; change the copies, and %s", record.Quote(name), record.Quote(now), file, rest)
}

// themeCopies are the files named of the default theme, each once, and the document of
// what templates get.
func themeCopies(take []string) (copies []startFile, err error) {
	known := themes.Names()
	slices.Sort(take)
	for _, name := range slices.Compact(take) {
		if !slices.Contains(known, name) {
			return nil, fmt.Errorf("the default theme has no file %q\nhint: %s", name, fileMeant(name, known))
		}
		text, err := fs.ReadFile(themes.Default(), name)
		if err != nil {
			return nil, err
		}
		copies = append(copies, startFile{name, string(text)})
	}
	return append(copies, startFile{themeContract, string(themes.Contract())}), nil
}

// fileMeant is the hint for a file that the default theme doesn't have.
func fileMeant(name string, known []string) string {
	for _, k := range known {
		if strings.EqualFold(path.Base(k), path.Base(filepath.ToSlash(name))) {
			return "did you mean " + k + "?"
		}
	}
	return didYouMean(name, known, "it has ")
}

// siteBegun reads the site.toml of a site that is there, with no mistake in it.
func siteBegun(content string) (*record.Site, error) {
	name := filepath.Join(content, "site.toml")
	text, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no %s\nhint: wattsheet start site writes one; or name the site's folder with --root", filepath.ToSlash(name))
	} else if err != nil {
		return nil, err
	}
	site, problems := record.DecodeSite(&record.File{Name: "content/site.toml", Text: text})
	if problems.Errors() {
		return nil, fmt.Errorf("%s has mistakes\nhint: wattsheet check tells them", filepath.ToSlash(name))
	}
	return site, nil
}
