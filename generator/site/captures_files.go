package site

import (
	"errors"
	"fmt"
	"os"
	"path"
	"slices"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// capturesName is the folder, below a unit's, of the page of its captures and the files
// for download.
const capturesName = "captures"

// largestWhole is how many bytes a capture may have that is published whole: hosts take
// no larger files (25 MiB; from memory).
const largestWhole = 24 << 20

// A captureFile is a file for download: the whole capture, or the excerpt for one run.
type captureFile struct {
	Path    string // below the unit's folder
	Capture string // its id
	Run     string // that it is cut out for; empty of a whole
	Title   string // what it is, for lists of files
	Digest  digest
	Size    int
	rec     *record.Capture
	run     *sheet.Run // of an excerpt
}

// captureFiles are the files of a sheet's captures that are published, in the record's
// order.
func captureFiles(s *sheet.Sheet) (out []captureFile) {
	name := sheet.Isolated(s.Name)
	for _, c := range s.Captures {
		ending := strings.ToLower(path.Ext(c.Rec.File))
		for _, r := range c.Runs {
			if r.Captured == nil || r.Captured.Taken.Trace == nil {
				continue
			}
			t := r.Captured.Taken.Trace
			switch c.Rec.Publish {
			case "excerpt":
				out = append(out, captureFile{capturesName + "/" + c.ID + "/" + r.ID + ending, c.ID, r.ID,
					"Excerpt of capture " + c.ID + " for run " + r.ID + " of " + name, digest(t.Excerpt.Digest), t.Excerpt.Bytes, c.Rec, r})
				continue
			case "whole":
				out = append(out, captureFile{capturesName + "/" + c.ID + "/" + c.Rec.File, c.ID, "",
					"Capture " + c.ID + " of " + name, digest(c.Digest), t.FileBytes, c.Rec, r})
			}
			break
		}
		if c.Rec.Publish == "whole" && !slices.ContainsFunc(out, func(f captureFile) bool { return f.Capture == c.ID }) {
			if specs := c.Specs; len(specs) > 0 && specs[0].Taken != nil {
				out = append(out, captureFile{capturesName + "/" + c.ID + "/" + c.Rec.File, c.ID, "", "Capture " + c.ID + " of " + name, digest(c.Digest), specs[0].Taken.FileBytes, c.Rec, nil})
			}
		}
	}
	return out
}

// captureOutputs are those files.
func (b *binder) captureOutputs(s *sheet.Sheet) ([]Output, error) {
	files := captureFiles(s)
	if len(files) == 0 {
		return nil, nil
	}
	content, err := os.OpenRoot(b.site.folder)
	if err != nil {
		return nil, fmt.Errorf("%s can't be opened: %w", contentFolder, disk.Cause(err))
	}
	defer content.Close()
	l := newLoader(content)
	var out []Output
	for _, f := range files {
		name := path.Join(unitsFolder, s.Slug, f.rec.File)
		data, err := l.captureBytes(b.site.Content, s.Record, name, &f)
		if err == nil && publication.DigestOf(data) != f.Digest {
			err = errors.New("it was changed meanwhile")
		}
		if err != nil {
			return nil, fmt.Errorf("%s can't be read again: %w\nhint: build once more", path.Join(contentFolder, name), disk.Cause(err))
		}
		out = append(out, Output{Path: unitsFolder + "/" + s.Slug + "/" + f.Path, Bytes: data})
	}
	return out, nil
}

// captureBytes reads what a file for download holds.
func (l *loader) captureBytes(c *record.Content, rec *record.Record, name string, f *captureFile) ([]byte, error) {
	if f.Run == "" {
		return disk.Read(l.root, name, largestWhole)
	}
	plan, ok := planOf(c, rec, f.run.Captured.Rec, f.run.Rec)
	if !ok {
		return nil, errors.New("its run can't be read")
	}
	r := &captureReading{capturePlan: plan, loader: l, name: name, frames: f.run.Captured.Taken.Frames}
	t := f.run.Captured.Taken.Trace
	m, coding, err := r.stretch(t.AroundFromS, t.AroundToS)
	if err != nil {
		return nil, err
	}
	return excerptOf(t, m, coding)
}

// A packageFile is a resource of the data package that is no table. Its path is a whole
// address: a package doesn't point above its own folder.
type packageFile struct {
	Profile   string `json:"$schema"`
	Name      string `json:"name"`
	Path      string `json:"path"`
	Title     string `json:"title"`
	About     string `json:"description"`
	Format    string `json:"format"`
	MediaType string `json:"mediatype"`
	Bytes     int    `json:"bytes"`
	Hash      string `json:"hash"`
}

// packageCaptures are the captures of all units for the data package, where the site's address
// is known, and for their checksums, whose names go from the data folder.
func (b *binder) packageCaptures(units []*brief) (resources []any, files []tableFile) {
	for _, u := range units {
		for _, f := range u.Tabled.Captures {
			at := unitsFolder + "/" + u.slug() + "/" + f.Path
			files = append(files, tableFile{"../" + at, f.Digest, f.Size})
			if b.base() == "" {
				continue
			}
			kind := strings.TrimPrefix(strings.ToLower(path.Ext(f.Path)), ".")
			resources = append(resources, packageFile{
				Profile: packageProfiles + "dataresource.json", Name: strings.Join(strings.Fields("capture "+u.slug()+" "+f.Capture+" "+f.Run), "-"),
				Path: b.base() + at, Title: f.Title, About: "Samples as they were recorded; sheet.json of the unit says what its columns stand for.", Format: kind, MediaType: map[string]string{"wav": "audio/vnd.wave", "csv": "text/csv"}[kind],
				Bytes: f.Size, Hash: "sha256:" + string(f.Digest),
			})
		}
	}
	return resources, files
}

// tooLarge is the problem with a capture that is to be published whole and that no host
// would take; nil where it may be.
func (l *loader) tooLarge(j *captureJob, name string) *record.Problem {
	info, err := l.root.Stat(name)
	if err != nil || j.capture.Publish != "whole" || info.Size() <= largestWhole {
		return nil
	}
	p := j.capture.Key("publish").Problem(
		fmt.Sprintf("%s has %.1f MB, and files above %d MB are not published whole", j.capture.File, float64(info.Size())/(1<<20), largestWhole>>20),
		`publish = "excerpt" cuts out what its runs show`)
	return &p
}
