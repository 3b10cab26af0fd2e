package logbook

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strconv"
	"strings"

	"wattsheet/generator/disk"
)

// A lock keeps a record to one process at a time. It is a file of its own, for
// editors replace the record's when they save. It ends with the process, also a
// killed one.
type lock struct {
	root *os.Root
	name string
	file *os.File
}

// takeLock takes the lock called so, or says who has it.
func takeLock(root *os.Root, called string) (*lock, error) {
	name := path.Join(lockFolder, called+".lock")
	failed := func(err error) error {
		return fmt.Errorf("%s can't be made: %w\nhint: it keeps two from logging on one record; the folder .wattsheet has to be one that you may write", name, disk.Cause(err))
	}
	if err := root.MkdirAll(lockFolder, 0o777); err != nil {
		return nil, failed(err)
	}
	flags := os.O_RDWR | os.O_CREATE
	if exclusive {
		flags |= os.O_EXCL
	}
	f, err := root.OpenFile(name, flags, 0o666)
	if exclusive && errors.Is(err, fs.ErrExist) {
		holder, _ := root.ReadFile(name)
		if !abandoned(string(holder)) {
			return nil, taken(called, string(holder))
		}
		root.Remove(name)
		f, err = root.OpenFile(name, flags, 0o666)
	}
	if err != nil {
		return nil, failed(err)
	}
	held, err := hold(f)
	if err == nil && held {
		// the number is for whoever wonders who has it
		if err = f.Truncate(0); err == nil {
			_, err = f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
		}
	}
	switch {
	case err != nil:
		f.Close()
		return nil, failed(err)
	case !held:
		f.Close()
		holder, _ := root.ReadFile(name)
		return nil, taken(called, string(holder))
	}
	return &lock{root, name, f}, nil
}

// taken says that somebody else logs.
func taken(called, holder string) error {
	who := ""
	if holder = strings.TrimSpace(holder); holder != "" {
		who = ", in process " + holder
	}
	return fmt.Errorf("%s is being logged already%s\nhint: one at a time; end the other log with done", called, who)
}

// free lets go of the lock. Where the system keeps locks, the file stays: to remove
// it would let two hold two files of one name.
func (l *lock) free() {
	l.file.Close()
	if exclusive {
		l.root.Remove(l.name)
	}
}
