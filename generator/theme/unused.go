package theme

import (
	"io/fs"
	"path"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// unused warns of each file of the site's own theme that stands in no file's place, so
// that no page uses it. Notes, licences and what editors leave are passed over.
func (t Theme) unused(known []string) record.Problems {
	var problems record.Problems
	// What can't be read here is told where it is needed.
	_ = fs.WalkDir(t.own, ".", func(name string, entry fs.DirEntry, err error) error {
		base := path.Base(name)
		switch {
		case err != nil || name == "." || slices.Contains(known, name):
			return nil
		case strings.HasPrefix(base, "."):
			if entry.IsDir() {
				return fs.SkipDir
			}
			return nil
		case entry.IsDir() && slices.ContainsFunc(known, func(k string) bool { return path.Dir(k) == name }):
			return nil
		case !entry.IsDir() && (strings.HasSuffix(base, "~") || slices.Contains([]string{".md", ".txt", ""}, path.Ext(base))):
			return nil
		}
		problems = append(problems, t.unusedFile(name, known))
		if entry.IsDir() {
			return fs.SkipDir
		}
		return nil
	})
	return problems
}

// unusedFile is the warning of one such file, or folder.
func (t Theme) unusedFile(name string, known []string) record.Problem {
	p := record.Problem{Severity: record.Warning, File: path.Join(t.Folder, name),
		Summary: "no theme has a file of this name; no page uses it",
		Hint:    "the names are those of the default theme; contract.md, which wattsheet start theme writes, lists them"}
	if near := nearFile(name, known); near != "" {
		p.Hint = "did you mean " + path.Join(t.Folder, near) + "?"
	}
	return p
}

// nearFile is the file or folder of the default theme that a name was most likely meant to
// be: one that is in another folder, or whose name differs by a slip of the finger; or "".
func nearFile(name string, known []string) string {
	best, least := "", len(path.Base(name))/4+1
	for _, k := range known {
		if path.Ext(name) == "" {
			k = path.Dir(k) // one of its folders
		}
		if !strings.EqualFold(path.Ext(k), path.Ext(name)) {
			continue
		}
		if d := record.Distance(strings.ToLower(path.Base(name)), path.Base(k)); d < least {
			best, least = k, d
		}
	}
	return best
}
