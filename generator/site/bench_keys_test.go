package site

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"wattsheet/generator/datafile"
	"wattsheet/generator/record"
)

// fullBench is the tiny site's bench with all that a range and a load may have.
func fullBench(t *testing.T) map[string]string {
	t.Helper()
	bench := strings.NewReplacer(
		"reads = \"out_v\"\n  to = 100\n  reading_pct = 1\n", `reads = "out_v"
  to = 100
  reading_pct = 1
  constant = 0.02
  shape = "normal"
  k = 2.5
  dof = 12
  drift_pct_year = 0.3
`,
		"  reading_pct = 0.5\n", `  reading_pct = 0.5
  shape = "u-shaped"
  correction_pct = -0.4
  correction = 0.03
  correction_pm_pct = 0.2
  correction_pm = 0.01
  correction_k = 2.2
`,
		"  reading_pct = 2\n", `  reading_pct = 2
  shape = "triangular"
  tempco_pct_k = 0.25
  from_c = 18
  to_c = 28
`,
		"ohm_pct = 1\n", "ohm_pct = 1\nohm_k = 2\n",
	).Replace(tinyFile(t, "content/bench.toml"))
	rec := strings.NewReplacer("supply_a = 10.0\n", "supply_a = 10.0\nambient_c = 12\n", "class = \"D\"\n", `class = "D"
size_mm = [259, 55, 180]
size_in = [10.2, 2.17, 7.09]
mass_kg = 2.00
mass_lb = 4.4
`).Replace(tinyFile(t, tinyRecord)) + `
[[spec]]
id = "width"
name = "width"
unit = "mm"
limit = "about"
stated = 259
also = 10.2
also_unit = "in"
measured = 259.2
pm = 0.2
[[thermal]]
spot = "fin"
temp_c = 60.0
temp_f = 140
ambient_c = 20
ambient_f = 68
pm = 2
`
	return map[string]string{"content/bench.toml": bench, tinyRecord: rec}
}

// A published sheet carries each key of the bench that its figures need, and is
// recomputed with it: with another value of any, figures differ.
func TestVerifyReadsEveryKeyOfTheBench(t *testing.T) {
	data := tinyJSON(t, fullBench(t))
	if d := differences(t, data); len(d) > 0 {
		t.Fatal(d)
	}
	for _, c := range []struct{ old, changed, differs string }{
		{`"constant": 0.02`, `"constant": 0.05`, "runs[0].channels[0].power.u"},
		{`"k": 2.5,`, `"k": 2,`, "runs[0].channels[0].power.u"},
		{`"dof": 12,`, `"dof": 9,`, "runs[0].channels[0].power.dof"},
		{`"drift_pct_year": 0.3`, `"drift_pct_year": 0.9`, "runs[0].channels[0].power.u"},
		{`"calibrated": "2026-01-10"`, `"calibrated": "2025-01-10"`, "runs[0].channels[0].power.u"},
		{`"shape": "u-shaped"`, `"shape": "rectangular"`, "runs[0].supply_v.u"},
		{`"correction_pct": -0.4`, `"correction_pct": 0.4`, "runs[0].supply_v.value"},
		{`"correction": 0.03`, `"correction": 0.04`, "runs[0].supply_v.value"},
		{`"correction_pm_pct": 0.2`, `"correction_pm_pct": 0.3`, "runs[0].supply_v.u"},
		{`"correction_pm": 0.01`, `"correction_pm": 0.03`, "runs[0].supply_v.u"},
		{`"correction_k": 2.2`, `"correction_k": 2`, "runs[0].supply_v.u"},
		{`"shape": "triangular"`, `"shape": "rectangular"`, "runs[0].efficiency.u"},
		{`"tempco_pct_k": 0.25`, `"tempco_pct_k": 0.75`, "runs[0].efficiency.u"},
		{`"from_c": 18`, `"from_c": 12`, "runs[0].efficiency.u"},
		{`"ohm_k": 2`, `"ohm_k": 3`, "runs[0].channels[0].resistance.u"},
	} {
		if bytes.Count(data, []byte(c.old)) != 1 {
			t.Errorf("the file has %s %d times", c.old, bytes.Count(data, []byte(c.old)))
			continue
		}
		found := strings.Join(differences(t, bytes.Replace(data, []byte(c.old), []byte(c.changed), 1)), "\n")
		if !strings.Contains(found, c.differs+": ") {
			t.Errorf("with %s no difference at %s", c.changed, c.differs)
		}
	}
}

// Every key of a range, an instrument, a load and a method has its like in the
// published format. An instrument's ranges and a method's pool are tables of
// their own.
func TestEveryKeyOfTheBenchIsPublished(t *testing.T) {
	for _, c := range []struct{ read, published reflect.Type }{
		{reflect.TypeFor[record.Range](), reflect.TypeFor[datafile.Span]()},
		{reflect.TypeFor[record.Instrument](), reflect.TypeFor[datafile.Instrument]()},
		{reflect.TypeFor[record.Load](), reflect.TypeFor[datafile.Load]()},
		{reflect.TypeFor[record.Method](), reflect.TypeFor[datafile.Method]()},
	} {
		keys := map[string]bool{}
		for i := range c.published.NumField() {
			key, _, _ := strings.Cut(c.published.Field(i).Tag.Get("json"), ",")
			keys[key] = true
		}
		keys["range"] = keys["ranges"]
		for i := range c.read.NumField() {
			if key := c.read.Field(i).Tag.Get("toml"); key != "" && !keys[key] {
				t.Errorf("%s of %s is not in the published file", key, c.read.Name())
			}
		}
	}
}

// The methodology page says of an instrument all that its figures rest on, and a
// unit's page the figures in both units.
func TestMethodologySaysAllOfARange(t *testing.T) {
	s := loaded(t, tiny(t, fullBench(t)))
	outputs, _, err := s.Outputs()
	if err != nil {
		t.Fatal(err)
	}
	said := map[string]string{}
	for _, o := range outputs {
		if strings.HasSuffix(o.Path, ".html") {
			said[o.Path] = squeeze(content(parse(t, o.Bytes)))
		}
	}
	for at, texts := range map[string][]string{
		"methodology/index.html": {
			"±(1 % of reading + 0.02 V): no half-width but expanded, k = 2.5, 12 degrees of freedom",
			"drift of ±0.3 % of reading a year",
			"±(0.5 % of reading), U-shaped",
			"corrected by −0.4 % of reading + 0.03 V with an expanded uncertainty of 0.2 % of reading + 0.01 V, k = 2.2, one error in all readings",
			"±(2 % of reading), triangular",
			"±0.25 % of reading for each kelvin of the air outside 18 to 28 °C",
			"expanded, k = 2",
			"u = (a·x + b·range + n·resolution + c)/q",
		},
		"units/ottersprocket-20/index.html": {"259 × 55 × 180 mm (10.2 × 2.17 × 7.09 in)", "2.00 kg (4.4 lb)", "259 mm (10.2 in)"},
	} {
		for _, want := range texts {
			if !strings.Contains(said[at], want) {
				t.Errorf("%s doesn't say %q", at, want)
			}
		}
	}
}
