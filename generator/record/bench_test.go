package record

import (
	"os"
	"path/filepath"
	"testing"

	"wattsheet/testdata/lifetime"
)

// BenchmarkDecodeRecord decodes records of 30 runs and 8 claims, one an operation.
func BenchmarkDecodeRecord(b *testing.B) {
	var files []*File
	for i := range 10 {
		files = append(files, &File{Name: "record.toml", Text: lifetime.UnitOf(i).Record})
	}
	b.SetBytes(int64(len(files[0].Text)))
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if _, problems := DecodeRecord(files[i%len(files)], "a-unit"); len(problems) > 0 {
			b.Fatal(problems.Error())
		}
	}
}

// BenchmarkCheck checks a site of ten such records; an operation is all of them.
func BenchmarkCheck(b *testing.B) {
	root := b.TempDir()
	if err := lifetime.Write(root, 1); err != nil {
		b.Fatal(err)
	}
	read := func(name string) *File {
		text, err := os.ReadFile(filepath.Join(root, "content", name))
		if err != nil {
			b.Fatal(err)
		}
		return &File{Name: name, Text: text}
	}
	var c Content
	c.Site, _ = DecodeSite(read("site.toml"))
	c.Bench, _ = DecodeBench(read("bench.toml"))
	c.Methods, _ = DecodeMethods(read("methods.toml"))
	for i := range 10 {
		u := lifetime.UnitOf(i)
		r, _ := DecodeRecord(&File{Name: "record.toml", Text: u.Record}, u.Slug)
		c.Records = append(c.Records, r)
	}
	b.ReportAllocs()
	for b.Loop() {
		if problems := c.Check(); len(problems) > 0 {
			b.Fatal(problems.Error())
		}
	}
}
