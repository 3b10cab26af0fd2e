package charts

import (
	"testing"

	"wattsheet/generator/sheet"
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
