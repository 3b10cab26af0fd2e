package site

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"

	"wattsheet/generator/datafile"
	"wattsheet/generator/disk"
	"wattsheet/generator/ledger"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A Sealing is what Seal did.
type Sealing struct {
	Slug string
	// Number is the number of the last entry, which is a new one unless Unchanged.
	Number                         int
	Figures, Verdicts, Corrections int // of the new entry
	// Files are what was written, from the root, with slashes.
	Files []string
	// Unchanged says that the last entry has it all, and nothing was written.
	Unchanged bool
}

// ErrNoUnit says that a site has no unit of that name.
var ErrNoUnit = errors.New("there is no such unit")

// Seal adds an entry to a unit's ledger: its results as they are published now, with
// the sheet.json that shows them. The date is RFC 3339. The new ledger and sheet are
// written beside the old ones, brought onto the disk, and put in their places by
// renames, so that a seal which is stopped leaves the old ledger or the new one.
//
// With a problem that is an error nothing is written.
func (s *Site) Seal(slug, date, note string) (*Sealing, error) {
	return s.seal(slug, date, note, func(string) {})
}

// seal calls step before each thing that it does to the disk; tests stop it there.
func (s *Site) seal(slug, date, note string, step func(string)) (*Sealing, error) {
	i := slices.IndexFunc(s.Sheets, func(one *sheet.Sheet) bool { return one.Slug == slug })
	if i < 0 || s.sealed[slug] == nil {
		return nil, ErrNoUnit
	}
	folder, err := os.OpenRoot(filepath.Join(s.folder, unitsFolder, slug))
	if err != nil {
		return nil, fmt.Errorf("%s can't be opened: %w", path.Join(contentFolder, unitsFolder, slug), disk.Cause(err))
	}
	defer folder.Close()
	w := &sealer{publication.New(folder, path.Join(contentFolder, unitsFolder, slug)), folder, step}
	defer w.folder.Leave()
	one := s.sealed[slug]
	if err := w.finish(one.ledger); err != nil {
		return nil, err
	}
	data, err := datafile.JSON(s.Sheets[i])
	if err != nil {
		return nil, err
	}
	if len(data) > disk.Large {
		return nil, tooLarge("the sheet of "+slug, "")
	}
	l, err := ledger.Seal(one.ledger, one.status, date, note, data)
	if errors.Is(err, ledger.ErrNothingNew) {
		return &Sealing{Slug: slug, Number: one.ledger.Last().Number, Unchanged: true}, nil
	}
	if err != nil {
		return nil, err
	}
	e := l.Last()
	text := l.Text()
	if len(text) > disk.Large {
		return nil, tooLarge("with one more version the ledger of "+slug, ", and what is sealed stays so")
	}
	if _, problems := ledger.Read(&record.File{Name: ledgerFile, Text: text}); problems.Errors() {
		return nil, fmt.Errorf("the ledger would not be readable, which is a mistake of this program: %w", problems)
	}
	if err := w.enter(l, e, data, one.text); err != nil {
		return nil, err
	}
	return &Sealing{
		Slug: slug, Number: e.Number, Figures: len(e.Figures), Verdicts: len(e.Verdicts), Corrections: len(e.Corrections),
		Files: []string{w.folder.Of(ledgerFile), w.folder.Of(sealedName(e.Number))},
	}, nil
}

// tooLarge refuses to write what no command would read again.
func tooLarge(what, besides string) error {
	return fmt.Errorf("%s would be larger than %d MB, which no command reads; nothing was written\nhint: keep further runs in a folder of their own, whose record names this one by follows%s", what, disk.Large>>20, besides)
}

// A sealer writes into one unit's folder.
type sealer struct {
	folder *publication.Publisher // of which nothing is begun: it writes, renames and names files
	root   *os.Root               // the same folder
	step   func(string)
}

// finish puts the last entry's sheet in its place, where a seal was stopped just
// before that.
func (w *sealer) finish(l *ledger.Ledger) error {
	if l.Last() == nil {
		return nil
	}
	name := sealedName(l.Last().Number)
	if w.folder.Is(name) || !w.folder.Is(publication.Hidden(name)) {
		return nil
	}
	return inTurn(w.put(name), w.settle(sealedFolder))
}

// inTurn does one thing after the other, until one fails.
func inTurn(things ...func() error) error {
	for _, do := range things {
		if err := do(); err != nil {
			return err
		}
	}
	return nil
}

// enter puts the sheet and the ledger into the folder: the rename of the ledger is
// what makes the entry. was is the ledger as it was read.
func (w *sealer) enter(l *ledger.Ledger, e *ledger.Entry, data, was []byte) (err error) {
	name := sealedName(e.Number)
	defer func() {
		if err != nil {
			err = fmt.Errorf("%s can't be sealed: %w\nhint: what was sealed before still is; %s", w.folder.Of(""), disk.Cause(err), w.advice(err))
		}
	}()
	if err := w.root.Mkdir(sealedFolder, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	// up to the rename of the ledger nothing is sealed, and nothing stays behind
	if err := inTurn(w.lay(name, data), w.lay(ledgerFile, l.Text()), w.settle(sealedFolder), w.unmoved(was), w.put(ledgerFile)); err != nil {
		w.root.Remove(publication.Hidden(name))
		w.root.Remove(publication.Hidden(ledgerFile))
		return err
	}
	return inTurn(w.settle("."), w.put(name), w.settle(sealedFolder))
}

// advice is what can be done about an error. A folder with the sticky bit takes new files
// from anybody who may write to it, but each is replaced by its owner only.
func (w *sealer) advice(err error) string {
	if !errors.Is(err, fs.ErrPermission) {
		return "seal it again"
	}
	for _, name := range []string{".", sealedFolder} {
		if info, err := w.root.Stat(name); err == nil && info.Mode()&fs.ModeSticky != 0 {
			return fmt.Sprintf("the folder %s has the sticky bit, so that only who owns a file there may replace it: seal as its owner, or take the bit away (chmod -t)", w.folder.Of(name))
		}
	}
	return "you have to be allowed to write to the folder, to its " + sealedFolder + " and to the files in them"
}

var errMoved = errors.New("it was written by somebody else meanwhile")

// unmoved checks that the ledger is still the one that was read.
func (w *sealer) unmoved(was []byte) func() error {
	return func() error {
		now, err := w.root.ReadFile(ledgerFile)
		switch {
		case was == nil && errors.Is(err, fs.ErrNotExist):
			return nil
		case err != nil:
			return err
		case was == nil || !slices.Equal(now, was):
			return errMoved
		}
		return nil
	}
}

// lay writes a file under its hidden name and waits until it is on the disk.
func (w *sealer) lay(name string, data []byte) func() error {
	return func() error {
		w.step("write " + name)
		if err := w.folder.Create(publication.Hidden(name), bytes.NewReader(data)); err != nil {
			return err
		}
		w.step("keep " + name)
		f, err := w.root.OpenFile(publication.Hidden(name), os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		return errors.Join(f.Sync(), f.Close())
	}
}

// put gives a file that was laid its name.
func (w *sealer) put(name string) func() error {
	return func() error {
		w.step("rename " + name)
		return w.folder.Move(publication.Hidden(name), name)
	}
}

// settle waits until a folder's names are on the disk. Where a system can't do that
// for folders, the names are kept with the rest.
func (w *sealer) settle(name string) func() error {
	return func() error {
		w.step("settle " + name)
		f, err := w.root.Open(name)
		if err != nil {
			return err
		}
		defer f.Close()
		_ = f.Sync()
		return nil
	}
}
