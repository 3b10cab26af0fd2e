package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/BurntSushi/toml"

	"wattsheet/generator/record"
)

const restore = "put the file back as it was, from a backup or the published copy; what was published wrongly is mended by a [[correction]] in record.toml"

// Read reads a ledger and follows its chain. A problem names the line that was
// edited, or the entry that was, or the place in the chain where one is missing.
func Read(f *record.File) (*Ledger, record.Problems) {
	r := &reader{file: f, edited: map[int]bool{}}
	l, due := asWritten(f.Text)
	if l == nil {
		l = &Ledger{}
		if _, err := toml.NewDecoder(bytes.NewReader(f.Text)).Decode(l); err != nil {
			return &Ledger{}, record.Problems{unreadable(f, err)}
		}
		var text []byte
		text, due = l.text()
		if len(l.Entries) > 0 {
			r.find()
			r.lines(text)
		}
	} else {
		r.find()
	}
	if len(l.Entries) == 0 {
		r.add(0, 0, "this holds no entry, so every one was taken out")
		return l, r.problems
	}
	r.chain(l, due)
	r.problems.Sort()
	return l, r.problems
}

// unreadable is the problem with a file that isn't such TOML at all.
func unreadable(f *record.File, err error) record.Problem {
	var at toml.ParseError
	if !errors.As(err, &at) {
		return f.Problem(record.Error, 0, 0, "this is no ledger: "+firstLine(err.Error()), restore)
	}
	start, n := 0, 1
	for ; n < at.Position.Line; n++ {
		i := bytes.IndexByte(f.Text[start:], '\n')
		if i < 0 {
			break
		}
		start += i + 1
	}
	return f.Problem(record.Error, start, 1, "this was edited or cut off since it was sealed: "+firstLine(at.Message), restore)
}

func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return line
}

// A reader follows the chain of one file.
type reader struct {
	file     *record.File
	starts   []int        // where each entry begins, in bytes
	edited   map[int]bool // entries in which a line was edited, from 0
	problems record.Problems
}

func (r *reader) add(at, length int, format string, args ...any) {
	r.problems = append(r.problems, r.file.Problem(record.Error, at, length, fmt.Sprintf(format, args...), restore))
}

const entryHead = "[[entry]]"

// find notes where each entry begins.
func (r *reader) find() {
	at := 0
	for line := range strings.Lines(string(r.file.Text)) {
		if strings.TrimSpace(line) == entryHead {
			r.starts = append(r.starts, at)
		}
		at += len(line)
	}
}

// entryAt is the entry in which an offset lies, from 0; −1 above the first.
func (r *reader) entryAt(at int) int {
	n := -1
	for i, start := range r.starts {
		if start <= at {
			n = i
		}
	}
	return n
}

func (r *reader) start(entry int) int {
	if entry < len(r.starts) {
		return r.starts[entry]
	}
	return 0
}

// mostLines is how many edited lines are named one by one.
const mostLines = 5

// lines compares the file with what its own content is written as: a line that was
// edited has another mark, or another form.
func (r *reader) lines(want []byte) {
	if bytes.Equal(want, r.file.Text) {
		return
	}
	if bytes.Equal(want, bytes.ReplaceAll(r.file.Text, []byte("\r\n"), []byte("\n"))) {
		r.problems = append(r.problems, r.file.Problem(record.Error, 0, 1, "the ends of its lines were changed to CR LF since this was sealed",
			"put the file back as it was, and have your editor or version control leave it alone (git: *.toml -text in .gitattributes)"))
		return
	}
	has := strings.SplitAfter(string(r.file.Text), "\n")
	due := strings.SplitAfter(string(want), "\n")
	at, named := 0, 0
	for i := range has {
		if i >= len(due) || has[i] != due[i] {
			entry := r.entryAt(at)
			r.edited[entry] = true
			if named++; named <= mostLines {
				line := strings.TrimRight(has[i], "\r\n")
				r.add(at, max(1, utf8.RuneCountInString(line)), "%sthis was edited since it was sealed%s", r.nameOf(entry), about(line))
			}
			if len(has) != len(due) {
				return // what follows is moved
			}
		}
		at += len(has[i])
	}
	if len(has) < len(due) {
		r.add(len(r.file.Text), 0, "the end of this file is missing")
	}
	if named > mostLines {
		r.add(len(r.file.Text), 0, "%d more lines were edited since they were sealed", named-mostLines)
	}
}

func (r *reader) nameOf(entry int) string {
	if entry < 0 {
		return ""
	}
	return fmt.Sprintf("entry %d: ", entry+1)
}

var subject = regexp.MustCompile(`^\s*\{ (?:of|what|date) = "((?:[^"\\]|\\.)*)"`)
var keyed = regexp.MustCompile(`^([a-z_]+) = `)

// about says what a line of a ledger is about, where that can still be seen.
func about(line string) string {
	if m := subject.FindStringSubmatch(line); m != nil {
		return ": " + m[1]
	}
	if m := keyed.FindStringSubmatch(line); m != nil {
		return ": " + m[1]
	}
	return ""
}

// chain compares each entry with its number, with the digest that is due, and with that
// of the entry before.
func (r *reader) chain(l *Ledger, due []string) {
	var before *Entry
	for i, e := range l.Entries {
		at := r.start(i)
		length := len(entryHead)
		switch {
		case e.Number != i+1 && !r.edited[i]:
			r.add(at, length, "entry %d stands in the place of entry %d: an entry was taken out, or their order changed", e.Number, i+1)
		case e.Digest != due[i] && !r.edited[i]:
			r.add(at, length, "entry %d doesn't have its digest: a line of it was edited together with its mark, taken out, added or moved", i+1)
		case before == nil && e.Before != "":
			r.add(at, length, "entry %d was sealed upon another, which was taken out", e.Number)
		case before != nil && e.Before != before.Digest && !r.edited[i]:
			r.add(at, length, "entry %d was not sealed upon entry %d as it stands here: entry %d was changed and its digest with it, or was replaced", e.Number, before.Number, before.Number)
		case before != nil && !r.edited[i-1] && !r.edited[i] && !inOrder(before.Date, e.Date):
			r.add(at, length, "entry %d is older than entry %d", e.Number, before.Number)
		}
		before = e
	}
}

// inOrder reports whether a date is not before another; false where one is none.
func inOrder(first, second string) bool {
	a, errA := time.Parse(time.RFC3339, first)
	b, errB := time.Parse(time.RFC3339, second)
	return errA == nil && errB == nil && !b.Before(a)
}
