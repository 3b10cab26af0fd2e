package verify

import (
	"testing"

	"wattsheet/generator/datafile"
	"wattsheet/generator/site"
	"wattsheet/testdata/lifetime"
)

// BenchmarkSheet recomputes a published sheet of 30 runs and 8 claims; beside that, as the baseline in the same run, reads it
// only.
func BenchmarkSheet(b *testing.B) {
	root := b.TempDir()
	if err := lifetime.Write(root, 1); err != nil {
		b.Fatal(err)
	}
	made, problems, err := site.Load(root, today)
	if err != nil || problems.Errors() {
		b.Fatal(err, problems)
	}
	data, err := datafile.JSON(made.Sheets[0])
	if err != nil {
		b.Fatal(err)
	}
	b.Run("recomputed", func(b *testing.B) {
		for b.Loop() {
			v, err := Sheet("sheet.json", data)
			if err != nil {
				b.Fatal(err)
			}
			if _, _, differ := v.Counts(); differ > 0 {
				b.Fatalf("%d figures differ", differ)
			}
		}
	})
	b.Run("baseline-read", func(b *testing.B) {
		for b.Loop() {
			if _, err := Read("sheet.json", data); err != nil {
				b.Fatal(err)
			}
		}
	})
}
