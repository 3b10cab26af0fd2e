// Package disk reads plain files whole, with a bound on their size, and says what a system's
// error means. It is for files that somebody else may have put there, or that others change
// meanwhile.
package disk

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"syscall"
	"unicode/utf8"
)

// Limit is the size in bytes beyond which a file of the content is refused:
// far above anything typed, far below what would exhaust the memory.
const Limit = 8 << 20

// Large is the same of what commands write: a ledger, which says all results of
// each version again, and a sheet, sealed or published, which has some 9 kB for each
// channel of a run. So a unit that is measured on each test day for many years has room.
const Large = 64 << 20

var (
	ErrTooLarge   = errors.New("this file is too large")
	ErrNotRegular = errors.New("it is not a plain file")
)

// Read gives the bytes of a file that has at most limit of them. It opens plain
// files only, for opening a pipe would wait for whoever writes to it.
func Read(root *os.Root, name string, limit int64) ([]byte, error) {
	return ReadInto(nil, root, name, limit)
}

// ReadInto is Read into given room, if that is enough.
func ReadInto(room []byte, root *os.Root, name string, limit int64) ([]byte, error) {
	info, err := root.Stat(name)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, ErrNotRegular
	case info.Size() > limit:
		return nil, ErrTooLarge
	}
	f, err := root.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b := bytes.NewBuffer(room[:0])
	b.Grow(int(info.Size()) + bytes.MinRead)
	if _, err = b.ReadFrom(io.LimitReader(f, limit+1)); err != nil {
		return nil, err
	}
	if int64(b.Len()) > limit { // it has grown since
		return nil, ErrTooLarge
	}
	return b.Bytes(), nil
}

// ValidText reports whether bytes are UTF-8 without NUL, and else in which line
// they are not.
func ValidText(b []byte) (line int, ok bool) {
	line = 1
	for len(b) > 0 {
		r, size := utf8.DecodeRune(b)
		switch {
		case r == 0, r == utf8.RuneError && size == 1:
			return line, false
		case r == '\n':
			line++
		}
		b = b[size:]
	}
	return 0, true
}

// Cause takes the path off a system's error: the messages here name it already.
func Cause(err error) error {
	if at := (*fs.PathError)(nil); errors.As(err, &at) {
		return at.Err
	}
	if at := (*os.LinkError)(nil); errors.As(err, &at) {
		return at.Err
	}
	return err
}

// NowhereNow reports whether an error says that there is no file of a name, nor can be one.
func NowhereNow(err error) bool {
	return errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR)
}
