// Package verify recomputes what was published from nothing but itself: each sheet.json from
// the readings in it, each ledger from its chain and the sheet beside it, and a whole folder
// by the list of what was written there. The files may be anybody's.
package verify

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"wattsheet/generator/datafile"
	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A Verified is a published sheet, compared with what its own readings give.
type Verified struct {
	File string // as it was named
	Name string // the unit's maker and model
	// Compared is every figure and text of the file, in its order.
	Compared []Compared
	// Problems are the mistakes in what the file says was read; with an error
	// nothing could be recomputed, and Compared is empty.
	Problems record.Problems
}

// A Compared is one figure or text of a published sheet.
type Compared struct {
	Path       string // claims[2].channels[0].mean.value
	Published  string // as in the file
	Recomputed string
	// Derived is true for what follows from readings, claims and instruments;
	// false for these themselves, which come back as they are.
	Derived bool
	Agrees  bool
}

// Counts gives how many figures and texts were derived, and how many of all
// don't agree.
func (v *Verified) Counts() (derived, given, differ int) {
	for _, c := range v.Compared {
		if c.Derived {
			derived++
		} else {
			given++
		}
		if !c.Agrees {
			differ++
		}
	}
	return derived, given, differ
}

// Sheet recomputes a published sheet.json from the readings in it and compares
// every figure and text. It needs nothing but the file. The error is one for
// people: that it isn't such a file.
func Sheet(name string, data []byte) (*Verified, error) {
	d, err := Read(name, data)
	if err != nil {
		return nil, err
	}
	v := &Verified{File: name, Name: d.Name}
	published, err := leaves(data)
	if err != nil {
		return nil, fmt.Errorf("%s can't be read: %w\nhint: it has to be a sheet.json as wattsheet build writes it", name, err)
	}
	content, problems := d.Content(name)
	v.Problems = problems
	if problems.Errors() {
		return v, nil
	}
	again, err := evaluated(content)
	if err != nil {
		return nil, fmt.Errorf("%s can't be recomputed: %w", name, err)
	}
	recomputed, err := leaves(again)
	if err != nil {
		return nil, fmt.Errorf("%s can't be recomputed: %w", name, err)
	}
	v.Compared = compared(published, recomputed)
	return v, nil
}

// evaluated makes the file of a content's only unit. Numbers within their bounds can
// still be so odd together that nothing finite follows from them; then the arithmetic
// falls, and an untrusted file must not bring the program down.
func evaluated(content *record.Content) (data []byte, err error) {
	defer func() {
		if recover() != nil {
			data, err = nil, errors.New("nothing finite follows from its numbers")
		}
	}()
	return datafile.JSON(sheet.Evaluate(content, content.Records[0]))
}

// Read reads a file's JSON and checks that it is of this format.
func Read(name string, data []byte) (*datafile.Sheet, error) {
	const hint = "\nhint: it has to be a sheet.json as wattsheet build writes it"
	if len(data) > disk.Large {
		return nil, fmt.Errorf("%s is larger than %d MB, no sheet is%s", name, disk.Large>>20, hint)
	}
	if line, ok := disk.ValidText(data); !ok {
		return nil, fmt.Errorf("%s: line %d has bytes that are not UTF-8 text%s", name, line, hint)
	}
	var of struct {
		Format  *string `json:"format"`
		Version *int    `json:"version"`
	}
	var at *json.SyntaxError
	switch err := json.Unmarshal(data, &of); {
	case errors.As(err, &at):
		line := 1 + bytes.Count(data[:min(int(at.Offset), len(data))], []byte("\n"))
		return nil, fmt.Errorf("%s:%d is not valid JSON: %w%s", name, line, at, hint)
	case err != nil || of.Format == nil || *of.Format != datafile.Format:
		return nil, fmt.Errorf("%s is not a published sheet: its format is not %q%s", name, datafile.Format, hint)
	case of.Version == nil || *of.Version != datafile.Version:
		return nil, fmt.Errorf("%s is in another version of the format; this program reads version %d\nhint: verify it with the wattsheet that published it, or a newer one", name, datafile.Version)
	}
	d := &datafile.Sheet{}
	var wrong *json.UnmarshalTypeError
	switch err := json.Unmarshal(data, d); {
	case errors.As(err, &wrong):
		return nil, fmt.Errorf("%s: %s is a %s, which it never is in this format%s", name, wrong.Field, wrong.Value, hint)
	case err != nil:
		return nil, fmt.Errorf("%s can't be read: %w%s", name, err, hint)
	}
	return d, nil
}

// ledgerName is how the file of a unit's ledger is called.
const ledgerName = "ledger.toml"

// A Folder is what became of verifying a folder.
type Folder struct {
	Sheets  []*Verified
	Ledgers []*VerifiedLedger
	// Unreadable are the sheets that aren't such files, as errors for people.
	Unreadable []error
	// Listed is the number of files that the list of the published site names;
	// 0 where there is no list. Changed and Missing are those of them that have
	// other bytes, or are not there.
	Listed           int
	Changed, Missing []string
}

// Path verifies a published sheet.json, or every one below a folder. Where
// the folder holds the list of what was published, the listed files' digests are
// checked too.
func Path(name string) (*Folder, error) {
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no %s\nhint: name a published sheet.json, or a folder that holds some", filepath.ToSlash(name))
	case err != nil:
		return nil, fmt.Errorf("%s can't be read: %w", filepath.ToSlash(name), disk.Cause(err))
	case !info.IsDir():
		return verifyFile(name)
	}
	root, err := os.OpenRoot(name)
	if err != nil {
		return nil, fmt.Errorf("%s can't be read: %w", filepath.ToSlash(name), disk.Cause(err))
	}
	defer root.Close()
	f := &Folder{}
	if err := f.digests(root, name); err != nil {
		return nil, err
	}
	if err := f.sheets(root, name); err != nil {
		return nil, err
	}
	if len(f.Sheets)+len(f.Ledgers)+len(f.Unreadable) == 0 {
		return nil, fmt.Errorf("%s holds no sheet.json\nhint: name the folder that wattsheet build wrote, public for instance", filepath.ToSlash(name))
	}
	return f, nil
}

func verifyFile(name string) (*Folder, error) {
	root, err := os.OpenRoot(filepath.Dir(name))
	if err != nil {
		return nil, fmt.Errorf("%s can't be read: %w", filepath.ToSlash(name), disk.Cause(err))
	}
	defer root.Close()
	f := &Folder{}
	if filepath.Base(name) == ledgerName {
		f.ledger(root, ledgerName, filepath.ToSlash(name), true)
		return f, nil
	}
	f.sheet(root, filepath.Base(name), filepath.ToSlash(name))
	return f, nil
}

// sheets verifies every sheet.json below a folder, and every ledger. The sheets of
// sealed versions beside a ledger are compared with it by their digests: they may
// come from the arithmetic of an older program.
func (f *Folder) sheets(root *os.Root, name string) error {
	var found, ledgers []string
	err := fs.WalkDir(root.FS(), ".", func(at string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		switch {
		case d.IsDir():
		case path.Base(at) == "sheet.json":
			found = append(found, at)
		case path.Base(at) == ledgerName:
			ledgers = append(ledgers, at)
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("%s can't be read: %w", filepath.ToSlash(name), disk.Cause(err))
	}
	slices.Sort(found)
	slices.Sort(ledgers)
	for _, at := range found {
		if folder, is := sealedSheetOf(at); is && slices.Contains(ledgers, path.Join(folder, ledgerName)) {
			continue
		}
		f.sheet(root, at, path.Join(filepath.ToSlash(name), at))
	}
	for _, at := range ledgers {
		if slices.Contains(found, path.Join(path.Dir(at), "sheet.json")) { // else it is a tester's own
			f.ledger(root, at, path.Join(filepath.ToSlash(name), at), false)
		}
	}
	return nil
}

// sheet verifies one file, which is printed under the given name.
func (f *Folder) sheet(root *os.Root, at, name string) {
	data, err := disk.Read(root, at, disk.Large)
	var v *Verified
	if err != nil {
		err = fmt.Errorf("%s can't be read: %w", name, disk.Cause(err))
	} else {
		v, err = Sheet(name, data)
	}
	if err != nil {
		f.Unreadable = append(f.Unreadable, err)
		return
	}
	f.Sheets = append(f.Sheets, v)
}

// maxManifest is how large a manifest may be: some 120 bytes for each file of a site.
const maxManifest = 256 << 20

// digests compares the files of a published site with the list of what was
// published.
func (f *Folder) digests(root *os.Root, name string) error {
	data, err := disk.Read(root, publication.ManifestName, maxManifest)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, disk.ErrNotRegular) { // beside content it is a folder
		return nil
	}
	list := path.Join(filepath.ToSlash(name), publication.ManifestName)
	if err != nil {
		return fmt.Errorf("%s can't be read: %w", list, disk.Cause(err))
	}
	_, m, err := publication.ParseMarked(string(data))
	if err != nil {
		return fmt.Errorf("%s, %w\nhint: build the site again, or take the file away to verify the sheets alone", list, err)
	}
	for at, sums := range m.All() {
		f.Listed++
		// a published file may be larger than a sheet
		switch data, err := disk.Read(root, at, maxPublished); {
		case errors.Is(err, fs.ErrNotExist):
			f.Missing = append(f.Missing, at)
		case err != nil || !slices.Contains(sums, publication.DigestOf(data)):
			f.Changed = append(f.Changed, at)
		}
	}
	slices.Sort(f.Missing)
	slices.Sort(f.Changed)
	return nil
}

// maxPublished is the size in bytes beyond which a published file counts as
// changed: no output is that large.
const maxPublished = 64 << 20

// Agrees reports whether everything that was verified agrees.
func (f *Folder) Agrees() bool {
	if len(f.Unreadable)+len(f.Changed)+len(f.Missing) > 0 {
		return false
	}
	for _, l := range f.Ledgers {
		if !l.Agrees() {
			return false
		}
	}
	for _, s := range f.Sheets {
		if _, _, differ := s.Counts(); differ > 0 || s.Problems.Errors() {
			return false
		}
	}
	return true
}

// Where is the part of the file that a difference is in: claims, runs.
func (c Compared) Where() string {
	head, _ := pathHead(c.Path)
	return strings.TrimSpace(head)
}
