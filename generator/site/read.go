package site

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"wattsheet/generator/disk"
	"wattsheet/generator/record"
)

// A job is one file to be read and what becomes of it.
type job struct {
	name    string // relative to the content folder
	missing string // what to do when it isn't there
	// use takes the file as read and writes only where no other job writes.
	use      func(*record.File) record.Problems
	problems record.Problems
}

// decode reads and decodes every file that the survey found, on all
// processors, and puts the results into the site in the order of their names.
func (l *loader) decode(s *Site) record.Problems {
	records := make([]*record.Record, len(l.slugs))
	notes := make([]*record.File, len(l.notes))
	prose := make([]*record.File, len(l.prose))
	var jobs []*job
	if !l.unitsOnly {
		jobs = siteTables(s.Content)
	}
	for i, slug := range l.slugs {
		jobs = append(jobs, &job{
			name:    path.Join(unitsFolder, slug, recordFile),
			missing: "every folder of units holds the record of one unit",
			use: func(f *record.File) (p record.Problems) {
				records[i], p = record.DecodeRecord(f, slug)
				return append(p, l.addRuns(records[i], p)...)
			},
		})
	}
	for i, slug := range l.notes {
		jobs = append(jobs, textJob(path.Join(unitsFolder, slug, notesFile), &notes[i]))
	}
	spoken := make([]*record.File, len(l.spoken))
	for i, name := range l.spoken {
		jobs = append(jobs, textJob(name, &spoken[i]))
	}
	for i, name := range l.prose {
		jobs = append(jobs, textJob(path.Join(proseFolder, name+".md"), &prose[i]))
	}
	each(len(jobs), func(i int) { l.do(jobs[i]) })

	var problems record.Problems
	for _, j := range jobs {
		problems = append(problems, j.problems...)
	}
	for _, r := range records {
		if r != nil {
			s.Content.Records = append(s.Content.Records, r)
		}
	}
	fill(s.Notes, l.notes, notes)
	s.keepSpoken(spoken)
	fill(s.Prose, l.prose, prose)
	return problems
}

// siteTables are the jobs for the three files that every site has.
func siteTables(c *record.Content) []*job {
	return []*job{
		{name: siteFile, missing: "it holds at least title and tester, who tests and publishes",
			use: func(f *record.File) (p record.Problems) { c.Site, p = record.DecodeSite(f); return p }},
		{name: benchFile, missing: "it holds the instruments and loads that were used, and how good they are",
			use: func(f *record.File) (p record.Problems) { c.Bench, p = record.DecodeBench(f); return p }},
		{name: methodsFile, missing: "it holds the methods by which runs are made",
			use: func(f *record.File) (p record.Problems) { c.Methods, p = record.DecodeMethods(f); return p }},
	}
}

// textJob keeps a file of prose as it is, provided that it is text.
func textJob(name string, into **record.File) *job {
	return &job{name: name, use: func(f *record.File) record.Problems {
		*into = f
		line, ok := disk.ValidText(f.Text)
		if ok {
			return nil
		}
		return record.Problems{whole(name, record.Error,
			fmt.Sprintf("line %d has bytes that are not UTF-8 text", line), "save the file as UTF-8")}
	}}
}

func fill(m map[string]*record.File, names []string, files []*record.File) {
	for i, f := range files {
		if f != nil {
			m[names[i]] = f
		}
	}
}

func (l *loader) do(j *job) {
	data, err := disk.Read(l.root, j.name, disk.Limit)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		j.problems = record.Problems{whole(j.name, record.Error, "this file is missing", j.missing)}
	case errors.Is(err, disk.ErrTooLarge):
		j.problems = record.Problems{whole(j.name, record.Error, err.Error(), "a file of the content may have up to 8 MB")}
	case err != nil:
		j.problems = record.Problems{unreadable(j.name, err)}
	default:
		j.problems = j.use(&record.File{Name: path.Join(contentFolder, j.name), Text: data})
	}
}

// unreadable is the problem with a file or folder that can't be read.
func unreadable(name string, err error) record.Problem {
	if strings.Contains(err.Error(), "path escapes from parent") {
		return whole(name, record.Error, "this is a symbolic link that leads out of the content folder",
			"put the file itself there; a link may lead to another place in content, by a relative path")
	}
	return whole(name, record.Error, "this can't be read: "+disk.Cause(err).Error(),
		"it has to be a plain file or folder that you may read")
}

// each calls work for 0 to n−1 on all processors. A call writes only to its own
// place, so that the order of the calls doesn't show.
func each(n int, work func(i int)) {
	var next atomic.Int64
	var group sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				work(i)
			}
		})
	}
	group.Wait()
}
