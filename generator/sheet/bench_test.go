package sheet

import (
	"fmt"
	"testing"

	"wattsheet/generator/record"
)

// BenchmarkEvaluate evaluates a unit with 30 runs and 8 claims, beside the bare
// decoding of the same record, so that the ratio of the two can be read off one run.
func BenchmarkEvaluate(b *testing.B) {
	text := testUnit
	for i := range 8 {
		text += fmt.Sprintf("\n[[claim]]\nid = \"c%d\"\npower_w = %d\nload_ohm = %d\nchannels = 2\nsupply_v = 14.4\nthdn_pct = %d\n", i, 60+i, 4-2*(i%2), 1+i)
	}
	for i := range 30 {
		load := `["a4", "b4"]`
		text += run(fmt.Sprint("r", i), `driven = ["L", "R"]`, "load = "+load, fmt.Sprintf("out_v = [%d.5, %d.4]", 15+i%5, 15+i%5), "thdn_pct = [1.0, 1.0]", fmt.Sprintf("supply_v = 14.%d", 1+i%6), "supply_a = 17.1")
	}
	file := func(name, text string) *record.File { return &record.File{Name: name, Text: []byte(text)} }
	var c record.Content
	c.Site, _ = record.DecodeSite(file("site.toml", testSite))
	c.Bench, _ = record.DecodeBench(file("bench.toml", testBench))
	c.Methods, _ = record.DecodeMethods(file("methods.toml", testMethods))
	rec, problems := record.DecodeRecord(file("record.toml", text), "two")
	c.Records = []*record.Record{rec}
	if problems = append(problems, c.Check()...); problems.Errors() {
		b.Fatal(problems.Error())
	}
	b.Run("decode", func(b *testing.B) {
		for b.Loop() {
			record.DecodeRecord(file("record.toml", text), "two")
		}
	})
	b.Run("evaluate", func(b *testing.B) {
		for b.Loop() {
			Evaluate(&c, rec)
		}
	})
}
