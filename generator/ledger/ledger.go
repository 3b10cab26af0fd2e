// Package ledger keeps what was published: sealed results in a chain of entries,
// what they rest on, how current results differ from them, and which corrections
// tell of that.
//
// An entry carries its own digest and that of the entry before. A digest is no
// signature: whoever may write the file can write the whole chain anew. It shows a
// slip, and a change by anybody who didn't; and a copy published earlier shows
// the rest.
package ledger

import (
	"crypto/sha256"
	"encoding/hex"
	"math"

	"wattsheet/generator/quantity"
)

// A Ledger is the sealed results of one unit, in the order in which they were
// sealed. It has an entry at least, unless nothing was sealed yet.
type Ledger struct {
	Entries []*Entry `toml:"entry"`
}

// Last is the newest entry; nil where nothing was sealed yet.
func (l *Ledger) Last() *Entry {
	if l == nil || len(l.Entries) == 0 {
		return nil
	}
	return l.Entries[len(l.Entries)-1]
}

// An Entry is what was published of a unit at one time.
type Entry struct {
	Number int    `toml:"number"` // from 1
	Date   string `toml:"date"`   // RFC 3339
	Note   string `toml:"note"`
	Before string `toml:"before"` // the digest of the entry before; empty for the first
	// Sheet is the SHA-256 of the sheet.json as it was published then.
	Sheet string `toml:"sheet"`
	State
	Corrections []Correction `toml:"corrections"`
	Corrected   []Corrected  `toml:"corrected"`
	Digest      string       `toml:"digest"` // SHA-256 of the entry's text above it
}

// A State is the results of a unit, and what they rest on.
type State struct {
	Figures  []Figure  `toml:"figures"`
	Verdicts []Verdict `toml:"verdicts"`
	RestsOn  []Basis   `toml:"rests_on"`

	// needs gives the names in RestsOn that a result rests on, by the result's head;
	// nil for a state that was read. It is only asked for where something changed.
	needs func() map[string]map[string]bool
}

// A Figure is one published figure. Numbers have 12 significant digits.
type Figure struct {
	Of      string  `toml:"of"`   // run r1 / channel L / power
	Unit    string  `toml:"unit"` // W, V, A, Ω, %, dB
	X       float64 `toml:"x"`
	U       float64 `toml:"u"`       // expanded uncertainty; 0 where nothing is known to be uncertain
	Formula string  `toml:"formula"` // id in the catalogue
}

// A Verdict is the verdict on a claim or on another stated figure.
type Verdict struct {
	Of      string `toml:"of"` // claim 4-ohm, spec height
	Verdict string `toml:"verdict"`
	Reason  string `toml:"reason"` // a code: why it is open, untested or incomparable
	// P is the probability that the claim holds, smallest and largest over the
	// corners; empty where there is none.
	P []float64 `toml:"p"`
	// FlipW is the shift of the mean in watts that would change the verdict to
	// FlipTo, Scale the factor on U that would change it to ScaleTo; of no meaning
	// where these are empty.
	FlipW   float64 `toml:"flip_w"`
	FlipTo  string  `toml:"flip_to"`
	Scale   float64 `toml:"scale"`
	ScaleTo string  `toml:"scale_to"`
}

// A Basis is something that results rest on.
type Basis struct {
	What string `toml:"what"` // run r1, claim 4-ohm, instrument dmm, pool of thd1, formula heat
	// Digest is the SHA-256 of what it says, see basis.go; empty for a formula.
	Digest string `toml:"digest"`
	// Invalid is true for a run that doesn't count.
	Invalid bool `toml:"invalid"`
	// Revision is the formula's.
	Revision int `toml:"revision"`
}

// A Correction is one of the record, as it was sealed.
type Correction struct {
	Date      string   `toml:"date"` // YYYY-MM-DD
	Kind      string   `toml:"kind"` // mistake, method or retest
	Reason    string   `toml:"reason"`
	NoticedBy string   `toml:"noticed_by"`
	Effect    string   `toml:"effect"`
	Changes   []string `toml:"changes"`
}

// A Corrected is one result that a correction changed.
type Corrected struct {
	Of  string `toml:"of"`
	Was string `toml:"was"` // for people, as published
	Now string `toml:"now"` // likewise; "gone" where it is no result any more
	Why string `toml:"why"` // what it rests on that changed, in words
	// Verdict is true where another word was the verdict before.
	Verdict bool `toml:"verdict"`
	By      int  `toml:"by"` // which of the entry's corrections covers it, from 1
}

// DigestOf is the SHA-256 of some bytes, in hexadecimal.
func DigestOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// digits rounds a number to what files carry, so that it is the same when it was
// written and read.
func digits(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return quantity.Rounded(x) + 0 // as it is written and read: no −0
}
