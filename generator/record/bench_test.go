package record

import (
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
