package publication

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"wattsheet/generator/disk"
)

// journalName is the file in the output folder that is there while a run writes, or
// after one was killed.
const JournalName = ".wattsheet.work"

// A journal names what a run writes into a folder before it does, as a manifest does
// what is there. While it is open the folder is locked against other runs; the system
// lets go of the lock of a run that was killed, and the file tells the next.
type journal struct {
	root *os.Root
	file *os.File
	old  bool // it has what an earlier run left
	// stated is the mark of the site that an earlier run was writing.
	stated Mark
}

// ErrBusy says that another run is writing to the folder: it will be done some time.
var ErrBusy = errors.New("another run is writing there")

// A busy is that error for people.
type busy struct{ folder string }

func (b busy) Error() string {
	return "another run of wattsheet is writing to " + b.folder + "\nhint: wait until it is done, or stop it"
}

func (busy) Is(target error) bool { return target == ErrBusy }

// openJournal takes the folder for this run, and gives what a run that was killed had
// noted.
func (p *Publisher) openJournal() (*journal, manifest, error) {
	for {
		if info, err := p.root.Lstat(JournalName); err == nil && !info.Mode().IsRegular() {
			return nil, manifest{}, fmt.Errorf("%s is %s; it should be a file of wattsheet's own\nhint: move it away, then build again", p.Of(JournalName), whatIs(info))
		}
		f, err := p.root.OpenFile(JournalName, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o644)
		if err != nil {
			return nil, manifest{}, fmt.Errorf("%s can't be written: %w\nhint: it has to be a folder that you may write to", p.Name, disk.Cause(err))
		}
		if err := lock(f); err != nil {
			f.Close()
			if errors.Is(err, ErrBusy) {
				return nil, manifest{}, busy{p.Name}
			}
			return nil, manifest{}, fmt.Errorf("%s can't be locked: %w", p.Of(JournalName), disk.Cause(err))
		}
		// The run that had it may have ended, and removed it, in between.
		mine, err := f.Stat()
		there, gone := p.root.Lstat(JournalName)
		if err == nil && gone == nil && os.SameFile(mine, there) {
			data, err := p.root.ReadFile(JournalName)
			if err != nil {
				f.Close()
				return nil, manifest{}, fmt.Errorf("%s can't be read: %w", p.Of(JournalName), disk.Cause(err))
			}
			j := &journal{root: p.root, file: f, old: len(data) > 0}
			j.stated, _ = markIn(string(data)) // one that was torn says nothing
			whole := data[:bytes.LastIndexByte(data, '\n')+1]
			if len(whole) < len(data) { // the last line was being written: end it, so that the next is one of its own
				if _, err := f.Write([]byte("\n")); err != nil {
					f.Close()
					return nil, manifest{}, fmt.Errorf("%s can't be written: %w", p.Of(JournalName), disk.Cause(err))
				}
			}
			return j, noted(whole), nil
		}
		f.Close()
		if gone != nil && !errors.Is(gone, fs.ErrNotExist) {
			return nil, manifest{}, fmt.Errorf("%s can't be looked at: %w", p.Of(JournalName), disk.Cause(gone))
		}
	}
}

// noted gives what the lines of a journal say; one that was torn counts for nothing.
func noted(text []byte) manifest {
	var lines []string
	for line := range strings.Lines(string(text)) {
		if isLine(line) {
			lines = append(lines, line)
		}
	}
	return sorted(lines)
}

// say writes down the mark of the site that is written, unless there is one already.
func (j *journal) say(line string) error {
	if j.stated != (Mark{}) || line == "" {
		return nil
	}
	_, err := j.file.WriteString(line)
	return err
}

// note writes down what will be written.
func (j *journal) note(path string, sum Digest) error {
	_, err := j.file.WriteString(lineOf(path, sum))
	return err
}

// end removes the journal: the manifest has everything.
func (j *journal) end() error {
	err := j.root.Remove(JournalName)
	j.file.Close()
	if err != nil { // some systems remove no open file
		err = j.root.Remove(JournalName)
	}
	if err != nil {
		return fmt.Errorf("%s can't be removed: %w", JournalName, disk.Cause(err))
	}
	return nil
}

// Abandon removes the journal of a run that has undone all it did, unless it still has
// what an earlier one left.
func (j *journal) Abandon() {
	if !j.old {
		j.root.Remove(JournalName)
	}
	j.file.Close()
}

// Leave lets go of the folder and leaves the journal for the next run.
func (j *journal) Leave() { j.file.Close() }
