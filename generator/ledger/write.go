package ledger

import (
	"regexp"
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
	var b strings.Builder
	b.WriteString(head)
	for _, e := range l.Entries {
		w := &writer{}
		w.entry(e)
		w.line(`digest = ` + record.Quote(e.Digest))
		b.WriteString("\n" + w.String())
	}
	return []byte(b.String())
}

// digest is what an entry's digest has to be: the SHA-256 of its text above it.
func (e *Entry) digest() string {
	w := &writer{}
	w.entry(e)
	return DigestOf([]byte(w.String()))
}

type writer struct{ strings.Builder }

// line writes a line that says something, with its mark.
func (w *writer) line(text string) { w.WriteString(text + " # " + markOf(text) + "\n") }

// markOf is a line's mark: so that an edited line is named, not only its entry.
func markOf(line string) string { return DigestOf([]byte(line))[:8] }

var mark = regexp.MustCompile(` # [0-9a-f]{8}$`)

func (w *writer) entry(e *Entry) {
	w.WriteString("[[entry]]\n")
	w.line("number = " + strconv.Itoa(e.Number))
	w.line("date = " + record.Quote(e.Date))
	for _, k := range [][2]string{{"note", e.Note}, {"before", e.Before}} {
		if k[1] != "" {
			w.line(k[0] + " = " + record.Quote(k[1]))
		}
	}
	w.line("sheet = " + record.Quote(e.Sheet))
	rows(w, "figures", e.Figures, figureRow)
	rows(w, "verdicts", e.Verdicts, verdictRow)
	rows(w, "rests_on", e.RestsOn, basisRow)
	rows(w, "corrections", e.Corrections, correctionRow)
	rows(w, "corrected", e.Corrected, correctedRow)
}

// rows writes a list of tables, one a line.
func rows[T any](w *writer, key string, list []T, row func(*cells, T)) {
	if len(list) == 0 {
		return
	}
	w.WriteString(key + " = [\n")
	for _, one := range list {
		c := &cells{}
		row(c, one)
		w.line("  { " + strings.Join(c.list, ", ") + " },")
	}
	w.WriteString("]\n")
}

// cells are the keys of one row.
type cells struct{ list []string }

func (c *cells) bare(key, value string) { c.list = append(c.list, key+" = "+value) }

func (c *cells) text(key, value string) {
	if value != "" {
		c.bare(key, record.Quote(value))
	}
}

func (c *cells) flag(key string, value bool) {
	if value {
		c.bare(key, "true")
	}
}

func figureRow(c *cells, f Figure) {
	c.text("of", f.Of)
	c.text("unit", f.Unit)
	c.bare("x", quantity.Float(f.X))
	if f.U != 0 {
		c.bare("u", quantity.Float(f.U))
	}
	c.text("formula", f.Formula)
}

func verdictRow(c *cells, v Verdict) {
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

func basisRow(c *cells, b Basis) {
	c.text("what", b.What)
	c.text("digest", b.Digest)
	c.flag("invalid", b.Invalid)
	if b.Revision > 0 {
		c.bare("revision", strconv.Itoa(b.Revision))
	}
}

func correctionRow(c *cells, k Correction) {
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

func correctedRow(c *cells, k Corrected) {
	c.text("of", k.Of)
	c.text("was", k.Was)
	c.text("now", k.Now)
	c.text("why", k.Why)
	c.flag("verdict", k.Verdict)
	c.bare("by", strconv.Itoa(k.By))
}
