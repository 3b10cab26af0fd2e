package site

import (
	"bytes"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
)

// A looked is what a unit's folder has, as far as it tells what has to be made again.
type looked struct {
	own     inputs
	stood   digest // how they stood before they were read
	outline outline
	linked  bool // a link leads to something of it, so that it changes with what lies elsewhere
	links   []ownLink
}

// An outline is what other units, and the site as a whole, have to know of a record
// before anything is made of it. It follows from the record's bytes and those of the
// notes.
type outline struct {
	Follows string `json:",omitempty"` // the unit that it follows
	Holds   bool   `json:",omitempty"` // something in it has a hold
	Asked   bool   `json:",omitempty"` // it may say until when the maker has time to answer
	Latest  string `json:",omitempty"` // the latest day that stands in it, YYYY-MM-DD
	// Escapes says that the texts have characters written in another way, so that what
	// they name can't be seen from their bytes.
	Escapes bool `json:",omitempty"`
}

// look reads the files of a unit's folder and gives their digests. was is what was
// known of it; may be nil.
func (l *loader) look(slug string, was *entry) looked {
	folder := path.Join(unitsFolder, slug)
	out := looked{linked: l.isLink(folder), stood: l.stands(slug)}
	add := func(of class, name string, sum digest) {
		out.own = append(out.own, Input{of, path.Join(contentFolder, folder, name), sum})
	}
	file := func(of class, name string, limit int64) []byte {
		data, err := disk.Read(l.root, path.Join(folder, name), limit)
		if err != nil {
			add(of, name, publication.DigestOf([]byte("unreadable: "+err.Error())))
			return nil
		}
		add(of, name, publication.DigestOf(data))
		return data
	}
	entries, err := fs.ReadDir(l.files, folder)
	if err != nil {
		add(theNames, "", publication.DigestOf([]byte("unreadable: "+err.Error())))
		return out
	}
	cache := openCache(l.home, l.untouched)
	defer cache.close()
	var names []string
	var text, notes, rows []byte
	for _, e := range entries {
		name := e.Name()
		if leftBehind(name) {
			continue
		}
		names = append(names, name)
		out.linked = out.linked || e.Type()&fs.ModeSymlink != 0
		switch {
		case name == recordFile:
			text = file(theRecord, name, disk.Limit)
		case name == runsFile:
			rows = file(theRecord, name, disk.Limit)
		case name == notesFile:
			notes = file(theNotes, name, disk.Limit)
			out.links = ownLinks(&record.File{Name: path.Join(contentFolder, folder, name), Text: notes}, folder+"/")
		case name == ledgerFile:
			file(theLedger, name, disk.Large)
		case name == sealedFolder:
			for _, one := range l.sealedNames(folder) {
				out.linked = out.linked || l.isLink(path.Join(folder, one))
				names = append(names, one)
				file(theLedger, one, disk.Large)
			}
		case isSpoken(name):
			file(theSpoken, name, disk.Limit)
		case isPicture(name):
			file(thePictures, name, maxPicture)
		case isCapture(name):
			sum, err := l.captureDigest(cache, path.Join(folder, name))
			if err != nil {
				sum = publication.DigestOf([]byte("unreadable: " + err.Error()))
			}
			add(theCaptures, name, sum)
		}
	}
	add(theNames, "", publication.DigestOf([]byte(strings.Join(names, "\n"))))
	out.own.sort()
	out.outline = outlineOf(slug, text, notes, rows, out.own, was)
	return out
}

// isLink reports whether a name is that of a symbolic link.
func (l *loader) isLink(name string) bool {
	info, err := l.root.Lstat(name)
	return err == nil && info.Mode()&fs.ModeSymlink != 0
}

// sealedNames lists the files of a unit's sealed folder; a seal that was stopped at its
// last step has left one under a hidden name.
func (l *loader) sealedNames(folder string) (names []string) {
	entries, err := fs.ReadDir(l.files, path.Join(folder, sealedFolder))
	if err != nil {
		return nil
	}
	for _, e := range entries {
		names = append(names, path.Join(sealedFolder, e.Name()))
	}
	return names
}

// outlineOf gives the outline of a record and notes. A key can't be there without its
// name in the text, unless the text has an escape sequence; so most records needn't be
// decoded for it.
func outlineOf(slug string, text, notes, rows []byte, own inputs, was *entry) outline {
	if was != nil && same(was.Inputs.Own, own, []class{theRecord, theNotes}) {
		return was.Outline
	}
	has := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return bytes.Contains(text, []byte(w)) })
	}
	o := outline{
		Asked:   has("answer_by", `\`),
		Latest:  record.LatestDay(text, rows),
		Escapes: has(`\`, "%") || bytes.ContainsAny(notes, `\%&`) || bytes.ContainsRune(rows, '"'),
	}
	if !has("follows", "hold", `\`) {
		return o
	}
	r, _ := record.DecodeRecord(&record.File{Name: recordFile, Text: text}, slug)
	if r == nil {
		return o
	}
	if rows != nil && r.RunsFile.Given() {
		r.AddRuns(&record.File{Name: runsFile, Text: rows})
	}
	o.Follows = r.Unit.Follows.ID
	o.Holds = len((&record.Content{Records: []*record.Record{r}}).Held()) > 0
	return o
}

// whole reads and decodes a record, for what others have to know of it.
func (l *loader) whole(slug string) *record.Record {
	name := path.Join(unitsFolder, slug, recordFile)
	data, err := disk.Read(l.root, name, disk.Limit)
	if err != nil {
		return nil
	}
	r, problems := record.DecodeRecord(&record.File{Name: path.Join(contentFolder, name), Text: data}, slug)
	l.addRuns(r, problems)
	return r
}

// heldDigest tells what is kept back, as far as a unit's texts could name it: what is
// its own, and what of other units they name by slug or name.
func (k keptBack) heldDigest(slug string, names func(text string) bool) digest {
	var b strings.Builder
	for i := range k.held {
		h := &k.held[i]
		if h.Slug != slug && !names(h.Slug) && !names(k.names[h.Slug]) {
			continue
		}
		fmt.Fprintf(&b, "%s %s %q %t %s %q\n", h.Slug, h.Kind, h.Name, h.Opens.After(k.at), h.Opens.At.UTC(), h.Notice)
	}
	if b.Len() == 0 {
		return ""
	}
	return publication.DigestOf([]byte(b.String()))
}
