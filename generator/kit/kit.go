// Package kit makes what goes with a unit's video: texts for the platform, captions, and
// pictures that are laid over the film. All of it says what the sheet says, within the
// limits that platforms have. It returns files as bytes and writes nothing.
package kit

import (
	"bytes"
	"cmp"
	"path"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

const nbsp = "\u00a0"

// A Subject is what a kit is made of.
type Subject struct {
	Sheet *sheet.Sheet
	Site  *record.Site
	// Held says that the sheet has results that are held. Each file's name then says so.
	Held bool
	// Template is the unit's own description.txt; nil where it has none, see [Describe].
	Template *record.File
	// Plain leaves the chapters out of descriptions.
	Plain bool
}

// A Kit is the files of one unit.
type Kit struct {
	Slug  string
	Held  bool
	Files []File
	Notes []string // what there is none of, and why, in sentences for the tester
}

// A File is one file of a kit, with the results that it was made from.
type File struct {
	Name  string
	Bytes []byte
	From  []Result
}

// A Result is something that a file says.
type Result struct {
	Key  string `json:"of"` // what it is of: "claim 4-ohm"
	Says string `json:"says"`
}

// Make makes all files of a kit, by name. The problems say which rules of the platforms
// it breaks, with the place in the record that breaks it; a kit with one that is an
// error is not to be used.
func Make(of Subject) (*Kit, record.Problems) {
	m := &maker{Subject: of, kit: &Kit{Slug: of.Sheet.Slug, Held: of.Held}}
	m.texts()
	if !m.problems.Errors() {
		m.pictures()
	}
	slices.SortFunc(m.kit.Files, func(a, b File) int { return cmp.Compare(a.Name, b.Name) })
	m.problems.Sort()
	m.problems = slices.Compact(m.problems)
	return m.kit, m.problems
}

// A maker makes a kit.
type maker struct {
	Subject
	kit      *Kit
	problems record.Problems
}

// add adds a file. One of a kit with held results says it in its name, before the ending.
func (m *maker) add(name string, data []byte, from ...Result) {
	m.kit.Files = append(m.kit.Files, File{m.named(name), data, from})
}

func (m *maker) named(name string) string {
	if !m.Held {
		return name
	}
	ending := path.Ext(name)
	return strings.TrimSuffix(name, ending) + ".held" + ending
}

func (m *maker) note(text string) { m.kit.Notes = append(m.kit.Notes, text) }

// texts makes the files that are texts.
func (m *maker) texts() {
	videos := m.films()
	for _, v := range videos {
		text, from := m.description(v)
		m.add("description"+v.suffix+".txt", text, from...)
		m.captions(v)
	}
	m.comment()
	m.titles()
	if len(m.Sheet.Record.Marks()) == 0 {
		m.note("no chapters and no captions: nothing in the record has its place in a video")
	}
}

// A film is a video as a kit has it: one of the record, or the one that it will have.
type film struct {
	video  *record.Video // nil for one that the record doesn't have yet
	suffix string        // of files' names, where there are several
}

func (m *maker) films() (all []film) {
	videos := m.Sheet.Record.Videos
	for i := range videos {
		f := film{video: &videos[i]}
		if len(videos) > 1 {
			f.suffix = "-" + videos[i].ID
		}
		all = append(all, f)
	}
	if len(all) == 0 {
		return []film{{}}
	}
	return all
}

// at gives the second of a mark that is in a film.
func (m *maker) at(f film, mark string) (seconds int, ok bool) {
	if f.video == nil {
		id, seconds, ok := record.ParseMark(mark)
		return seconds, ok && id == ""
	}
	v, seconds := m.Sheet.Record.Marked(mark)
	return seconds, v == f.video
}

// address is that of the unit's page; empty where the site has none yet.
func (m *maker) address() string {
	if m.Site == nil || m.Site.Address == "" {
		return ""
	}
	return strings.TrimRight(m.Site.Address, "/") + "/units/" + m.Sheet.Slug + "/"
}

// lines joins lines as a text file has them.
func lines(all []line) []byte {
	var b bytes.Buffer
	for _, one := range all {
		b.WriteString(strings.NewReplacer("\r", " ", "\n", " ").Replace(one.text))
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// A line of a text knows where it comes from.
type line struct {
	text string
	from record.Place
	file *record.File // of a template, where it comes from one
	at   int          // the byte that it begins at there
}

// problem is an error with what the line comes from.
func (l line) problem(summary, hint string) record.Problem {
	if l.file != nil {
		return l.file.Problem(record.Error, l.at, max(1, len(l.text)), summary, hint)
	}
	return l.from.Problem(summary, hint)
}

// numbered writes a number of things: "1 byte", "2 bytes".
func numbered(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return strconv.Itoa(n) + " " + thing
}
