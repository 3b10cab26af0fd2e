package ledger

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// head stands at the top of every ledger.
const head = `# What was published of this unit, sealed. Written by wattsheet seal, never by
# hand: each line ends in a mark of its own, and each entry in a digest of all of
# it. What was wrong is mended by a [[correction]] in record.toml.
`

// Text is the ledger as a TOML file. The same ledger has the same bytes, and a
// file that has others was edited.
func (l *Ledger) Text() []byte {
	text, _ := l.text()
	return text
}

// text is also what each entry's digest has to be: the SHA-256 of its text above it.
func (l *Ledger) text() (text []byte, due []string) {
	lines := 0
	for _, e := range l.Entries {
		lines += 10 + len(e.Figures) + len(e.Verdicts) + len(e.RestsOn) + len(e.Corrections) + len(e.Corrected)
	}
	w := &writer{b: append(make([]byte, 0, len(head)+130*lines), head...)}
	for _, e := range l.Entries {
		w.add("\n")
		from := len(w.b)
		w.entry(e)
		due = append(due, DigestOf(w.b[from:]))
		w.text("digest", e.Digest)
	}
	return w.b, due
}

// digest is what an entry's digest has to be.
func (e *Entry) digest() string {
	w := &writer{}
	w.entry(e)
	return DigestOf(w.b)
}

// A writer appends lines to a text.
type writer struct {
	b     []byte
	from  int // where the line began
	cells int // of the row
}

func (w *writer) add(text string) { w.b = append(w.b, text...) }

// begin and end enclose a line that says something; it gets its mark.
func (w *writer) begin() { w.from = len(w.b) }

func (w *writer) end() {
	sum := sha256.Sum256(w.b[w.from:])
	w.add(" # ")
	w.b = hex.AppendEncode(w.b, sum[:markBytes])
	w.add("\n")
}

// text writes a line of one key.
func (w *writer) text(key, value string) {
	w.begin()
	w.add(key + " = ")
	w.b = record.AppendQuote(w.b, value)
	w.end()
}

// markBytes is how much of a line's digest is its mark: so that an edited line is
// named, not only its entry.
const markBytes = 4

func (w *writer) entry(e *Entry) {
	w.add("[[entry]]\n")
	w.begin()
	w.add("number = " + strconv.Itoa(e.Number))
	w.end()
	w.text("date", e.Date)
	if e.Note != "" {
		w.text("note", e.Note)
	}
	if e.Before != "" {
		w.text("before", e.Before)
	}
	w.text("sheet", e.Sheet)
	rows(w, "figures", e.Figures, figureRow)
	rows(w, "verdicts", e.Verdicts, verdictRow)
	rows(w, "rests_on", e.RestsOn, basisRow)
	rows(w, "corrections", e.Corrections, correctionRow)
	rows(w, "corrected", e.Corrected, correctedRow)
}

// rows writes a list of tables, one a line.
func rows[T any](w *writer, key string, list []T, row func(cells, T)) {
	if len(list) == 0 {
		return
	}
	w.add(key + " = [\n")
	for _, one := range list {
		w.begin()
		w.add("  { ")
		w.cells = 0
		row(cells{w}, one)
		w.add(" },")
		w.end()
	}
	w.add("]\n")
}

// cells are the keys of one row.
type cells struct{ w *writer }

func (c cells) key(key string) {
	if c.w.cells++; c.w.cells > 1 {
		c.w.add(", ")
	}
	c.w.add(key)
	c.w.add(" = ")
}

func (c cells) bare(key, value string) {
	c.key(key)
	c.w.add(value)
}

func (c cells) text(key, value string) {
	if value != "" {
		c.key(key)
		c.w.b = record.AppendQuote(c.w.b, value)
	}
}

func (c cells) flag(key string, value bool) {
	if value {
		c.bare(key, "true")
	}
}

func figureRow(c cells, f Figure) {
	c.text("of", f.Of)
	c.text("unit", f.Unit)
	c.bare("x", quantity.Float(f.X))
	if f.U != 0 {
		c.bare("u", quantity.Float(f.U))
	}
	c.text("formula", f.Formula)
}

func verdictRow(c cells, v Verdict) {
	c.text("of", v.Of)
	c.text("verdict", v.Verdict)
	c.text("reason", v.Reason)
	if len(v.P) > 0 {
		var list []string
		for _, p := range v.P {
			list = append(list, quantity.Float(p))
		}
		c.bare("p", "["+strings.Join(list, ", ")+"]")
	}
	if v.FlipTo != "" {
		c.bare("flip_w", quantity.Float(v.FlipW))
		c.text("flip_to", v.FlipTo)
	}
	if v.ScaleTo != "" {
		c.bare("scale", quantity.Float(v.Scale))
		c.text("scale_to", v.ScaleTo)
	}
}

func basisRow(c cells, b Basis) {
	c.text("what", b.What)
	c.text("digest", b.Digest)
	c.flag("invalid", b.Invalid)
	if b.Revision > 0 {
		c.bare("revision", strconv.Itoa(b.Revision))
	}
}

func correctionRow(c cells, k Correction) {
	c.text("date", k.Date)
	c.text("kind", k.Kind)
	c.text("reason", k.Reason)
	c.text("noticed_by", k.NoticedBy)
	c.text("effect", k.Effect)
	quoted := make([]string, len(k.Changes))
	for i, one := range k.Changes {
		quoted[i] = record.Quote(one)
	}
	c.bare("changes", "["+strings.Join(quoted, ", ")+"]")
}

func correctedRow(c cells, k Corrected) {
	c.text("of", k.Of)
	c.text("was", k.Was)
	c.text("now", k.Now)
	c.text("why", k.Why)
	c.flag("verdict", k.Verdict)
	c.bare("by", strconv.Itoa(k.By))
}
