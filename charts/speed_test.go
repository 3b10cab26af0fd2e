package charts

import (
	"path/filepath"
	"testing"

	"wattsheet/generator/sheet"
	"wattsheet/testdata/lifetime"
)

// The benchmarks draw the demo's sheets and, as a measure of the machine, evaluate
// the same: compare them within one run.

func BenchmarkPowerByLoad(b *testing.B) {
	sheets := demo(b)
	for b.Loop() {
		for _, s := range sheets {
			PowerByLoad(s)
		}
	}
}

func BenchmarkAllCharts(b *testing.B) {
	sheets := demo(b)
	for b.Loop() {
		for _, s := range sheets {
			All(s)
		}
	}
}

// BenchmarkAll draws a unit of those that the maker of large sites makes: 30 runs, 8
// claims. An operation is one unit.
func BenchmarkAll(b *testing.B) {
	root := b.TempDir()
	if err := lifetime.Write(root, 4); err != nil {
		b.Fatal(err)
	}
	sheets := evaluated(b, filepath.Join(root, "content"))
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		All(sheets[n%len(sheets)])
		n++
	}
}

// Of a sheet with many series, which have to share the room for their names.
func BenchmarkPowerByLoadCrowded(b *testing.B) {
	var sheets []*sheet.Sheet
	for seed := range uint64(20) {
		sheets = append(sheets, random(seed))
	}
	for b.Loop() {
		for _, s := range sheets {
			PowerByLoad(s)
		}
	}
}

func BenchmarkBaselineEvaluate(b *testing.B) {
	sheets := demo(b)
	for b.Loop() {
		for _, s := range sheets {
			sheet.Evaluate(s.Content, s.Record)
		}
	}
}
