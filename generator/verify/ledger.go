package verify

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strconv"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/ledger"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A VerifiedLedger is a published ledger, followed from entry to entry and compared
// with the sheets beside it.
type VerifiedLedger struct {
	File    string // as it is printed
	Entries int
	// Problems are places in the file that were edited, or where an entry is missing.
	Problems record.Problems
	// Differ says in sentences what of the sheets beside it isn't as it was sealed.
	Differ []string
}

// Agrees reports whether the chain holds and the sheets are as sealed.
func (v *VerifiedLedger) Agrees() bool { return !v.Problems.Errors() && len(v.Differ) == 0 }

// sealedSheetOf tells whether a file is the sheet of a sealed version, and in which
// unit's folder: units/x/v/2/sheet.json.
func sealedSheetOf(at string) (folder string, is bool) {
	above := path.Dir(path.Dir(at))
	n, err := strconv.Atoi(path.Base(path.Dir(at)))
	return path.Dir(above), err == nil && n > 0 && path.Base(above) == "v"
}

// ledger follows one published ledger. The sheets beside it are looked at too,
// unless the file is verified alone.
func (f *Folder) ledger(root *os.Root, at, name string, alone bool) {
	text, err := disk.Read(root, at, disk.Large)
	if err != nil {
		f.Unreadable = append(f.Unreadable, fmt.Errorf("%s can't be read: %w", name, disk.Cause(err)))
		return
	}
	v := &VerifiedLedger{File: name}
	f.Ledgers = append(f.Ledgers, v)
	var l *ledger.Ledger
	l, v.Problems = ledger.Read(&record.File{Name: name, Text: text})
	if v.Entries = len(l.Entries); v.Problems.Errors() || alone {
		return
	}
	folder := path.Dir(at)
	for _, e := range l.Entries {
		v.sealed(root, folder, e)
	}
	v.current(root, folder, l)
}

// sealed compares the sheet of an entry with the entry's digest.
func (v *VerifiedLedger) sealed(root *os.Root, folder string, e *ledger.Entry) {
	name := path.Join("v", strconv.Itoa(e.Number), "sheet.json")
	data, err := disk.Read(root, path.Join(folder, name), disk.Large)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		v.Differ = append(v.Differ, fmt.Sprintf("%s, the sheet that entry %d sealed, is not there", name, e.Number))
	case err != nil || ledger.DigestOf(data) != e.Sheet:
		v.Differ = append(v.Differ, fmt.Sprintf("%s isn't the sheet that entry %d sealed", name, e.Number))
	}
}

// current evaluates the unit's sheet and compares its results with the last entry:
// what is another needs a correction in the sheet.
func (v *VerifiedLedger) current(root *os.Root, folder string, l *ledger.Ledger) {
	data, err := disk.Read(root, path.Join(folder, "sheet.json"), disk.Large)
	if err != nil {
		v.Differ = append(v.Differ, "the sheet.json beside it can't be read, so it can't be compared")
		return
	}
	d, err := Read("sheet.json", data)
	if err != nil {
		return // it is told of as a sheet
	}
	content, problems := d.Content("sheet.json")
	if problems.Errors() {
		return // likewise
	}
	st, err := followed(l, content)
	if err != nil {
		return // likewise
	}
	n := l.Last().Number
	for _, c := range st.Uncovered {
		v.Differ = append(v.Differ, fmt.Sprintf("%s was %s in entry %d and is %s now, and no correction tells of it (%s)",
			c.Of, c.Was, n, c.Now, strings.Join(c.Why, "; ")))
	}
	if len(st.Uncovered) > 0 {
		return
	}
	for _, p := range st.Problems {
		v.Differ = append(v.Differ, p.Summary)
	}
}

// followed compares a content's only unit with a ledger. As in evaluated, odd
// numbers of an untrusted file must not bring the program down.
func followed(l *ledger.Ledger, content *record.Content) (st *ledger.Status, err error) {
	defer func() {
		if recover() != nil {
			st, err = nil, errors.New("nothing finite follows from its numbers")
		}
	}()
	return ledger.Follow(l, sheet.Evaluate(content, content.Records[0])), nil
}
