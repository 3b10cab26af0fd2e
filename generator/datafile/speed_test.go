package datafile_test

import (
	"encoding/json"
	"testing"

	"wattsheet/generator/datafile"
	"wattsheet/generator/sheet"
	"wattsheet/generator/site"
	"wattsheet/testdata/lifetime"
)

// The files of a unit of 30 runs and 8 claims; beside that, as the baseline in the same run, what encoding/json takes to
// write and to read the same sheet.json.
func BenchmarkFiles(b *testing.B) {
	root := b.TempDir()
	if err := lifetime.Write(root, 1); err != nil {
		b.Fatal(err)
	}
	made, problems, err := site.Load(root, today)
	if err != nil || problems.Errors() {
		b.Fatal(err, problems)
	}
	s := made.Sheets[0]
	data, err := datafile.JSON(s)
	if err != nil {
		b.Fatal(err)
	}
	var read datafile.Sheet
	if err := json.Unmarshal(data, &read); err != nil {
		b.Fatal(err)
	}
	writes := func(name string, write func(*sheet.Sheet) ([]byte, error)) {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				data, err := write(s)
				if err != nil {
					b.Fatal(err)
				}
				datafile.Clear(data)
			}
		})
	}
	writes("json", datafile.JSON)
	writes("csv", datafile.CSV)
	b.Run("baseline-write", func(b *testing.B) {
		for b.Loop() {
			if _, err := json.Marshal(&read); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("content", func(b *testing.B) {
		for b.Loop() {
			if _, problems := read.Content("sheet.json"); problems.Errors() {
				b.Fatal(problems)
			}
		}
	})
	b.Run("baseline-read", func(b *testing.B) {
		for b.Loop() {
			var d datafile.Sheet
			if err := json.Unmarshal(data, &d); err != nil {
				b.Fatal(err)
			}
		}
	})
}
