package site

import (
	"bytes"
	"html/template"
	"path"
	"slices"
	"strconv"
	"sync"
)

// A late is what a page has by the hundred kilobytes, derivations and charts: a layout is
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

// drafted holds the markup that a function writes, which puts nothing else there meanwhile.
// Without a late it is the markup itself.
func (l *late) drafted(write func(*draft)) template.HTML {
	if l == nil {
		return drafted(write)
	}
	d := draft(*l.desk)
	write(&d)
	*l.desk = d
	return l.marked()
}

const lateBegins, lateEnds = "\x00late ", "\x00"

func lateMark(i int) string { return lateBegins + itoa(i) + lateEnds }

// clear gives the desk back.
func (l *late) clear() {
	if l.desk != nil {
		desks.Put(l.desk)
	}
	l.desk, l.ends = nil, nil
}

// filled is a copy of a page with the texts in the place of their marks, which a theme
// of one's own may have left out, or in another order. The room for a large one was another's,
// if one was cleared: see [clearPages].
func (l *late) filled(page []byte) []byte {
	size := len(page)
	if l != nil && len(l.ends) > 0 {
		size += l.ends[len(l.ends)-1]
	}
	var out []byte
	if size >= largePage {
		out = largeRoom()
	}
	out = slices.Grow(out, size)
	if l == nil || len(l.ends) == 0 {
		return append(out, page...)
	}
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

// largePage is how many bytes make a large page, of which a unit has two.
const largePage = 64 << 10

// largePages are room for them, used again.
var largePages = sync.Pool{New: func() any { return new([]byte) }}

// largeRoom is room for one.
func largeRoom() []byte { return (*largePages.Get().(*[]byte))[:0] }

// clearPages gives the room of large pages back, when nobody needs their bytes any more.
func clearPages(outputs []Output) {
	for i := range outputs {
		if path.Ext(outputs[i].Path) == ".html" && len(outputs[i].Bytes) >= largePage {
			largePages.Put(&outputs[i].Bytes)
		}
	}
}

// at is the text for the mark that a page goes on with, and the mark's length: where it
// is none, the NUL itself.
func (l *late) at(page []byte) (text []byte, mark int) {
	number, _, found := bytes.Cut(bytes.TrimPrefix(page, []byte(lateBegins)), []byte(lateEnds))
	i, err := strconv.Atoi(string(number))
	if !found || err != nil || i < 0 || i >= len(l.ends) || !bytes.HasPrefix(page, []byte(lateMark(i))) {
		return page[:1], 1
	}
	from := 0
	if i > 0 {
		from = l.ends[i-1]
	}
	return (*l.desk)[from:l.ends[i]], len(lateMark(i))
}
