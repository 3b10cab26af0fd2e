//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package logbook

import (
	"errors"
	"os"
	"syscall"
)

// hold takes an open file for this process alone. The system lets go of it when the
// process ends, in whatever way.
func hold(f *os.File) (held bool, err error) {
	for {
		err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case err == nil:
			return true, nil
		case errors.Is(err, syscall.EWOULDBLOCK):
			return false, nil
		case !errors.Is(err, syscall.EINTR):
			return false, err
		}
	}
}

// abandoned reports whether the holder of a lock file is gone. Here the system knows
// of holders, and a file that is left behind is free.
func abandoned(string) bool { return true }

// exclusive says whether a lock is the file itself, rather than a hold on it.
const exclusive = false
