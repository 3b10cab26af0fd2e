package site

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/ledger"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

// The names of what wattsheet seal writes into a unit's folder.
const (
	ledgerFile   = "ledger.toml"
	sealedFolder = "sealed"
)

// A sealed is what was sealed of one unit, as it was read.
type sealed struct {
	ledger *ledger.Ledger
	text   []byte
	sheets map[int][]byte // the sheet.json of each entry, by its number
	status *ledger.Status
}

// Ledger tells how a unit stands to its ledger: its sealed versions, corrections and
// what isn't sealed yet. It is nil for a unit that the site doesn't have.
func (s *Site) Ledger(slug string) *ledger.Status {
	if one := s.sealed[slug]; one != nil {
		return one.status
	}
	return nil
}

// SealedSheet gives the sheet.json of a unit as it was published in a sealed
// version, byte for byte; nil where there is no such version. The site publishes it
// at [SealedPath].
func (s *Site) SealedSheet(slug string, version int) []byte {
	if one := s.sealed[slug]; one != nil {
		return one.sheets[version]
	}
	return nil
}

// SealedPath is the path of a sealed version's sheet.json in the published site.
func SealedPath(slug string, version int) string {
	return path.Join(unitsFolder, slug, "v", strconv.Itoa(version), "sheet.json")
}

// sealedName is the file of an entry's sheet, in the unit's folder.
func sealedName(n int) string { return path.Join(sealedFolder, strconv.Itoa(n)+".json") }

// surveySealed notes the files of a unit's sealed folder.
func (l *loader) surveySealed(slug string) {
	folder := path.Join(unitsFolder, slug, sealedFolder)
	l.sealedOf(slug)
	for _, name := range l.list(folder) {
		number, _ := strings.CutSuffix(name, ".json")
		n, err := strconv.Atoi(number)
		if err != nil || n < 1 || path.Base(sealedName(n)) != name {
			l.odd(path.Join(folder, name), "nothing reads this", "the folder holds the sheets that wattsheet seal put there, 1.json and so on")
			continue
		}
		l.sealed[slug] = append(l.sealed[slug], n)
	}
}

// sealedOf notes that a unit has something sealed.
func (l *loader) sealedOf(slug string) {
	if _, known := l.sealed[slug]; !known {
		l.sealed[slug] = nil
	}
}

// ledgers reads what was sealed of every unit, and follows the chains.
func (l *loader) ledgers(s *Site) record.Problems {
	s.sealed = map[string]*sealed{}
	var problems record.Problems
	for _, slug := range l.slugs {
		files, has := l.sealed[slug]
		if !has {
			continue
		}
		one, more := l.oneLedger(slug, files)
		s.sealed[slug] = one
		problems = append(problems, more...)
	}
	return problems
}

func (l *loader) oneLedger(slug string, files []int) (*sealed, record.Problems) {
	name := path.Join(unitsFolder, slug, ledgerFile)
	text, err := disk.Read(l.root, name, disk.Large)
	switch {
	case errors.Is(err, fs.ErrNotExist) && len(files) == 0:
		return &sealed{}, nil
	case errors.Is(err, fs.ErrNotExist):
		return &sealed{}, record.Problems{whole(name, record.Error, "this file is missing, but sheets were sealed with it", "put it back, from a backup or the published copy")}
	case err != nil:
		return &sealed{}, record.Problems{unreadable(name, err)}
	}
	one := &sealed{text: text, sheets: map[int][]byte{}}
	var problems record.Problems
	one.ledger, problems = ledger.Read(&record.File{Name: path.Join(contentFolder, name), Text: text})
	if problems.Errors() {
		return one, problems
	}
	for _, e := range one.ledger.Entries {
		data, problem := l.sealedSheet(slug, e)
		if problem != nil {
			problems = append(problems, *problem)
			continue
		}
		one.sheets[e.Number] = data
	}
	for _, n := range files {
		if n > len(one.ledger.Entries) {
			problems = append(problems, whole(path.Join(unitsFolder, slug, sealedName(n)), record.Error,
				fmt.Sprintf("this was sealed by entry %d, which isn't in %s", n, ledgerFile),
				"an entry was taken out: put the file back as it was, from a backup or the published copy"))
		}
	}
	return one, problems
}

// sealedSheet reads the sheet of an entry. A seal that was stopped at its last step
// has left it under its hidden name.
func (l *loader) sealedSheet(slug string, e *ledger.Entry) ([]byte, *record.Problem) {
	name := path.Join(unitsFolder, slug, sealedName(e.Number))
	data, err := disk.Read(l.root, name, disk.Large)
	if errors.Is(err, fs.ErrNotExist) {
		data, err = disk.Read(l.root, publication.Hidden(name), disk.Large)
	}
	var p record.Problem
	switch {
	case errors.Is(err, fs.ErrNotExist):
		p = whole(name, record.Error, fmt.Sprintf("this file is missing: it is the sheet that entry %d sealed", e.Number), "put it back, from a backup or the published copy")
	case err != nil:
		p = unreadable(name, err)
	case ledger.DigestOf(data) != e.Sheet:
		p = whole(name, record.Error, fmt.Sprintf("this isn't the sheet that entry %d sealed: its digest is another", e.Number), "put it back as it was, from a backup or the published copy")
	default:
		return data, nil
	}
	return nil, &p
}

// follow compares every sheet with its ledger.
func (s *Site) follow() record.Problems {
	states := make([]*ledger.Status, len(s.Sheets))
	each(len(states), func(i int) {
		var l *ledger.Ledger
		if one := s.sealed[s.Sheets[i].Slug]; one != nil {
			l = one.ledger
		}
		states[i] = ledger.Follow(l, s.Sheets[i])
	})
	var problems record.Problems
	for i, unit := range s.Sheets {
		if s.sealed[unit.Slug] == nil {
			s.sealed[unit.Slug] = &sealed{}
		}
		s.sealed[unit.Slug].status = states[i]
		problems = append(problems, states[i].Problems...)
	}
	return problems
}

// sealedOutputs are a unit's ledger and the sheets of its entries, as they are.
func (s *Site) sealedOutputs(slug string) []Output {
	one := s.sealed[slug]
	if one == nil || one.text == nil {
		return nil
	}
	out := []Output{{Path: path.Join(unitsFolder, slug, ledgerFile), Bytes: one.text}}
	for _, e := range one.ledger.Entries {
		out = append(out, Output{Path: SealedPath(slug, e.Number), Bytes: one.sheets[e.Number]})
	}
	return out
}
