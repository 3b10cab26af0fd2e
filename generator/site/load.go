package site

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/disk"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// Load reads the content folder below root, checks all of it, and evaluates what
// may be seen at an instant of every record: what is held then is taken out
// before. File names in problems are relative to root, with slashes.
//
// It writes nothing but the cache of scaled pictures, .wattsheet/cache/pictures
// below root, and that only when a record shows pictures.
//
// The problems are those of all files, sorted. The site has sheets only when no
// problem of the files themselves is an error; sealed results that changed are found
// by the sheets. The error says that there is no content folder, or that
// it can't be read at all; its text is one for people.
func Load(root string, asOf time.Time) (*Site, record.Problems, error) {
	return load(root, asOf, false)
}

// Inspect is [Load] for a site that is only looked at: nothing is written, not even
// the cache, also by what is done with the site.
func Inspect(root string, asOf time.Time) (*Site, record.Problems, error) {
	return load(root, asOf, true)
}

func load(root string, asOf time.Time, untouched bool) (*Site, record.Problems, error) {
	folder, err := os.OpenRoot(filepath.Join(root, contentFolder))
	if err != nil {
		return nil, nil, noContent(root, err)
	}
	defer folder.Close()
	s := &Site{
		untouched: untouched,
		Content:   &record.Content{},
		Notes:     map[string]*record.File{},
		Prose:     map[string]*record.File{},
	}
	if s.folder, err = resolved(folder.Name()); err != nil {
		return nil, nil, noContent(root, err)
	}
	if s.root, err = resolved(root); err != nil {
		return nil, nil, noContent(root, err)
	}
	l := newLoader(folder)
	l.survey()
	problems := append(l.problems, l.decode(s)...)
	if s.addresses, err = readAddresses(folder); err != nil {
		problems = append(problems, unreadable(addressesFile, err))
	}
	problems = append(problems, s.Content.Check()...)
	problems = append(problems, s.Content.CheckHolds(asOf)...)
	problems = append(problems, s.Content.Ahead(asOf)...)
	for _, r := range s.Content.Records {
		problems = append(problems, r.Ahead(asOf)...)
	}
	problems = append(problems, l.loadPictures(s)...)
	problems = append(problems, l.loadCaptures(s)...)
	s.withhold(asOf)
	problems = append(problems, l.ledgers(s)...)
	problems = append(problems, s.heldSealed()...)
	if !problems.Errors() {
		s.evaluate()
		problems = append(problems, s.follow()...)
	}
	problems.Sort()
	return s, problems, nil
}

// evaluate makes the sheet of every record.
func (s *Site) evaluate() {
	s.Sheets = make([]*sheet.Sheet, len(s.Content.Records))
	each(len(s.Sheets), func(i int) {
		s.Sheets[i] = sheet.Evaluate(s.Content, s.Content.Records[i])
	})
}

// noContent is the error for a root whose content folder can't be opened.
func noContent(root string, err error) error {
	name := filepath.ToSlash(filepath.Join(root, contentFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no folder %s\nhint: run this in the folder that holds content, or name that folder with --root; wattsheet start site begins a new one", name)
	}
	return fmt.Errorf("%s can't be read: %w\nhint: it has to be a folder that you may read", name, disk.Cause(err))
}

// The names of the content folder.
const (
	contentFolder = "content"
	proseFolder   = "prose"
	unitsFolder   = "units"
	siteFile      = "site.toml"
	benchFile     = "bench.toml"
	methodsFile   = "methods.toml"
	recordFile    = "record.toml"
	notesFile     = "notes.md"
)

// A loader finds the files of a content folder and reads them. It opens them
// through root only, which no symbolic link leads out of.
type loader struct {
	root  *os.Root
	files fs.FS // the same folder, for listing
	slugs []string
	// unitsOnly says that the files that every site has were read before.
	unitsOnly bool
	notes     []string // the slugs of the units that have notes
	prose     []string // names without the ending
	spoken    []string // the paths of what goes with the units' videos
	// pictures holds the names of each unit's files that could be pictures, by
	// slug.
	pictures map[string][]string
	// captures holds those that could be captures, likewise.
	captures map[string][]string
	// home is the folder that the content lies in, where the cache is; empty where nothing
	// is to be remembered. Untouched says that the cache is only read.
	home      string
	untouched bool
	// sealed holds the numbers of each unit's sealed sheets, by slug; a unit that
	// has nothing sealed has no entry.
	sealed   map[string][]int
	problems record.Problems
}

func newLoader(content *os.Root) *loader {
	return &loader{root: content, files: content.FS(), pictures: map[string][]string{}, captures: map[string][]string{}, sealed: map[string][]int{}}
}

// mistake notes a problem with a file or folder as a whole.
func (l *loader) mistake(name, summary, hint string) {
	l.problems = append(l.problems, whole(name, record.Error, summary, hint))
}

// odd notes something that doesn't stop publication.
func (l *loader) odd(name, summary, hint string) {
	l.problems = append(l.problems, whole(name, record.Warning, summary, hint))
}

// whole is a problem with a file or folder as a whole; its name is relative to
// the content folder.
func whole(name string, severity record.Severity, summary, hint string) record.Problem {
	return record.Problem{Severity: severity, Summary: summary, Hint: hint, File: path.Join(contentFolder, name)}
}

// survey lists the content folder: which units, notes and prose there are, and
// what is there that nothing reads.
func (l *loader) survey() {
	l.surveyTop()
	for _, slug := range l.slugs {
		l.surveyUnit(path.Join(unitsFolder, slug), slug)
	}
}

// surveyTop is survey without what the units' folders have in them.
func (l *loader) surveyTop() {
	for _, name := range l.list(".") {
		switch name {
		case siteFile, benchFile, methodsFile, proseFolder, unitsFolder:
		case addressesFile:
		default:
			l.odd(name, "nothing reads this", "the content folder holds site.toml, bench.toml, methods.toml, prose and units")
		}
	}
	if l.exists(proseFolder) {
		l.surveyProse()
	}
	if l.exists(unitsFolder) {
		l.surveyUnits()
	}
	if len(l.slugs) == 0 && !l.problems.Errors() {
		l.odd(unitsFolder, "there is no unit yet", "put a record into content/units/NAME/record.toml; NAME is its address: a-z, 0-9 and -")
	}
}

func (l *loader) surveyProse() {
	for _, file := range l.list(proseFolder) {
		name, isText := strings.CutSuffix(file, ".md")
		switch {
		case !isText:
			l.odd(path.Join(proseFolder, file), "nothing reads this", "the prose folder holds texts whose names end in .md")
		case !isSlug(name):
			l.mistake(path.Join(proseFolder, file), "the file's name can't be an address", slugHint)
		default:
			l.prose = append(l.prose, name)
		}
	}
}

func (l *loader) surveyUnits() {
	for _, entry := range l.entries(unitsFolder) {
		slug, isDir := entry.Name(), entry.IsDir()
		folder := path.Join(unitsFolder, slug)
		if !isDir { // it may lead to one
			info, err := l.root.Stat(folder)
			if err != nil {
				l.problems = append(l.problems, unreadable(folder, err))
				continue
			}
			isDir = info.IsDir()
		}
		if !isDir {
			l.odd(folder, "nothing reads this", "the units folder holds a folder for each unit, with record.toml in it")
			continue
		}
		l.slugs = append(l.slugs, slug) // whether the name can be an address is the record's decoder's to say
	}
}

func (l *loader) surveyUnit(folder, slug string) {
	for _, name := range l.list(folder) {
		switch {
		case name == recordFile, name == runsFile:
		case name == notesFile:
			l.notes = append(l.notes, slug)
		case name == ledgerFile:
			l.sealedOf(slug)
		case name == sealedFolder:
			l.surveySealed(slug)
		case isSpoken(name):
			l.spoken = append(l.spoken, path.Join(folder, name))
		case isPicture(name):
			l.pictures[slug] = append(l.pictures[slug], name)
		case isCapture(name):
			l.captures[slug] = append(l.captures[slug], name)
		default:
			l.odd(path.Join(folder, name), "nothing reads this", "a unit's folder holds record.toml, notes.md, runs.csv, pictures, .jpg or .png, captures, .wav or .csv, and the video's description.txt, .srt and .vtt")
		}
	}
}

func (l *loader) exists(name string) bool {
	_, err := l.root.Lstat(name)
	return err == nil
}

// list gives the names in a folder, sorted, without what editors and file
// managers leave behind.
func (l *loader) list(folder string) []string {
	entries := l.entries(folder)
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.Name()
	}
	return names
}

// entries is list with what the folder says of each name.
func (l *loader) entries(folder string) []fs.DirEntry {
	entries, err := fs.ReadDir(l.files, folder) // sorted
	if err != nil {
		l.problems = append(l.problems, unreadable(folder, err))
		return nil
	}
	return slices.DeleteFunc(entries, func(e fs.DirEntry) bool { return leftBehind(e.Name()) })
}

// leftBehind reports whether a name is an editor's backup, a file manager's
// note, or hidden.
func leftBehind(name string) bool {
	switch {
	case strings.HasPrefix(name, "."), strings.HasPrefix(name, "#"), strings.HasSuffix(name, "~"):
		return true
	case name == "Thumbs.db", name == "desktop.ini":
		return true
	}
	switch path.Ext(name) {
	case ".bak", ".orig", ".rej", ".swp", ".tmp":
		return true
	}
	return false
}

const slugHint = "use a-z, 0-9 and - only, with a letter or digit at both ends, at most 80 of them"

// isSlug reports whether a name can be part of an address as it is.
func isSlug(name string) bool {
	if name == "" || len(name) > 80 || name[0] == '-' || name[len(name)-1] == '-' {
		return false
	}
	return !strings.ContainsFunc(name, func(r rune) bool {
		return r != '-' && (r < '0' || r > '9') && (r < 'a' || r > 'z')
	})
}
