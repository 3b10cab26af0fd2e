package ledger

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/testdata/lifetime"
)

// lifetimeSheet is a unit of 30 runs and 8 claims.
func lifetimeSheet(b *testing.B) *sheet.Sheet {
	root := b.TempDir()
	if err := lifetime.Write(root, 1); err != nil {
		b.Fatal(err)
	}
	read := func(name string) *record.File {
		text, err := os.ReadFile(filepath.Join(root, "content", name))
		if err != nil {
			b.Fatal(err)
		}
		return &record.File{Name: name, Text: text}
	}
	c := &record.Content{}
	var all [4]record.Problems
	c.Site, all[0] = record.DecodeSite(read("site.toml"))
	c.Bench, all[1] = record.DecodeBench(read("bench.toml"))
	c.Methods, all[2] = record.DecodeMethods(read("methods.toml"))
	u := lifetime.UnitOf(0)
	rec, problems := record.DecodeRecord(&record.File{Name: "record.toml", Text: u.Record}, u.Slug)
	c.Records, all[3] = []*record.Record{rec}, problems
	if problems := slices.Concat(all[0], all[1], all[2], all[3], c.Check()); problems.Errors() {
		b.Fatal(problems.Error())
	}
	return sheet.Evaluate(c, rec)
}

// BenchmarkFollow compares a unit with its ledger of one entry, and reads one.
func BenchmarkFollow(b *testing.B) {
	s := lifetimeSheet(b)
	l, err := Seal(nil, Follow(nil, s), day1, "", []byte("{}\n"))
	if err != nil {
		l, err = Seal(nil, Follow(nil, s), "2027-01-01T10:00:00Z", "", []byte("{}\n"))
	}
	if err != nil {
		b.Fatal(err)
	}
	b.Run("follow", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if st := Follow(l, s); len(st.Problems) > 0 || len(st.Unsealed) > 0 {
				b.Fatal(st.Problems.Error())
			}
		}
	})
	text := l.Text()
	b.Run("read", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			if _, problems := Read(&record.File{Name: "ledger.toml", Text: text}); len(problems) > 0 {
				b.Fatal(problems.Error())
			}
		}
	})
}
