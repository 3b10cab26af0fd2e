package ledger

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// asWritten reads a ledger that has the very bytes which [Ledger.Text] gives it, as
// nearly all have, for a fraction of what decoding TOML takes; with the digests that are
// due to its entries. nil where the text is anything else: then the TOML decoder reads
// it, and what was edited is looked for.
func asWritten(text []byte) (*Ledger, []string) {
	rest, ok := bytes.CutPrefix(text, []byte(head))
	if !ok {
		return nil, nil
	}
	c := &cursor{text: string(rest)}
	l := &Ledger{}
	for c.text != "" && !c.failed {
		l.Entries = append(l.Entries, c.entry())
	}
	if c.failed || len(l.Entries) == 0 {
		return nil, nil
	}
	again, due := l.text()
	if !bytes.Equal(again, text) {
		return nil, nil
	}
	return l, due
}

// A cursor reads what is left of a text. It takes more than is ever written: what it
// read is written again and compared.
type cursor struct {
	text   string
	failed bool
}

// take skips a text that has to stand here.
func (c *cursor) take(what string) {
	rest, ok := strings.CutPrefix(c.text, what)
	c.failed = c.failed || !ok
	c.text = rest
}

// is skips a text where it stands here.
func (c *cursor) is(what string) bool {
	rest, ok := strings.CutPrefix(c.text, what)
	if ok {
		c.text = rest
	}
	return ok
}

// upTo reads up to one of some bytes.
func (c *cursor) upTo(ends string) string {
	n := strings.IndexAny(c.text, ends)
	if n < 0 {
		c.failed, c.text = true, ""
		return ""
	}
	word := c.text[:n]
	c.text = c.text[n:]
	return word
}

// key reads a key and what follows it.
func (c *cursor) key() string {
	key := c.upTo(" \n")
	c.take(" = ")
	return key
}

// mark skips a line's mark and its end.
func (c *cursor) mark() {
	c.take(" # ")
	c.upTo("\n")
	c.take("\n")
}

func (c *cursor) whole() int {
	n, err := strconv.Atoi(c.upTo(" ,\n"))
	c.failed = c.failed || err != nil
	return n
}

func (c *cursor) number() float64 {
	x, err := strconv.ParseFloat(c.upTo(" ,]\n"), 64)
	c.failed = c.failed || err != nil || math.IsNaN(x) || math.IsInf(x, 0)
	return x
}

func (c *cursor) yes() bool {
	c.take("true")
	return true
}

// quoted reads a text in quotes.
func (c *cursor) quoted() string {
	c.take(`"`)
	plain := strings.IndexAny(c.text, "\"\\\n")
	if plain >= 0 && c.text[plain] == '"' {
		text := c.text[:plain]
		c.text = c.text[plain+1:]
		return text
	}
	var b []byte
	for !c.failed && !c.is(`"`) {
		if c.text == "" || c.text[0] == '\n' {
			c.failed = true
			break
		}
		if c.text[0] != '\\' {
			b = append(b, c.text[0])
			c.text = c.text[1:]
			continue
		}
		b = c.escape(b)
	}
	return string(b)
}

func (c *cursor) escape(b []byte) []byte {
	switch {
	case c.is(`\"`):
		return append(b, '"')
	case c.is(`\\`):
		return append(b, '\\')
	case c.is(`\n`):
		return append(b, '\n')
	}
	n := 4
	if !c.is(`\u`) {
		c.take(`\U`)
		n = 8
	}
	if c.failed || len(c.text) < n {
		c.failed = true
		return b
	}
	r, err := strconv.ParseUint(c.text[:n], 16, 32)
	c.failed = c.failed || err != nil || !utf8.ValidRune(rune(r))
	c.text = c.text[n:]
	return utf8.AppendRune(b, rune(r))
}

// list reads a list on one line.
func list[T any](c *cursor, item func() T) []T {
	c.take("[")
	out := []T{}
	for !c.failed && !c.is("]") {
		if len(out) > 0 {
			c.take(", ")
		}
		out = append(out, item())
	}
	return out
}

// entry reads an entry with the blank line before it.
func (c *cursor) entry() *Entry {
	e := &Entry{}
	c.take("\n[[entry]]\n")
	for !c.failed && c.text != "" && c.text[0] != '\n' {
		switch c.key() {
		case "number":
			e.Number = c.whole()
		case "date":
			e.Date = c.quoted()
		case "note":
			e.Note = c.quoted()
		case "before":
			e.Before = c.quoted()
		case "sheet":
			e.Sheet = c.quoted()
		case "digest":
			e.Digest = c.quoted()
		case "figures":
			e.Figures = table(c, figureCell)
			continue
		case "verdicts":
			e.Verdicts = table(c, verdictCell)
			continue
		case "rests_on":
			e.RestsOn = table(c, basisCell)
			continue
		case "corrections":
			e.Corrections = table(c, correctionCell)
			continue
		case "corrected":
			e.Corrected = table(c, correctedCell)
			continue
		default:
			c.failed = true
		}
		c.mark()
	}
	return e
}

// table reads rows, one a line, cell by cell.
func table[T any](c *cursor, cell func(c *cursor, row *T, key string)) []T {
	var out []T
	c.take("[\n")
	for !c.failed && !c.is("]\n") {
		out = append(out, *new(T))
		row := &out[len(out)-1]
		c.take("  { ")
		for {
			cell(c, row, c.key())
			if c.failed || !c.is(", ") {
				break
			}
		}
		c.take(" },")
		c.mark()
	}
	return out
}

func figureCell(c *cursor, f *Figure, key string) {
	switch key {
	case "of":
		f.Of = c.quoted()
	case "unit":
		f.Unit = c.quoted()
	case "x":
		f.X = c.number()
	case "u":
		f.U = c.number()
	case "formula":
		f.Formula = c.quoted()
	default:
		c.failed = true
	}
}

func verdictCell(c *cursor, v *Verdict, key string) {
	switch key {
	case "of":
		v.Of = c.quoted()
	case "verdict":
		v.Verdict = c.quoted()
	case "reason":
		v.Reason = c.quoted()
	case "p":
		v.P = list(c, c.number)
	case "flip_w":
		v.FlipW = c.number()
	case "flip_to":
		v.FlipTo = c.quoted()
	case "scale":
		v.Scale = c.number()
	case "scale_to":
		v.ScaleTo = c.quoted()
	default:
		c.failed = true
	}
}

func basisCell(c *cursor, b *Basis, key string) {
	switch key {
	case "what":
		b.What = c.quoted()
	case "digest":
		b.Digest = c.quoted()
	case "invalid":
		b.Invalid = c.yes()
	case "revision":
		b.Revision = c.whole()
	default:
		c.failed = true
	}
}

func correctionCell(c *cursor, k *Correction, key string) {
	switch key {
	case "date":
		k.Date = c.quoted()
	case "kind":
		k.Kind = c.quoted()
	case "reason":
		k.Reason = c.quoted()
	case "noticed_by":
		k.NoticedBy = c.quoted()
	case "effect":
		k.Effect = c.quoted()
	case "changes":
		k.Changes = list(c, c.quoted)
	default:
		c.failed = true
	}
}

func correctedCell(c *cursor, k *Corrected, key string) {
	switch key {
	case "of":
		k.Of = c.quoted()
	case "was":
		k.Was = c.quoted()
	case "now":
		k.Now = c.quoted()
	case "why":
		k.Why = c.quoted()
	case "verdict":
		k.Verdict = c.yes()
	case "by":
		k.By = c.whole()
	default:
		c.failed = true
	}
}
