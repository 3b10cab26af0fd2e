package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// errChanged says that a file isn't any more as it was read.
var errChanged = errors.New("it was changed meanwhile; nothing was written")

// appended is a text with tables behind it: in a paragraph of their own, with the line
// ends that the text has.
func appended(before []byte, tables string) []byte {
	text := "\n" + tables
	if len(before) > 0 && before[len(before)-1] != '\n' {
		text = "\n" + text
	}
	if bytes.Contains(before, []byte("\r\n")) {
		text = string(bytes.ReplaceAll([]byte(text), []byte("\n"), []byte("\r\n")))
	}
	return append(bytes.Clone(before), text...)
}

// appendFile puts what a text has beyond what a file had behind that file, in one
// write; no byte that stands is touched. When it isn't written whole, the file gets its
// old length back.
func appendFile(path string, before, text []byte) (err error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_APPEND, 0)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	now, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	if !bytes.Equal(now, before) {
		return fmt.Errorf("%s: %w\nhint: do it again", filepath.ToSlash(path), errChanged)
	}
	if len(text) > largestTable {
		return fmt.Errorf("%s would have more than 8 MB, which no command reads; nothing was written\nhint: import fewer rows, or keep them as runs.csv", filepath.ToSlash(path))
	}
	n, err := f.Write(text[len(before):])
	if err == nil {
		err = f.Sync()
	}
	if info, failed := f.Stat(); err != nil && failed == nil && info.Size() == int64(len(before)+n) {
		return errors.Join(err, f.Truncate(int64(len(before))))
	}
	return err
}
