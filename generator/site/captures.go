package site

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"

	"wattsheet/generator/capture"
	"wattsheet/generator/disk"
	"wattsheet/generator/record"
)

// A captureName says which capture's file of which unit.
type captureName struct{ slug, file string }

// A captured is a capture's file as it was when the site was loaded.
type captured struct {
	name   string // of the file, below the content folder
	digest digest
}

// isCapture reports whether a file may be a capture by its name.
func isCapture(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".wav":
		return true
	case ".csv":
		return name != runsFile
	}
	return false
}

// A captureJob is a capture that a record's runs name, and what was found.
type captureJob struct {
	record   *record.Record
	capture  *record.Capture
	file     *captured
	problems record.Problems
}

// loadCaptures reads what the runs of the records name of their captures, and keeps it
// with the runs. What was read of the same bytes in the same way before isn't read again.
func (l *loader) loadCaptures(s *Site) record.Problems {
	var problems record.Problems
	var jobs []*captureJob
	for _, r := range s.Content.Records {
		problems = append(problems, l.unnamedCaptures(r)...)
		for i := range r.Captures {
			c := &r.Captures[i]
			if isCapture(c.File) && fs.ValidPath(c.File) && !strings.Contains(c.File, "/") {
				jobs = append(jobs, &captureJob{record: r, capture: c})
			}
		}
	}
	if len(jobs) == 0 {
		return problems
	}
	cache := openCache(s.root, s.untouched)
	defer cache.close()
	few(len(jobs), func(i int) { l.loadCapture(cache, s, jobs[i]) })
	s.captures = map[captureName]*captured{}
	for _, j := range jobs {
		problems = append(problems, j.problems...)
		if j.file != nil {
			s.captures[captureName{j.record.Slug, j.capture.File}] = j.file
		}
	}
	return problems
}

// unnamedCaptures finds files that look like captures and that the record doesn't name.
func (l *loader) unnamedCaptures(r *record.Record) (problems record.Problems) {
	for _, file := range l.captures[r.Slug] {
		if !r.Unread() && !slices.ContainsFunc(r.Captures, func(c record.Capture) bool { return c.File == file }) {
			problems = append(problems, whole(path.Join(unitsFolder, r.Slug, file), record.Warning, "nothing reads this",
				fmt.Sprintf("name it in record.toml, in a table [[capture]] with file = %q, and in the run that it recorded; or take it out of the folder", file)))
		}
	}
	return problems
}

// hearing is held by who reads a capture: bursts take some hundred megabytes.
var hearing sync.Mutex

// loadCapture reads what the runs take from one capture.
func (l *loader) loadCapture(cache *pictureCache, s *Site, j *captureJob) {
	name := path.Join(unitsFolder, j.record.Slug, j.capture.File)
	sum, err := l.captureDigest(cache, name)
	if err != nil {
		j.problems = append(j.problems, l.noCapture(j, name, err))
		return
	}
	j.file = &captured{name: name, digest: sum}
	if p := l.tooLarge(j, name); p != nil {
		j.problems = append(j.problems, *p)
	}
	for i := range j.record.Runs {
		run := &j.record.Runs[i]
		if run.Capture.ID == "" || j.record.Capture(run.Capture.ID) != j.capture {
			continue
		}
		plan, ok := planOf(s.Content, j.record, j.capture, run)
		if !ok {
			continue // reported by the record's checks
		}
		key := plan.key(sum)
		if run.Taken = cache.taken(key); run.Taken != nil {
			continue
		}
		hearing.Lock()
		taken, err := l.take(name, plan)
		hearing.Unlock()
		if err != nil {
			if p := j.problem(run.Capture.Place, err); !slices.Contains(j.problems, p) { // told of another run
				j.problems = append(j.problems, p)
			}
			continue
		}
		taken.Digest = string(sum)
		cache.keepTaken(key, taken)
		run.Taken = taken
	}
	l.loadSpecs(cache, j, name, sum)
}

// problem says what is wrong with a capture, at the place in the record that it concerns,
// and with the one in the capture's file.
func (j *captureJob) problem(at record.Place, err error) record.Problem {
	hint := ""
	if wrong := (*misplaced)(nil); errors.As(err, &wrong) {
		at = wrong.at
	}
	if p := (*capture.Problem)(nil); errors.As(err, &p) {
		hint = p.Hint
	}
	return at.Problem(fmt.Sprintf("%s: %v", j.capture.File, disk.Cause(err)), hint)
}

// A misplaced error is one that concerns another place of the record than where the run
// names its capture.
type misplaced struct {
	at record.Place
	error
}

func (m *misplaced) Unwrap() error { return m.error }

// noCapture is the problem with a capture whose file can't be read.
func (l *loader) noCapture(j *captureJob, name string, err error) record.Problem {
	place, file := j.capture.Key("file"), j.capture.File
	if errors.Is(err, fs.ErrNotExist) {
		hint := "put it into " + path.Join(contentFolder, path.Dir(name)) + ", or take this [[capture]] out"
		for _, other := range l.captures[j.record.Slug] {
			if strings.EqualFold(other, file) {
				hint = "there is " + other + "; capitals count"
			}
		}
		return place.Problem("there is no file "+file+" beside this record", hint)
	}
	u := unreadable(name, err)
	return place.Problem(file+": "+u.Summary, u.Hint)
}
