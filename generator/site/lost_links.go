package site

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"wattsheet/generator/record"
)

// LostLinks warns of links in the notes and prose below root, whose content has no mistakes,
// to pages of the site that aren't there: of a unit that was renamed, or after a slip of the
// pen. Pages that follow from results, such as those below loads and makers, and places
// within a page are not looked at.
func LostLinks(root string) (problems record.Problems, err error) {
	content, err := os.OpenRoot(filepath.Join(root, contentFolder))
	if err != nil {
		return nil, err
	}
	defer content.Close()
	var known pagesKnown
	texts := map[string]string{} // the folder of its page, by file
	if known.units, err = inFolder(content, unitsFolder, ""); err != nil {
		return nil, err
	}
	for _, slug := range known.units {
		texts[path.Join(unitsFolder, slug, notesFile)] = unitsFolder + "/" + slug + "/"
	}
	prose, err := inFolder(content, proseFolder, ".md")
	if err != nil {
		return nil, err
	}
	for _, name := range prose {
		texts[path.Join(proseFolder, name+".md")] = name + "/"
	}
	known.pages = append(prose, correctionsName, methodologyName, compareName)
	if data, err := read(content, siteFile, maxFile); err == nil {
		site, _ := record.DecodeSite(&record.File{Name: siteFile, Text: data})
		known.moved = site.Moved
	}
	for name, page := range texts {
		data, err := read(content, name, maxFile)
		switch {
		case errors.Is(err, fs.ErrNotExist): // a unit needs no notes
		case err != nil:
			return nil, err
		default:
			problems = append(problems, known.lostIn(&record.File{Name: path.Join(contentFolder, name), Text: data}, page)...)
		}
	}
	problems.Sort()
	return problems, nil
}

// inFolder are the names in a folder of the content that end so, without that; none where
// there is no such folder.
func inFolder(content *os.Root, folder, ending string) (names []string, err error) {
	all, err := fs.ReadDir(content.FS(), folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	for _, one := range all {
		if name, ok := strings.CutSuffix(one.Name(), ending); ok {
			names = append(names, name)
		}
	}
	return names, err
}

// pagesKnown are the pages that are known without evaluating anything.
type pagesKnown struct {
	units, pages []string
	moved        []record.Moved
}

// lostIn are the links of a text, which stands on the page of a folder, that lead nowhere.
func (k *pagesKnown) lostIn(file *record.File, page string) record.Problems {
	source := bytes.TrimPrefix(file.Text, []byte("\xef\xbb\xbf"))
	r := reader{file: file, source: source}
	_ = ast.Walk(markdown.Parser().Parse(text.NewReader(source)), func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		link, ok := n.(*ast.Link)
		if !ok || !entering {
			return ast.WalkContinue, nil
		}
		to := string(util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(link.Destination))))
		if way, ok := wayOf(page, to); ok && !k.has(way) {
			r.problem(record.Warning, n.Pos(), r.extent(n.Pos(), ')'), "this is a link to /"+way+", and the site has no such page",
				"write it from the site's root, as in /units/NAME/ or /methodology/")
		}
		return ast.WalkContinue, nil
	})
	return r.problems
}

// wayOf is where a link on a page leads, from the site's root; not for other sites, and
// within the page.
func wayOf(page, to string) (way string, ok bool) {
	to, _, _ = strings.Cut(strings.TrimSpace(to), "#")
	to, _, _ = strings.Cut(to, "?")
	if to == "" || scheme.MatchString(to) || strings.HasPrefix(strings.ReplaceAll(to, `\`, "/"), "//") {
		return "", false
	}
	folder := strings.HasSuffix(to, "/")
	if !strings.HasPrefix(to, "/") {
		to = page + to
	}
	way = strings.TrimPrefix(path.Clean("/"+to), "/")
	if folder && way != "" {
		way += "/"
	}
	return way, true
}

// has reports whether there is a page at a way, or may be.
func (k *pagesKnown) has(way string) bool {
	for _, m := range k.moved {
		if strings.HasPrefix("/"+way, m.From) {
			return true
		}
	}
	first, rest, below := strings.Cut(strings.TrimSuffix(way, "index.html"), "/")
	switch {
	case first == unitsFolder && below:
		slug, rest, below := strings.Cut(rest, "/")
		return below && slices.Contains(k.units, slug) && partOfUnit(rest)
	case slices.Contains(taken, first) && first != unitsFolder && first != compareName:
		return true
	case below:
		return rest == "" && slices.Contains(k.pages, first)
	}
	return first == "" || slices.Contains(rootFiles, first)
}

// rootFiles are files beside the front page that a text may link to.
var rootFiles = []string{"feed.atom", "feed.json", "sitemap.xml", "robots.txt", cardName}

// partOfUnit reports whether a unit's folder may have this.
func partOfUnit(rest string) bool {
	first, _, below := strings.Cut(rest, "/")
	if !below {
		return slices.Contains([]string{"", "sheet.json", "runs.csv", "badge.svg", cardName}, first)
	}
	return slices.Contains([]string{derivationName, nearName, capturesName, "v", "embed", "badge", "pictures"}, first)
}
