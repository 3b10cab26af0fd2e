package logbook

import (
	"bytes"
	"errors"
	"fmt"
	"os"

	"wattsheet/generator/disk"
	"wattsheet/generator/record"
)

// appendix is what is written behind a text for these lines: with its line ends, and
// first of all the one that its last line lacks.
func appendix(text []byte, lines string) []byte {
	end := "\n"
	if i := bytes.LastIndexByte(text, '\n'); i > 0 && text[i-1] == '\r' {
		end = "\r\n"
	}
	var out []byte
	if len(text) > 0 && text[len(text)-1] != '\n' {
		out = append(out, end...)
	}
	return append(out, bytes.ReplaceAll([]byte(lines), []byte("\n"), []byte(end))...)
}

// errElsewhere says that a file changed while it was written on.
var errElsewhere = errors.New("it was changed by another program at that moment")

// appendTo writes bytes behind the end of a file in one write and waits until they are
// on the disk. The file has to hold what is expected. Where not all can be
// written, what was written is taken off again.
func appendTo(root *os.Root, name string, expected, add []byte) error {
	if len(expected)+len(add) > mostBytes {
		return fmt.Errorf("%s would be larger than 8 MB, which no command reads; nothing was written\nhint: runs may stand in a table beside the record, runs.csv", name)
	}
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_APPEND, 0)
	if err != nil {
		return fmt.Errorf("%s can't be written: %w\nhint: nothing was written; it has to be a file that you may write", name, disk.Cause(err))
	}
	intend(root, name, expected, add)
	n, err := f.Write(add)
	if err == nil {
		err = f.Sync()
	}
	if err != nil && n > 0 {
		if info, failed := f.Stat(); failed == nil && info.Size() == int64(len(expected)+n) {
			f.Truncate(int64(len(expected)))
		}
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	root.Remove(pendingName(name)) // all of it was written, or nothing is left of it
	if err != nil {
		return fmt.Errorf("%s can't be written: %w\nhint: is the disk full? look at the end of the file", name, disk.Cause(err))
	}
	now, err := root.ReadFile(name)
	if err == nil && !bytes.Equal(now, append(bytes.Clone(expected), add...)) {
		err = errElsewhere
	}
	if err != nil {
		return fmt.Errorf("%s was written, but doesn't read as expected: %w\nhint: look at the end of the file", name, disk.Cause(err))
	}
	return nil
}

// append writes lines behind the record's end. They have been decoded with it: rec is
// what comes of both.
func (b *Book) append(add []byte, rec *record.Record) error {
	if err := appendTo(b.root, b.name, b.text, add); err != nil {
		return err
	}
	b.text = append(bytes.Clone(b.text), add...)
	b.rec, b.content.Records = rec, []*record.Record{rec}
	return nil
}

// A TornError says that a file reads well but for its end, which looks like a
// write that was cut short.
type TornError struct {
	File     string
	Line     int // from which line on it doesn't read
	Problems record.Problems
}

func (e *TornError) Error() string {
	return fmt.Sprintf("%s: the end, from line %d on, looks like a write that was cut short\nhint: did the power fail? look at it; without line %d and what follows, the file reads well", e.File, e.Line, e.Line)
}

// torn finds whether a record that doesn't read would without its last line, or
// without its last run; nil where it wouldn't.
func (b *Book) torn(text []byte) *TornError {
	return tornAt(b.name, text, "[[run]]", func(text []byte) record.Problems {
		_, problems := b.decode(text)
		return problems
	})
}

// tornBench is the same for bench.toml and its last day of the check unit.
func (b *Book) tornBench(text []byte) *TornError {
	return tornAt(benchFile, text, "[[check_unit.day]]", func(text []byte) record.Problems {
		_, problems := record.DecodeBench(&record.File{Name: benchFile, Text: text})
		return problems
	})
}

// tornAt looks for an end that is what an append that was cut short leaves behind: a
// last line, or a last table with this head. The keys that a table can't do without
// are written last, so that it doesn't read.
func tornAt(name string, text []byte, head string, read func([]byte) record.Problems) *TornError {
	whole := bytes.TrimRight(text, "\x00\n\r")
	problems := read(text)
	if len(whole) == 0 || !problems.Errors() {
		return nil
	}
	for _, mark := range []string{"\n", "\n" + head} {
		at := bytes.LastIndex(whole, []byte(mark)) + 1
		if at > 0 && !read(text[:at]).Errors() {
			return &TornError{name, 1 + bytes.Count(text[:at], []byte("\n")), problems}
		}
	}
	return nil
}
