package sheet

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"wattsheet/generator/record"
	"wattsheet/testdata/lifetime"
)

// lifetimeContent is the checked content of a site of n units that a tester may have
// after many years.
func lifetimeContent(t testing.TB, n int) *record.Content {
	t.Helper()
	root := t.TempDir()
	if err := lifetime.Write(root, n); err != nil {
		t.Fatal(err)
	}
	file := func(name string) *record.File {
		text, err := os.ReadFile(filepath.Join(root, "content", filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		return &record.File{Name: name, Text: text}
	}
	var c record.Content
	var all, p record.Problems
	c.Site, p = record.DecodeSite(file("site.toml"))
	all = append(all, p...)
	c.Bench, p = record.DecodeBench(file("bench.toml"))
	all = append(all, p...)
	c.Methods, p = record.DecodeMethods(file("methods.toml"))
	all = append(all, p...)
	for i := range n {
		slug := lifetime.UnitOf(i).Slug
		rec, p := record.DecodeRecord(file("units/"+slug+"/record.toml"), slug)
		all = append(all, p...)
		c.Records = append(c.Records, rec)
	}
	if all = append(all, c.Check()...); all.Errors() {
		t.Fatal(all.Error())
	}
	return &c
}

// What runs and claims of a unit share doesn't show: each by itself comes to the same,
// to the last bit.
func TestAloneAsAmongOthers(t *testing.T) {
	c := lifetimeContent(t, 2)
	for _, rec := range c.Records {
		s, e := Evaluate(c, rec), &evaluator{c, rec, ruleOf(c.Site)}
		for i, r := range s.Runs {
			alone := e.run(&rec.Runs[i])
			for n, ch := range r.Channels {
				if p, q := ch.Power, alone.Channels[n].Power; p.X != q.X || p.Std != q.Std || p.DoF != q.DoF || p.Text != q.Text || len(p.Lines) != len(q.Lines) {
					t.Errorf("%s, run %s: %s, alone %s", rec.Slug, r.ID, p.Text, q.Text)
				}
			}
		}
		for i, among := range s.Claims {
			alone := e.claim(&rec.Claims[i], s.Runs)
			if alone.Verdict != among.Verdict || alone.Why != among.Why || !reflect.DeepEqual(alone.Corners, among.Corners) || !reflect.DeepEqual(alone.Flip, among.Flip) || !reflect.DeepEqual(alone.Rules, among.Rules) {
				t.Errorf("%s, claim %s: %s, alone %s", rec.Slug, among.ID, among.Verdict, alone.Verdict)
			}
		}
	}
}

// BenchmarkEvaluateLifetime evaluates units of 30 runs and 8 claims, one an
// operation.
func BenchmarkEvaluateLifetime(b *testing.B) {
	c := lifetimeContent(b, 10)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		Evaluate(c, c.Records[i%len(c.Records)])
	}
}
