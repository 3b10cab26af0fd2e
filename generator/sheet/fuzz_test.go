package sheet

import (
	"math"
	"testing"

	"wattsheet/generator/record"
)

// FuzzEvaluate evaluates whatever record passes the checks: no panic, and no figure
// that isn't a number.
func FuzzEvaluate(f *testing.F) {
	f.Add(claim75 + run("a") + run("b", "out_v = 0") + run("c", "power_w = 81", "supply_a = 0"))
	f.Add(claim75 + lineRuns + run("x", `outcome = "protected"`, "lasted_s = 3"))
	f.Add(claim75 + run("a", "supply_v = 13") + run("b", "supply_v = 15") + run("c", "supply_w = 0", "supply_v = 14"))
	f.Add("\n[[spec]]\nid = \"s\"\nname = \"s\"\nlimit = \"about\"\nstated = 1e12\nmeasured = [-1e12, 3]\npm = 1e12\n")
	f.Add("\n[[thermal]]\nspot = \"s\"\ntemp_c = [20, 1000]\nat_min = [0, 1]\nambient_c = -50\n")
	f.Add(claim75 + run("a", "supply_v = 13.5") + run("b", "supply_v = 12.6", "out_v = 15") + run("c", "supply_v = 15", "out_v = 1e-3"))
	file := func(name, text string) *record.File { return &record.File{Name: name, Text: []byte(text)} }
	var c record.Content
	c.Site, _ = record.DecodeSite(file("site.toml", testSite+"currency = \"EUR\"\n"))
	c.Bench, _ = record.DecodeBench(file("bench.toml", testBench))
	c.Methods, _ = record.DecodeMethods(file("methods.toml", testMethods))
	full, _ := record.DecodeBench(file("bench.toml", benchWith(f, "dmm", "calibrated = 2026-01-10", everything("normal")+"\ndof = 3")))
	f.Fuzz(func(t *testing.T, text string) {
		rec, problems := record.DecodeRecord(file("record.toml", testUnit+text), "two")
		if problems.Errors() {
			return
		}
		for _, bench := range []*record.Bench{c.Bench, full} {
			content := c
			content.Bench, content.Records = bench, []*record.Record{rec}
			if !content.Check().Errors() {
				s := Evaluate(&content, rec)
				allFinite(t, s)
				comparesWithTwin(t, &content, s)
			}
		}
	})
}

// comparesWithTwin checks that a unit is not told apart from one with the same
// record, nor by the bounds of a table, and that all figures of that are finite.
func comparesWithTwin(t *testing.T, content *record.Content, s *Sheet) {
	twin := *s.Record
	twin.Slug = s.Slug + "-twin"
	for _, table := range RankTables([]*Sheet{s, Evaluate(content, &twin)}) {
		for i, r := range table.Rows {
			if r.First != 1 || r.Last != len(table.Rows) {
				t.Fatalf("%s: ranks %s of twins", table.Title, r.Rank)
			}
			for _, c := range table.Pair(0, i).Corners {
				for _, x := range []float64{c.YA, c.YB, c.U, c.P} {
					if math.IsNaN(x) || math.IsInf(x, 0) {
						t.Fatalf("%s: corner %+v", table.Title, c)
					}
				}
			}
		}
	}
}

// allFinite checks that every figure of a sheet, and what claims are decided by, is
// a number.
func allFinite(t *testing.T, s *Sheet) {
	t.Helper()
	for _, figure := range everyFigure(s) {
		for _, x := range []float64{figure.X, figure.Std, figure.U, figure.K} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%s is %v ± %v", figure.Quantity, figure.X, figure.U)
			}
		}
	}
	for _, claim := range s.Claims {
		for _, x := range []float64{claim.PMin, claim.PMax, claim.BarLow, claim.BarHigh} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("claim %s: p %v to %v, bar %v to %v", claim.ID, claim.PMin, claim.PMax, claim.BarLow, claim.BarHigh)
			}
		}
	}
}

// everyFigure lists the figures of a sheet.
func everyFigure(s *Sheet) []*Figure {
	var all []*Figure
	add := func(figures ...*Figure) {
		for _, f := range figures {
			if f != nil {
				all = append(all, f)
			}
		}
	}
	for _, r := range s.Runs {
		add(r.Total, r.SupplyV, r.SupplyA, r.SupplyPower, r.Efficiency, r.Heat)
		for _, c := range r.Channels {
			add(c.Resistance, c.Volts, c.OutV, c.Power, c.Check, c.Distortion)
		}
	}
	for _, c := range s.Claims {
		add(c.Level)
		for _, ch := range c.Channels {
			add(ch.Mean)
		}
	}
	for _, spec := range s.Specs {
		add(spec.Measured)
	}
	for _, t := range s.Thermals {
		for _, p := range t.Points {
			add(p.TempC, p.Rise)
		}
	}
	for _, r := range s.Ratios {
		add(r.Figure)
	}
	for _, l := range s.Lines {
		add(l.E, l.Rs, l.Expected)
		for _, p := range l.Curve {
			add(p.Power)
		}
		for _, p := range l.Points {
			add(p.Power, p.Residual)
		}
	}
	if s.Exponent != nil {
		add(s.Exponent.K)
	}
	for _, c := range s.Claims {
		if c.Estimate == nil {
			continue
		}
		for _, e := range c.Estimate.Channels {
			add(e.Low, e.High, e.Own)
		}
	}
	return all
}
