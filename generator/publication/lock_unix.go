//go:build unix

package publication

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
)

// lock takes a file for this process until it is closed; ErrBusy where another has it.
func lock(f *os.File) error {
	err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return ErrBusy
	}
	return err
}

// others reports whether a file or folder belongs to somebody else, and the system keeps it for them.
func others(info fs.FileInfo) bool {
	is, known := info.Sys().(*syscall.Stat_t)
	return known && os.Geteuid() != 0 && int(is.Uid) != os.Geteuid()
}
