package kit

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

const content = "../../content"

func file(t testing.TB, name string) *record.File {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(content, name))
	if err != nil {
		t.Fatal(err)
	}
	return &record.File{Name: name, Text: text}
}

// A bench makes subjects of units of the demo, with their records changed.
type bench struct {
	testing.TB
	content record.Content
}

func newBench(t testing.TB) *bench {
	b := &bench{TB: t}
	b.content.Site, _ = record.DecodeSite(file(t, "site.toml"))
	b.content.Bench, _ = record.DecodeBench(file(t, "bench.toml"))
	b.content.Methods, _ = record.DecodeMethods(file(t, "methods.toml"))
	return b
}

// unit is the demo's unit with two channels, a fuse that blew, and a claim of each verdict but
// one.
const unit = "ravenspigot-loftanvil-350"

// decoded is a unit's record after some edits, each old text and new text.
func (b *bench) decoded(slug string, edits ...string) *record.Record {
	b.Helper()
	f := file(b, "units/"+slug+"/record.toml")
	text := string(f.Text)
	for i := 0; i < len(edits); i += 2 {
		if strings.Count(text, edits[i]) != 1 {
			b.Fatalf("%q stands %d times in the record", edits[i], strings.Count(text, edits[i]))
		}
		text = strings.Replace(text, edits[i], edits[i+1], 1)
	}
	r, problems := record.DecodeRecord(&record.File{Name: f.Name, Text: []byte(text)}, slug)
	if problems.Errors() {
		b.Fatal(problems)
	}
	return r
}

// subject is a unit as it is published at the end of 2026, after some edits.
func (b *bench) subject(slug string, edits ...string) Subject {
	c := b.content
	c.Records = []*record.Record{b.decoded(slug, edits...)}
	seen := c.Visible(time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC))
	if len(seen.Records) == 0 {
		b.Fatal("the unit is held")
	}
	return Subject{Sheet: sheet.Evaluate(seen, seen.Records[0]), Site: seen.Site}
}

// marked are edits that mark places in one video.
func marked(marks ...string) (edits []string) {
	edits = []string{"[settings]\n", "[[video]]\nid = \"bench\"\ntitle = \"On the bench\"\nlasts = \"8:40\"\n\n[settings]\n"}
	for i := 0; i < len(marks); i += 2 {
		id := "id = \"" + marks[i] + "\"\n"
		edits = append(edits, id, id+"video = \""+marks[i+1]+"\"\n")
	}
	return edits
}

// usually marks what a video shows.
func usually() []string {
	return marked("8-ohm", "0:45", "r01", "1:20", "r02", "1:25", "r05", "3:05", "4-ohm", "4:12", "r07", "6:30")
}

func (k *Kit) named(t testing.TB, name string) File {
	t.Helper()
	for _, f := range k.Files {
		if f.Name == name {
			return f
		}
	}
	t.Fatalf("the kit has no %s", name)
	return File{}
}

// texts makes the texts of a kit only.
func texts(of Subject) (*Kit, record.Problems) {
	m := &maker{Subject: of, kit: &Kit{Slug: of.Sheet.Slug, Held: of.Held}}
	m.texts()
	return m.kit, m.problems
}
