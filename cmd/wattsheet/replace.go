package main

import (
	"os"
	"path/filepath"
)

// replaceFile writes a file beside the old one and puts it in its place, so that
// a killed program leaves the old one or the new one.
func replaceFile(path string, text []byte) error {
	temporary, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*.tmp")
	if err != nil {
		return err
	}
	defer os.Remove(temporary.Name())
	if _, err = temporary.Write(text); err == nil {
		err = temporary.Sync()
	}
	if closed := temporary.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return err
	}
	if old, err := os.Stat(path); err == nil {
		if err := os.Chmod(temporary.Name(), old.Mode().Perm()); err != nil {
			return err
		}
	}
	return os.Rename(temporary.Name(), path)
}
