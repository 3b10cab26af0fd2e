package sheet

import (
	"os"
	"path/filepath"
	"testing"

	"wattsheet/generator/record"
	"wattsheet/testdata/lifetime"
)

// lifetimeSheet is the sheet of the first unit of a large site: 30 runs, 8 claims.
func lifetimeSheet(t testing.TB) *Sheet {
	t.Helper()
	root := t.TempDir()
	if err := lifetime.Write(root, 1); err != nil {
		t.Fatal(err)
	}
	file := func(name string) *record.File {
		text, err := os.ReadFile(filepath.Join(root, "content", name))
		if err != nil {
			t.Fatal(err)
		}
		return &record.File{Name: name, Text: text}
	}
	unit := lifetime.UnitOf(0)
	var c record.Content
	var problems [4]record.Problems
	c.Site, problems[0] = record.DecodeSite(file("site.toml"))
	c.Bench, problems[1] = record.DecodeBench(file("bench.toml"))
	c.Methods, problems[2] = record.DecodeMethods(file("methods.toml"))
	rec, found := record.DecodeRecord(&record.File{Name: "record.toml", Text: unit.Record}, unit.Slug)
	c.Records, problems[3] = []*record.Record{rec}, append(found, c.Check()...)
	for _, p := range problems {
		if p.Errors() {
			t.Fatal(p.Error())
		}
	}
	return Evaluate(&c, rec)
}

// BenchmarkDeriveRuns derives all runs of a unit with 30 of them.
func BenchmarkDeriveRuns(b *testing.B) {
	s := lifetimeSheet(b)
	b.ReportAllocs()
	for b.Loop() {
		v := s.Deriver()
		for _, r := range s.Runs {
			v.Run(r)
		}
	}
}

// BenchmarkDeriveClaims derives all claims of a unit with 8 of them, on 30 runs.
func BenchmarkDeriveClaims(b *testing.B) {
	s := lifetimeSheet(b)
	b.ReportAllocs()
	for b.Loop() {
		v := s.Deriver()
		for _, c := range s.Claims {
			v.Claim(c)
		}
	}
}

// BenchmarkDeriveOthers derives what a unit has beside its claims and runs.
func BenchmarkDeriveOthers(b *testing.B) {
	s := lifetimeSheet(b)
	b.ReportAllocs()
	for b.Loop() {
		for _, sp := range s.Specs {
			s.DeriveSpec(sp)
		}
		s.DeriveLines()
		s.DeriveRepeats()
		s.DeriveThermals()
		s.DeriveRatios()
	}
}
