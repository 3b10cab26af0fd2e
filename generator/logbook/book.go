package logbook

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"

	"wattsheet/generator/disk"
	"wattsheet/generator/record"
)

// The files of a site, relative to its root.
const (
	contentFolder = "content"
	unitsFolder   = "content/units"
	runsFile      = "runs.csv" // beside a record
	siteFile      = "content/site.toml"
	benchFile     = "content/bench.toml"
	methodsFile   = "content/methods.toml"
	lockFolder    = ".wattsheet/log"
)

// mostBytes is how large a file of the content may become: what the other commands
// read.
const mostBytes = 8 << 20

// A NoUnitError says that there is no unit of this name.
type NoUnitError struct {
	Name  string
	Known []string
}

func (e *NoUnitError) Error() string { return fmt.Sprintf("there is no unit %q", e.Name) }

// A Book is a unit's record that is written on: its bytes as they were last read or
// written, and what they mean beside the site's bench and methods. Only one Book is
// open on a record at a time, over all processes.
type Book struct {
	root    *os.Root
	slug    string
	name    string // of the record, relative to root
	lock    *lock
	text    []byte // of the record
	rec     *record.Record
	texts   map[string][]byte // of the site's tables, by name
	content *record.Content   // the tables, and this record alone
	planner Planner
	plans   []Planned // by planner, of what was read last; nil until asked for
	// Completed says that a log was stopped while it wrote, and what was missing is there now.
	Completed bool
	// Unended says that the record's last line has no end: it may have been cut short.
	Unended bool
}

// Open opens a unit's record below the site's root, and locks it. The error is one for
// people; it is a [NoUnitError], record.Problems where files have mistakes, or a
// [TornError] where the record's end looks like a write that was cut short.
func Open(root, slug string) (*Book, error) {
	folder, err := os.OpenRoot(root)
	if err != nil {
		return nil, noContent(root, err)
	}
	b := &Book{root: folder, slug: slug, name: path.Join(unitsFolder, slug, "record.toml")}
	if err := b.open(root); err != nil {
		b.Close()
		return nil, err
	}
	return b, nil
}

func (b *Book) open(root string) error {
	known, err := b.units()
	if err != nil {
		return noContent(root, err)
	}
	if !slices.Contains(known, b.slug) {
		return &NoUnitError{b.slug, known}
	}
	if b.lock, err = takeLock(b.root, b.slug); err != nil {
		return err
	}
	if b.Completed, err = complete(b.root, b.name); err != nil {
		return err
	}
	if err := b.completeBench(); err != nil {
		return err
	}
	if _, err := b.tables(); err != nil {
		return err
	}
	if err := b.reread(); err != nil {
		return err
	}
	b.Unended = len(b.text) > 0 && b.text[len(b.text)-1] != '\n'
	return nil
}

// completeBench is complete for bench.toml, unless somebody writes on it just now.
func (b *Book) completeBench() error {
	if _, err := b.root.Stat(pendingName(benchFile)); err != nil {
		return nil
	}
	held, err := takeLock(b.root, "bench.toml")
	if err != nil {
		return nil
	}
	defer held.free()
	completed, err := complete(b.root, benchFile)
	b.Completed = b.Completed || completed
	return err
}

// tables reads site.toml, bench.toml and methods.toml where one of them isn't what it
// was, and reports whether so.
func (b *Book) tables() (changed bool, err error) {
	c, texts := &record.Content{}, map[string][]byte{}
	var problems record.Problems
	use := func(name string, take func(*record.File) record.Problems) {
		text, err := b.read(name)
		if err != nil {
			problems = append(problems, record.Problem{File: name, Summary: "this can't be read: " + disk.Cause(err).Error(), Hint: "it has to be a plain file that you may read"})
			return
		}
		texts[name] = text
		if old, there := b.texts[name]; !there || !bytes.Equal(old, text) {
			changed = true
		}
		problems = append(problems, take(&record.File{Name: name, Text: text})...)
	}
	use(siteFile, func(f *record.File) (p record.Problems) { c.Site, p = record.DecodeSite(f); return p })
	use(methodsFile, func(f *record.File) (p record.Problems) { c.Methods, p = record.DecodeMethods(f); return p })
	use(benchFile, func(f *record.File) (p record.Problems) { c.Bench, p = record.DecodeBench(f); return p })
	if !problems.Errors() {
		// what the pools were computed from is in other records, which aren't read here
		for i := range c.Methods.Methods {
			c.Methods.Methods[i].Pool.Runs = nil
		}
		problems = append(problems, c.Check()...)
	}
	if problems.Errors() {
		problems.Sort()
		if torn := b.tornBench(texts[benchFile]); torn != nil {
			return false, torn
		}
		return false, problems
	}
	if changed {
		b.texts, b.content = texts, c
	}
	return changed, nil
}

// units are the names of the folders below content/units, sorted.
func (b *Book) units() ([]string, error) {
	entries, err := fs.ReadDir(b.root.FS(), unitsFolder)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if info, err := b.root.Stat(path.Join(unitsFolder, e.Name())); err == nil && info.IsDir() {
			names = append(names, e.Name())
		}
	}
	return names, nil
}

// read gives the bytes of a plain file.
func (b *Book) read(name string) ([]byte, error) {
	info, err := b.root.Stat(name)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, errors.New("it is not a plain file")
	case info.Size() > mostBytes:
		return nil, errors.New("it is larger than 8 MB")
	}
	return b.root.ReadFile(name)
}

// reread reads the record from the disk.
func (b *Book) reread() error {
	text, err := b.read(b.name)
	if err != nil {
		return fmt.Errorf("%s can't be read: %w\nhint: it has to be a plain file that you may read", b.name, disk.Cause(err))
	}
	rec, problems := b.decode(text)
	if problems.Errors() {
		if torn := b.torn(text); torn != nil {
			return torn
		}
		return problems
	}
	b.text, b.rec, b.plans = text, rec, nil
	b.content.Records = []*record.Record{rec}
	return nil
}

// decode reads a text as this unit's record, and checks it beside the bench and the
// methods.
func (b *Book) decode(text []byte) (*record.Record, record.Problems) {
	rec, problems := record.DecodeRecord(&record.File{Name: b.name, Text: text}, b.slug)
	if rec.RunsFile.Given() { // its rows are runs too, and have ids
		name := path.Join(path.Dir(b.name), runsFile)
		rows, err := b.read(name)
		if err != nil {
			rows = nil // a build says that it is missing
		}
		problems = append(problems, rec.AddRuns(&record.File{Name: name, Text: rows})...)
	}
	alone := *rec
	alone.Unit.Follows = record.Ref{} // another record, which isn't read here
	c := *b.content
	c.Records = []*record.Record{&alone}
	problems = append(problems, c.Check()...)
	problems.Sort()
	return rec, problems
}

// refresh reads again what isn't what it was, the record or one of the tables: an
// editor may have saved it meanwhile.
func (b *Book) refresh() (changed bool, err error) {
	text, err := b.read(b.name)
	if err != nil {
		return false, fmt.Errorf("%s can't be read any more: %w\nhint: nothing was written", b.name, disk.Cause(err))
	}
	changed, err = b.tables()
	if err != nil {
		return false, err
	}
	if !changed && bytes.Equal(text, b.text) {
		return false, nil
	}
	return true, b.reread()
}

// Close gives the record free.
func (b *Book) Close() {
	if b.lock != nil {
		b.lock.free()
		b.lock = nil
	}
	b.root.Close()
}

// noContent is the error for a root without units.
func noContent(root string, err error) error {
	name := filepath.ToSlash(filepath.Join(root, unitsFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no folder %s\nhint: run this in the folder that holds content, or name that folder with --root; wattsheet start site begins a site, and start unit a unit", name)
	}
	return fmt.Errorf("%s can't be read: %w\nhint: it has to be a folder that you may read", name, disk.Cause(err))
}
