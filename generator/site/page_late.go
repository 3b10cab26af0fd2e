package site

import (
	"bytes"
	"html/template"
	"slices"
)

// A late is what a page has by the hundred kilobytes, its derivations: a layout is
// given a mark for each, and its text is put there when the page is copied from its
// desk anyway. A mark is told by its NUL, for which any text is given U+FFFD when it is
// escaped. What a late holds stands until it is cleared.
type late struct {
	desk *[]byte
	ends []int // of each text on the desk
}

// lateRoom is what the derivations of a unit of 30 runs take; it is made at once, as a
// desk that grows is copied again and again.
const lateRoom = 512 << 10

func newLate() *late {
	l := &late{desk: desks.Get().(*[]byte)}
	*l.desk = slices.Grow((*l.desk)[:0], lateRoom)
	return l
}

// marked ends a text that was appended to the desk, and returns its mark.
func (l *late) marked() template.HTML {
	l.ends = append(l.ends, len(*l.desk))
	return template.HTML(lateMark(len(l.ends) - 1))
}

func lateMark(i int) string { return "\x00late " + itoa(i) + "\x00" }

// clear gives the desk back.
func (l *late) clear() {
	if l.desk != nil {
		desks.Put(l.desk)
	}
	l.desk, l.ends = nil, nil
}

// filled is a copy of a page with the texts in the place of their marks, which a theme
// of one's own may have left out, or in another order.
func (l *late) filled(page []byte) []byte {
	if l == nil || l.desk == nil || len(l.ends) == 0 {
		return bytes.Clone(page)
	}
	out := make([]byte, 0, len(page)+l.ends[len(l.ends)-1])
	for {
		at := bytes.IndexByte(page, 0)
		if at < 0 {
			return append(out, page...)
		}
		out, page = append(out, page[:at]...), page[at:]
		text, mark := l.at(page)
		out, page = append(out, text...), page[mark:]
	}
}

// at is the text for the mark that a page goes on with, and the mark's length: where it
// is none, the NUL itself.
func (l *late) at(page []byte) (text []byte, mark int) {
	from := 0
	for i, end := range l.ends {
		if m := lateMark(i); bytes.HasPrefix(page, []byte(m)) {
			return (*l.desk)[from:end], len(m)
		}
		from = end
	}
	return page[:1], 1
}
