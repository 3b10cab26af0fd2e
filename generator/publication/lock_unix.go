//go:build unix

package publication

import (
	"errors"
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
