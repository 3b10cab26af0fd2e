package site

import (
	"testing"
	"time"

	"wattsheet/testdata/lifetime"
)

// BenchmarkDerivations derives and renders all runs and claims of a unit with 30 runs
// and 8 claims.
func BenchmarkDerivations(b *testing.B) {
	root := b.TempDir()
	if err := lifetime.Write(root, 1); err != nil {
		b.Fatal(err)
	}
	s, problems, err := Inspect(root, time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC))
	if err != nil || problems.Errors() {
		b.Fatal(err, problems)
	}
	b.ReportAllocs()
	for b.Loop() {
		to := newLate()
		d := newDeriver(s.Sheets[0], "../methodology/index.html", to)
		d.claims(s.Sheets[0])
		d.runs(s.Sheets[0])
		d.others(s.Sheets[0])
		d.common()
		to.clear()
	}
}
