package generator_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// The register of check values: what this program computes, beside figures from
// outside of it. One file a subject, checks_SUBJECT_test.go, which adds its rows by
//
//	var _ = register(check{...}, check{...})
//
// Every formula of the catalogue has a row; every row names its source and the
// reason for its tolerance.

// A check is one figure that this program gives, and what it has to be.
type check struct {
	// of names the formulas of the catalogue that the figure comes by, separated
	// by blanks, or words of beside.
	of string
	// name says what is computed, with its inputs.
	name string
	// kind says where want comes from, and source names it.
	kind   kind
	source string
	want   float64
	within tolerance
	got    func() float64
}

// A kind is where a check value comes from.
type kind string

const (
	// document: printed in a standard, handbook or published table that was read.
	document kind = "document"
	// computed: worked out apart from this program, by hand, in closed form, or by
	// a general library.
	computed kind = "computed"
	// remembered: as a document is remembered to print it; recomputing reproduces it.
	remembered kind = "from memory"
	// practice: a fact of the trade without a source.
	practice kind = "common practice, no source"
)

// beside are the figures that are checked here though no formula of the catalogue
// is behind them.
var beside = []string{"rounding", "class-b-limit", "quantiles", "blade-fuses", "smallest-shortfall"}

// A tolerance is how far a figure may be off, and why so far: abs in the figure's
// unit, rel as a share of want; the larger counts.
type tolerance struct {
	abs, rel float64
	why      string
}

// Tolerances that many rows share.
var (
	exactly = tolerance{rel: 1e-15, why: "a number that is read, or one operation on it: the last bit"}
	closed  = tolerance{rel: 1e-12, why: "closed form in double precision, a few roundings"}
	firstly = tolerance{rel: 1e-7, why: "first-order u whose reference has numerical derivatives, good to 2e-8"}
)

// printed is the tolerance of a figure that its document prints with its last
// digit in the place of unit.
func printed(unit float64) tolerance {
	return tolerance{abs: unit / 2 * (1 + 1e-9), why: "half a unit of the last digit printed"}
}

// rows is the register.
var rows []check

// register adds rows; the result is of no use but to stand in a var declaration.
func register(add ...check) bool {
	rows = append(rows, add...)
	return true
}

// off says what is wrong with a check's figure; empty when nothing is.
func (c check) off() string {
	got := c.got()
	limit := math.Max(c.within.abs, c.within.rel*math.Abs(c.want))
	if math.Abs(got-c.want) <= limit {
		return "" // also false where got is not a number
	}
	return fmt.Sprintf("%.15g, want %.15g within %.3g (%s; %s)", got, c.want, limit, c.source, c.within.why)
}

// incomplete says what a row of the register lacks; empty when it is complete.
func (c check) incomplete() string {
	if strings.TrimSpace(c.of) == "" {
		return "it names no formula"
	}
	for _, id := range strings.Fields(c.of) {
		if _, known := formula.ByID(id); !known && !slices.Contains(beside, id) {
			return "the catalogue has no formula " + id
		}
	}
	switch {
	case c.name == "" || c.got == nil:
		return "it computes nothing, or doesn't say what"
	case !slices.Contains([]kind{document, computed, remembered, practice}, c.kind):
		return "it doesn't say what kind its source is of"
	case len(c.source) < 5 && c.kind != practice:
		return "it names no source"
	case len(c.within.why) < 10:
		return "it gives no reason for its tolerance"
	case c.within.abs <= 0 && c.within.rel <= 0 || c.within.rel > 0.1:
		return "its tolerance is none, or says nothing"
	case math.IsNaN(c.want) || math.IsInf(c.want, 0):
		return "what it wants is no number"
	}
	return ""
}

// unchecked are the formulas of a catalogue without a row that shows them from
// outside.
func unchecked(catalogue []formula.Formula, rows []check) (ids []string) {
	shown := map[string]bool{}
	for _, c := range rows {
		for _, id := range strings.Fields(c.of) {
			shown[id] = true
		}
	}
	for _, f := range catalogue {
		if !shown[f.ID] {
			ids = append(ids, f.ID)
		}
	}
	return ids
}

// TestChecks compares every figure of the register with its value from outside.
func TestChecks(t *testing.T) {
	for _, c := range rows {
		t.Run(strings.ReplaceAll(c.of, " ", ",")+"/"+c.name, func(t *testing.T) {
			if why := c.incomplete(); why != "" {
				t.Fatal(why)
			}
			if why := c.off(); why != "" {
				t.Error(why)
			}
		})
	}
}

func TestEveryFormulaHasACheck(t *testing.T) {
	for _, id := range unchecked(formula.Catalogue(), rows) {
		t.Errorf("the formula %s has no check from outside: add a row to a checks_*_test.go", id)
	}
	seen := map[string]bool{}
	for _, c := range rows {
		if seen[c.of+c.name] {
			t.Errorf("two checks of %s are called %q", c.of, c.name)
		}
		seen[c.of+c.name] = true
	}
	if len(rows) < 100 {
		t.Errorf("the register has only %d rows: are its files compiled?", len(rows))
	}
}

// The register can fail: rows that lack something, or are wrong, are found.
func TestChecksCanFail(t *testing.T) {
	good := check{formula.Heat, "one", computed, "by hand", 1, exactly, func() float64 { return 1 }}
	if good.incomplete() != "" || good.off() != "" {
		t.Fatalf("a good row fails: %s %s", good.incomplete(), good.off())
	}
	for want, spoil := range map[string]func(*check){
		"names no formula":   func(c *check) { c.of = " " },
		"no formula heatt":   func(c *check) { c.of = "heat heatt" },
		"names no source":    func(c *check) { c.source = "" },
		"what kind":          func(c *check) { c.kind = "hearsay" },
		"reason":             func(c *check) { c.within.why = "" },
		"none, or says":      func(c *check) { c.within.rel = 0 },
		"or says nothing":    func(c *check) { c.within.rel = 0.5 },
		"computes nothing":   func(c *check) { c.got = nil },
		"is no number":       func(c *check) { c.want = math.NaN() },
		"doesn't say what":   func(c *check) { c.name = "" },
		"computes nothing, ": func(c *check) { c.name = "" },
	} {
		c := good
		spoil(&c)
		if why := c.incomplete(); !strings.Contains(why, want) {
			t.Errorf("a row spoilt in %q is complete, or fails with %q", want, why)
		}
	}
	for _, x := range []float64{1 + 4e-15, 1 - 4e-15, math.NaN(), math.Inf(1), math.Inf(-1)} {
		c := good
		c.got = func() float64 { return x }
		if c.off() == "" {
			t.Errorf("%v passes for 1", x)
		}
	}
	one := []formula.Formula{{ID: "heat"}, {ID: "new-formula"}}
	if ids := unchecked(one, []check{good}); !slices.Equal(ids, []string{"new-formula"}) {
		t.Errorf("without checks are %v, want new-formula alone", ids)
	}
}

// The guide tells how a row is added, and by which test a formula without one fails.
func TestGuideNamesTheRegister(t *testing.T) {
	text := read(t, "../DEVELOPERS.md")
	for _, want := range []string{"every formula has a check", "generator/checks_test.go"} {
		if !regexp.MustCompile("(?i)" + regexp.QuoteMeta(want)).MatchString(text) {
			t.Errorf("DEVELOPERS.md doesn't say %q", want)
		}
	}
}

// figures are the rows of a sheet's figure: its value, and its standard
// uncertainty where u is given.
type figures struct {
	name, source string
	kind         kind
	x, u         float64
	within       tolerance // of u; of x it is closed
	of           func() *sheet.Figure
}

// rows are the checks of a figure that comes by one formula; that it names that
// formula is checked with it.
func (f figures) rows(id string) []check {
	value := func() *sheet.Figure {
		got := f.of()
		if got == nil || got.Formula != id {
			panic(fmt.Sprintf("%s: the sheet's figure is %+v, not by the formula %s", f.name, got, id))
		}
		return got
	}
	out := []check{{id, f.name, f.kind, f.source, f.x, closed, func() float64 { return value().X }}}
	if f.u > 0 {
		out = append(out, check{id + " " + formula.Combined, f.name + ", u", f.kind, f.source, f.u, f.within, func() float64 { return value().Std }})
	}
	return out
}

// registerFigures adds the rows of figures that come by one formula.
func registerFigures(id string, all ...figures) bool {
	for _, f := range all {
		register(f.rows(id)...)
	}
	return true
}
