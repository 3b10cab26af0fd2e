package site

import (
	"time"

	"wattsheet/generator/ledger"
	"wattsheet/generator/sheet"
)

// A dated is what feeds and the sitemap have to know of a unit: when its results came to
// be what they are, and what they say. All of it follows from record and ledger; nothing
// is the time of a build.
type dated struct {
	// Updated is when a result of the unit moved last, RFC 3339 in UTC: of its last sealed
	// version, of its last run, or of a correction, whichever is latest. It is empty for a
	// unit that has neither a seal nor a run with a time.
	Updated string `json:",omitempty"`
	// Sealed are the instants of its sealed versions, oldest first, likewise.
	Sealed []string `json:",omitempty"`
	// Finding is the headline, Under the sentence below it, Source who supplied the unit.
	Finding, Under, Source string
	Number                 string // of the sheet
	Captures               bool   `json:",omitempty"` // it has a page of its captures
}

func datedOf(s *sheet.Sheet, st *ledger.Status) dated {
	d := dated{
		Finding: oneLine(s.Headline), Under: oneLine(s.Subline), Source: oneLine(s.Disclosure), Number: s.Number,
		Updated: instantOf(s.Tested), Captures: hasCaptures(s),
	}
	if st == nil {
		return d
	}
	for _, v := range st.Versions {
		at := instantOf(v.Date)
		d.Sealed = append(d.Sealed, at)
		d.Updated = max(d.Updated, at)
	}
	for _, t := range st.Corrections {
		if t.Entry == 0 {
			d.Updated = max(d.Updated, instantOf(t.Date))
		}
	}
	return d
}

// instantOf writes a day, or an instant with its offset, as an instant in UTC, so that
// texts sort as instants do; a day begins at midnight UTC. What is neither gives "".
func instantOf(text string) string {
	for _, layout := range []string{time.RFC3339, time.DateOnly} {
		if t, err := time.Parse(layout, text); err == nil {
			return t.UTC().Format(time.RFC3339)
		}
	}
	return ""
}
