package ledger

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"wattsheet/generator/sheet"
)

// ErrNothingNew says that the last entry has all that would be sealed.
var ErrNothingNew = errors.New("nothing changed since the last entry")

// Seal returns the ledger with one more entry: the results of a unit as its status
// has them. The date is RFC 3339, the sheet is the sheet.json that is published
// with them. The ledger given, which may be nil, stays as it is.
//
// A unit with problems can't be sealed. Where the last entry has it all, the error
// is [ErrNothingNew].
func Seal(l *Ledger, s *Status, date, note string, sheet []byte) (*Ledger, error) {
	if s.Problems.Errors() {
		return nil, s.Problems
	}
	at, err := time.Parse(time.RFC3339, date)
	if err != nil {
		return nil, fmt.Errorf("%q is no date and time\nhint: write it as 2026-10-09T14:05:00+02:00", date)
	}
	if run := after(s.sheet, at); run != nil {
		return nil, fmt.Errorf("%s is before run %s was made, on %s\nhint: nothing was sealed before it was measured; look at the date", at.Format(time.RFC3339), run.ID, run.Rec.At.Text)
	}
	e := &Entry{Number: 1, Date: at.Format(time.RFC3339), Note: note, Sheet: DigestOf(sheet), State: *StateOf(s.sheet)}
	out := &Ledger{}
	if last := l.Last(); last != nil {
		if len(s.Unsealed) == 0 && !slices.ContainsFunc(s.Corrections, func(t Told) bool { return t.Entry == 0 }) {
			return nil, ErrNothingNew
		}
		if !inOrder(last.Date, e.Date) {
			return nil, fmt.Errorf("%s is before entry %d, of %s\nhint: an entry is never older than the one before", e.Date, last.Number, last.Date)
		}
		e.Number, e.Before = last.Number+1, last.Digest
		out.Entries = slices.Clone(l.Entries)
	}
	for _, t := range s.Corrections {
		if t.Entry > 0 {
			continue
		}
		e.Corrections = append(e.Corrections, t.Correction)
		for _, k := range t.Results {
			k.By = len(e.Corrections)
			e.Corrected = append(e.Corrected, k)
		}
	}
	e.Digest = e.digest()
	out.Entries = append(out.Entries, e)
	return out, nil
}

// after gives a run that was made after an instant, by what the record says.
func after(s *sheet.Sheet, at time.Time) *sheet.Run {
	for _, r := range s.Runs {
		made, err := time.Parse(time.RFC3339, r.Rec.At.Text)
		if err == nil && made.After(at) {
			return r
		}
	}
	return nil
}
