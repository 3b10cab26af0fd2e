//go:build !(darwin || dragonfly || freebsd || linux || netbsd || openbsd)

package logbook

import (
	"os"
	"strconv"
	"strings"
)

// hold has nothing to do where the file itself is the lock.
func hold(*os.File) (held bool, err error) { return true, nil }

// abandoned reports whether the process that a lock file names is gone.
func abandoned(text string) bool {
	pid, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil {
		return text != "" // one that is just being written is empty
	}
	process, err := os.FindProcess(pid)
	if err != nil {
		return true
	}
	process.Release()
	return false
}

// exclusive says whether a lock is the file itself, rather than a hold on it.
const exclusive = true
