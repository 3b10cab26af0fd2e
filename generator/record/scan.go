package record

import (
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// A span is a stretch of a file: line and column from 1 and length, all in
// characters, and the byte where it starts.
type span struct{ line, column, length, at int32 }

// A node is where one value stands in a file. The scanner makes the tree of
// them; the values themselves come from the TOML decoder, which is the
// authority for what is valid.
type node struct {
	name       string
	key, value span             // value is the head's span for a table with a head
	text       string           // a scalar as written
	column     string           // of a cell of runs.csv: what its column is called
	common     bool             // what all rows of runs.csv have in common
	kids       []*node          // of a table, in the order of the file
	items      []*node          // of a list
	index      map[string]*node // of kids, once there are many
	headed     bool             // a table that has had its own head
	list       bool
	unread     bool // the file's top, where nothing of the file could be read
	refused    bool // a key that its table doesn't have, or a word that its key doesn't take
}

// kid gives the value of a key in a table, or nil.
func (n *node) kid(key string) *node {
	if n == nil {
		return nil
	}
	if n.index != nil {
		return n.index[key]
	}
	for _, kid := range n.kids {
		if kid.name == key {
			return kid
		}
	}
	return nil
}

// many is how many keys are looked through one by one; beyond, they are indexed.
const many = 24

func (n *node) add(kid *node) {
	n.kids = append(n.kids, kid)
	if n.index != nil {
		n.index[kid.name] = kid
	} else if len(n.kids) > many {
		n.index = make(map[string]*node, 2*many)
		for _, kid := range n.kids {
			n.index[kid.name] = kid
		}
	}
}

func (s *scanner) add(table, kid *node) {
	if table.kids == nil {
		table.kids = s.room(12)
	}
	table.add(kid)
}

// A fault is where the scanner couldn't go on.
type fault struct {
	at   int
	open span   // the value within which it is, if any
	list span   // the outermost list or table in a line within which it is, if any
	why  string // empty: bad syntax, which the TOML decoder explains better
}

// deepest is how far lists, tables and dotted keys may nest. The TOML decoder
// calls itself for each level, so a hostile file must not reach it.
const deepest = 24

// A scanner builds the tree in one pass over the text.
type scanner struct {
	text  string
	at    int
	root  *node
	fault *fault
	first *node // the first value of the first key that is given twice …
	again *node // … and the second

	// odd tells that something stands there which the scanner takes and doesn't fully
	// understand, or that TOML may not allow: see [scanner.plain].
	odd bool

	depth        int
	seen         int // line and column are those of this byte
	line, column int32
	parts        []part // of the key being read
	slab         []node
	pointers     []*node
}

// A part is one part of a key and where it stands.
type part struct {
	name string
	key  span
}

// scan gives the tree of a TOML text. It takes more than TOML allows, and it
// stops at the first fault; the tree is right for a text that the TOML decoder
// takes.
func scan(text string) *scanner {
	s := &scanner{text: text, line: 1, column: 1, slab: make([]node, min(len(text)/16, 1<<12)+8)}
	s.root = s.node()
	s.root.value = span{line: 1, column: 1}
	table := s.root
	for s.fault == nil {
		if s.blank(); s.at >= len(s.text) {
			break
		}
		if s.text[s.at] == '[' {
			table = s.head()
		} else {
			s.pair(table)
		}
		s.lineEnd()
	}
	return s
}

func (s *scanner) node() *node {
	if len(s.slab) == 0 {
		s.slab = make([]node, 64)
	}
	n := &s.slab[0]
	s.slab = s.slab[1:]
	return n
}

// room is a slice for a few nodes.
func (s *scanner) room(n int) []*node {
	if len(s.pointers) < n {
		s.pointers = make([]*node, max(256, n))
	}
	room := s.pointers[:0:n]
	s.pointers = s.pointers[n:]
	return room
}

func (s *scanner) fail(why string) {
	if s.fault == nil {
		s.fault = &fault{at: s.at, why: why}
	}
}

// start gives the place of a byte. Bytes are asked for in ascending order, so
// that the whole file is counted once.
func (s *scanner) start(at int) span {
	part := s.text[s.seen:at]
	if n := strings.Count(part, "\n"); n > 0 {
		s.line += int32(n)
		s.column = 1
		part = part[strings.LastIndexByte(part, '\n')+1:]
	}
	s.column += int32(utf8.RuneCountInString(part))
	s.seen = at
	return span{line: s.line, column: s.column, at: int32(at)}
}

// end completes a span that reaches to the scanner's position.
func (s *scanner) end(from span) span {
	from.length = int32(utf8.RuneCountInString(s.text[from.at:s.at]))
	return from
}

// peek gives the next byte, or 0 at the end.
func (s *scanner) peek() byte {
	if s.at < len(s.text) {
		return s.text[s.at]
	}
	return 0
}

func (s *scanner) take(c byte) bool {
	if s.peek() == c && s.at < len(s.text) {
		s.at++
		return true
	}
	return false
}

// gap skips blanks within a line.
func (s *scanner) gap() {
	for c := s.peek(); c == ' ' || c == '\t'; c = s.peek() {
		s.at++
	}
}

// blank skips blanks, comments and line ends.
func (s *scanner) blank() {
	for {
		switch s.peek() {
		case ' ', '\t', '\n', '\r':
			s.at++
		case '#':
			s.comment()
		default:
			return
		}
	}
}

func (s *scanner) comment() {
	if n := strings.IndexByte(s.text[s.at:], '\n'); n >= 0 {
		s.at += n
	} else {
		s.at = len(s.text)
	}
}

func (s *scanner) lineEnd() {
	s.gap()
	switch s.peek() {
	case '#':
		s.comment()
	case '\n', '\r':
	default:
		if s.at < len(s.text) {
			s.fail("")
		}
	}
}

// head reads [a.b] or [[a.b]] and gives the table that it opens.
func (s *scanner) head() *node {
	from := s.start(s.at)
	s.at++
	list := s.take('[')
	s.key()
	if !s.take(']') || list && !s.take(']') {
		s.fail("")
	}
	if s.fault != nil {
		return s.root
	}
	from = s.end(from)
	last := len(s.parts) - 1
	s.odd = s.odd || last > 0
	table := s.descend(s.root, s.parts[:last])
	if list {
		return s.nextOf(table, s.parts[last], from)
	}
	kid := table.kid(s.parts[last].name)
	if kid == nil {
		kid = s.keep(table, s.parts[last])
	} else {
		s.odd = true
		if kid.headed || kid.list || kid.text != "" {
			s.twice(kid, &node{name: s.parts[last].name, key: s.parts[last].key})
		}
	}
	kid.headed, kid.key, kid.value = true, s.parts[last].key, from
	return kid
}

// nextOf adds a table to an array of tables.
func (s *scanner) nextOf(table *node, p part, head span) *node {
	list := table.kid(p.name)
	if list == nil {
		list = s.keep(table, p)
		list.list, list.value = true, head
	} else if !list.list || len(list.items) == 0 || !list.items[0].headed {
		s.odd = true
	}
	item := s.node()
	item.name, item.key = p.name, p.key
	item.headed, item.value = true, head
	list.items = append(list.items, item)
	return item
}

func (s *scanner) keep(table *node, p part) *node {
	kid := s.node()
	kid.name, kid.key, kid.value = p.name, p.key, p.key
	s.add(table, kid)
	return kid
}

// descend goes down dotted parts, making tables that aren't there. A part that
// names an array of tables means its last one.
func (s *scanner) descend(table *node, parts []part) *node {
	for _, p := range parts {
		kid := table.kid(p.name)
		if kid == nil {
			kid = s.keep(table, p)
		}
		if kid.list && len(kid.items) > 0 {
			kid = kid.items[len(kid.items)-1]
		}
		table = kid
	}
	return table
}

// pair reads key = value into a table.
func (s *scanner) pair(table *node) {
	s.key()
	if s.fault == nil && !s.take('=') {
		s.fail("")
	}
	if s.fault != nil {
		return
	}
	last := len(s.parts) - 1
	p := s.parts[last]
	s.odd = s.odd || last > 0
	table = s.descend(table, s.parts[:last])
	s.gap()
	kid := s.node()
	kid.name, kid.key = p.name, p.key
	if first := table.kid(p.name); first != nil {
		s.twice(first, kid)
	} else {
		s.add(table, kid)
	}
	s.value(kid)
}

func (s *scanner) twice(first, again *node) {
	if s.first == nil {
		before := *first // it may go on to mean the second
		s.first, s.again = &before, again
	}
}

// key reads a dotted key into parts, up to what follows it.
func (s *scanner) key() {
	s.parts = s.parts[:0]
	for s.fault == nil {
		s.gap()
		from := s.start(s.at)
		name := s.part()
		s.parts = append(s.parts, part{name, s.end(from)})
		if s.gap(); !s.take('.') {
			break
		}
		if len(s.parts) >= deepest {
			s.fail("the key has too many parts")
		}
	}
}

// part reads one part of a key: bare or quoted.
func (s *scanner) part() string {
	from := s.at
	if c := s.peek(); c == '"' || c == '\'' {
		s.odd = true
		s.closing(c)
		if s.fault != nil {
			return ""
		}
		return unquoted(s.text[from:s.at])
	}
	for bare(s.peek()) {
		s.at++
	}
	s.odd = s.odd || s.at == from
	return s.text[from:s.at]
}

func bare(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '_' || c == '-'
}

// unquoted is a quoted key without its quotes. Escapes are rare in keys, so
// they are left to the authority.
func unquoted(quoted string) string {
	inner := quoted[1 : len(quoted)-1]
	if quoted[0] == '\'' || !strings.Contains(inner, `\`) {
		return inner
	}
	var one struct{ K string }
	if _, err := toml.Decode("K = "+quoted, &one); err != nil {
		return inner
	}
	return one.K
}
