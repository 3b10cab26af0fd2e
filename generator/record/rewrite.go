package record

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A PoolText is a method's pool as it is written into methods.toml.
type PoolText struct {
	RelPct string   // a decimal number
	DoF    string   // a decimal number
	Date   string   // YYYY-MM-DD
	Runs   []string // slug/run
}

// keys are the pool's keys with their values as TOML.
func (p PoolText) keys() [][2]string {
	runs := make([]string, len(p.Runs))
	for i, r := range p.Runs {
		runs[i] = strconv.Quote(r)
	}
	return [][2]string{{"rel_pct", p.RelPct}, {"dof", p.DoF}, {"date", p.Date}, {"runs", "[" + strings.Join(runs, ", ") + "]"}}
}

// ErrInlineMethod says that a pool can't be added to a method that is written as
// an inline table.
var ErrInlineMethod = errors.New("this method is written as an inline table; write it as [[method]] first")

// RewritePool returns the file's text with the pool of a decoded method replaced,
// or added where it has none, and not another byte changed. The result is decoded
// again before it is returned.
func RewritePool(f *File, m *Method, p PoolText) ([]byte, error) {
	text := withoutMark(f.Text)
	mark := len(f.Text) - len(text)
	var edits []edit
	switch pool := m.Pool.node; {
	case pool == nil:
		last := lastKey(m.node)
		if last == nil {
			return nil, ErrInlineMethod
		}
		at := lineEnd(text, last.value)
		edits = []edit{{at, at, "\n\n[method.pool]\n" + strings.TrimSuffix(lines(p.keys()), "\n")}}
	case !pool.headed:
		var parts []string
		for _, k := range p.keys() {
			parts = append(parts, k[0]+" = "+k[1])
		}
		from, to := extentOf(text, pool.value)
		edits = []edit{{from, to, "{ " + strings.Join(parts, ", ") + " }"}}
	default:
		edits = headed(text, pool, p)
	}
	out := append(slices.Clone(f.Text[:mark]), applied(text, edits)...)
	return out, agrees(f, out, m.ID, p)
}

// An edit replaces the bytes from from to to.
type edit struct {
	from, to int
	with     string
}

// headed edits the keys of a pool that has its own head.
func headed(text []byte, pool *node, p PoolText) []edit {
	var edits []edit
	var missing [][2]string
	for _, k := range p.keys() {
		if kid := pool.kid(k[0]); kid != nil {
			from, to := extentOf(text, kid.value)
			edits = append(edits, edit{from, to, k[1]})
		} else {
			missing = append(missing, k)
		}
	}
	if len(missing) > 0 {
		last := pool.value
		if k := lastKey(pool); k != nil {
			last = k.value
		}
		at := lineEnd(text, last)
		edits = append(edits, edit{at, at, "\n" + strings.TrimSuffix(lines(missing), "\n")})
	}
	return edits
}

func lines(keys [][2]string) string {
	var b strings.Builder
	for _, k := range keys {
		b.WriteString(k[0] + " = " + k[1] + "\n")
	}
	return b.String()
}

// lastKey is the key of a headed table that stands last, without its sub-tables;
// nil for an inline table.
func lastKey(n *node) *node {
	if n == nil || !n.headed {
		return nil
	}
	var last *node
	for _, kid := range n.kids {
		if !kid.headed && !kid.list && (last == nil || kid.value.at > last.value.at) {
			last = kid
		}
	}
	return last
}

// extentOf is a span in bytes.
func extentOf(text []byte, s span) (from, to int) {
	from, to = int(s.at), int(s.at)
	for range s.length {
		_, size := utf8.DecodeRune(text[to:])
		to += size
	}
	return from, to
}

// lineEnd is where the line ends in which a span ends, a comment after it
// included.
func lineEnd(text []byte, s span) int {
	_, to := extentOf(text, s)
	if i := bytes.IndexByte(text[to:], '\n'); i >= 0 {
		return to + i
	}
	return len(text)
}

// applied makes the edits, which don't overlap.
func applied(text []byte, edits []edit) []byte {
	slices.SortFunc(edits, func(a, b edit) int { return a.from - b.from })
	var out []byte
	at := 0
	for _, e := range edits {
		out = append(append(out, text[at:e.from]...), e.with...)
		at = e.to
	}
	return append(out, text[at:]...)
}

// agrees decodes the new text and compares the pool with what was to be written.
func agrees(f *File, text []byte, id string, p PoolText) error {
	methods, problems := DecodeMethods(&File{Name: f.Name, Text: text})
	if problems.Errors() {
		return problems
	}
	for i := range methods.Methods {
		m := &methods.Methods[i]
		if m.ID == id && m.Pool.RelPct.Text == p.RelPct && m.Pool.Date.Text == p.Date && slices.Equal(m.Pool.Runs, p.Runs) {
			return nil
		}
	}
	return fmt.Errorf("%s: the pool of %s could not be written", f.Name, id)
}
