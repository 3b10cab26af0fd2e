package site

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"wattsheet/generator/datafile"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verify"
)

func tinyJSON(t *testing.T, files map[string]string) []byte {
	t.Helper()
	data, err := datafile.JSON(loaded(t, tiny(t, files)).Sheets[0])
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestSheetFileGolden(t *testing.T) {
	golden(t, "sheet.golden.json", tinyJSON(t, nil))
}

// differences are the paths of a sheet.json that don't agree when it is verified.
func differences(t *testing.T, data []byte) (paths []string) {
	t.Helper()
	v, err := verify.Sheet("sheet.json", data)
	if err != nil || v.Problems.Errors() {
		t.Fatal(err, v)
	}
	for _, c := range v.Compared {
		if !c.Agrees {
			paths = append(paths, c.Path+": "+c.Published+", "+c.Recomputed)
		}
	}
	return paths
}

// generic is JSON as anybody reads it, numbers as their texts.
func generic(t *testing.T, data []byte) any {
	t.Helper()
	var v any
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	if err := d.Decode(&v); err != nil {
		t.Fatal(err)
	}
	return v
}

// at follows keys and indexes into JSON.
func at(t *testing.T, v any, path ...any) any {
	t.Helper()
	for _, p := range path {
		switch p := p.(type) {
		case string:
			m, ok := v.(map[string]any)
			if !ok {
				t.Fatalf("%v: no object at %q", path, p)
			}
			v = m[p]
		case int:
			l, ok := v.([]any)
			if !ok || p >= len(l) {
				t.Fatalf("%v: no item %d", path, p)
			}
			v = l[p]
		}
	}
	return v
}

func value(t *testing.T, v any, path ...any) float64 {
	t.Helper()
	n, ok := at(t, v, path...).(json.Number)
	if !ok {
		t.Fatalf("%v is %v, not a number", path, at(t, v, path...))
	}
	x, err := n.Float64()
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if math.Abs(got-want) > relative*math.Abs(want) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

// The power of 20 V into 4 Ω, by hand. V²/R is Joule's and Ohm's laws. Standard
// uncertainties are half-widths by √3 (JCGM 100:2008, 4.3.7): 0.2 V, 0.04 Ω, and
// 1 % of the power for the pool; with the sensitivities 2V/R = 10 A and
// V²/R² = 25 A² (5.1.3)
//
//	u² = (10·0.2)²/3 + (25·0.04)²/3 + 1² = 8/3 W²
//
// and ν = u⁴/(1⁴/8) = 8·64/9 (equation G.2b). The t factor for 95 % is 2.01 at 50
// and 1.990 at 80 degrees of freedom, so k lies between (table G.2 has 2.01 for
// 50 and 1.984 for 100).
func TestSheetFileAgreesWithHandCalculation(t *testing.T) {
	v := generic(t, tinyJSON(t, nil))
	power := at(t, v, "runs", 0, "channels", 0, "power")
	near(t, "value", value(t, power, "value"), 100, 1e-11)
	near(t, "u", value(t, power, "u"), math.Sqrt(8.0/3), 1e-11)
	near(t, "dof", value(t, power, "dof"), 8*64.0/9, 1e-11)
	if k := value(t, power, "k"); k < 1.984 || k > 2.01 {
		t.Errorf("k is %v", k)
	}
	// 144 W from the supply, 44 W of heat, 69.4 %: conservation of energy.
	near(t, "supply power", value(t, v, "runs", 0, "supply_power", "value"), 144, 1e-11)
	near(t, "heat", value(t, v, "runs", 0, "heat", "value"), 44, 1e-11)
	near(t, "efficiency", value(t, v, "runs", 0, "efficiency", "value"), 100*100.0/144, 1e-11)
	// 10·lg(100/90) = 0.4576 dB (ISO 80000-3: level of a power quantity).
	near(t, "level", value(t, v, "claims", 0, "level", "value"), 10*math.Log10(100.0/90), 1e-11)
	for claim, want := range []string{"met", "short", "untested"} {
		if got := at(t, v, "claims", claim, "verdict"); got != want {
			t.Errorf("claim %d is %v, want %s", claim, got, want)
		}
	}
}

func TestSheetFileKeepsReadingsAsWritten(t *testing.T) {
	v := generic(t, tinyJSON(t, nil))
	var got []string
	for _, r := range at(t, v, "runs", 0, "readings").([]any) {
		got = append(got, fmt.Sprint(at(t, r, "quantity"), at(t, r, "channel"), at(t, r, "text"), at(t, r, "value"), at(t, r, "instrument"), at(t, r, "how")))
	}
	want := "out_vM20.0020metermean thdn_pctM1.001analysermean supply_v<nil>14.4014.4metermean supply_a<nil>10.010clampmean"
	if strings.Join(got, " ") != want {
		t.Errorf("got  %s\nwant %s", strings.Join(got, " "), want)
	}
}

// Every number of the file can be read and written again without a change, and
// has at most 12 significant digits.
func TestSheetFileNumbersReadBack(t *testing.T) {
	count := 0
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			for _, item := range v {
				walk(item)
			}
		case []any:
			for _, item := range v {
				walk(item)
			}
		case json.Number:
			count++
			x, err := v.Float64()
			if err != nil || quantity.Float(x) != v.String() {
				t.Errorf("%s reads as %v, which is written %s (%v)", v, x, quantity.Float(x), err)
			}
			if digits := strings.Trim(strings.ReplaceAll(strings.SplitN(v.String(), "e", 2)[0], ".", ""), "-0"); len(digits) > 12 {
				t.Errorf("%s has more than 12 digits", v)
			}
		}
	}
	walk(generic(t, tinyJSON(t, nil)))
	if count < 100 {
		t.Errorf("only %d numbers", count)
	}
}

// A reader of the file gets to the same uncertainty from the components alone,
// by JCGM 100:2008: u² = Σc² over independent causes (equation 10), (Σc)² over
// common ones (5.2.2, note 1), ν by equation G.2b, k from Student's t (G.3.2).
func TestComponentsGiveTheUncertainty(t *testing.T) {
	v := generic(t, tinyJSON(t, nil))
	sources := map[string]any{}
	for _, s := range at(t, v, "sources").([]any) {
		sources[at(t, s, "id").(string)] = s
	}
	checked := 0
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case []any:
			for i, item := range v {
				walk(fmt.Sprint(path, ".", i), item)
			}
		case map[string]any:
			for key, item := range v {
				walk(path+"."+key, item)
			}
			if v["components"] != nil {
				checked++
				recompute(t, path, v, sources)
			}
		}
	}
	walk("", v)
	if checked < 12 {
		t.Errorf("only %d figures have components", checked)
	}
}

func recompute(t *testing.T, path string, figure any, sources map[string]any) {
	t.Helper()
	squares, common := map[string]float64{}, map[string]float64{} // by estimate; by group
	dof := map[string]float64{}
	nameOf := func(s any) string {
		if e, ok := at(t, s, "estimate").(string); ok {
			return e
		}
		return at(t, s, "id").(string)
	}
	estimateOf := map[string]string{}
	for _, c := range at(t, figure, "components").([]any) {
		s := sources[at(t, c, "source").(string)]
		if s == nil {
			t.Fatalf("%s: %v is not among the sources", path, at(t, c, "source"))
		}
		name := nameOf(s)
		if at(t, s, "dof") != nil {
			dof[name] = value(t, s, "dof")
		}
		x := value(t, c, "contribution")
		if at(t, c, "sharing") == "common" {
			group := at(t, s, "group").(string)
			common[group] += x
			estimateOf[group] = name
			continue
		}
		squares[name] += x * x
	}
	for group, x := range common {
		squares[estimateOf[group]] += x * x
	}
	variance, below := 0.0, 0.0
	for name, x := range squares {
		variance += x
		if dof[name] > 0 {
			below += x * x / dof[name]
		}
	}
	u := math.Sqrt(variance)
	near(t, path+" u", value(t, figure, "u"), u, 1e-10)
	k := distuv.UnitNormal.Quantile(0.975)
	if below > 0 {
		nu := variance * variance / below
		near(t, path+" dof", value(t, figure, "dof"), nu, 1e-9)
		k = distuv.StudentsT{Sigma: 1, Nu: nu}.Quantile(0.975)
	} else if at(t, figure, "dof") != nil {
		t.Errorf("%s: dof is %v, want null", path, at(t, figure, "dof"))
	}
	near(t, path+" k", value(t, figure, "k"), k, 1e-9)
	near(t, path+" expanded", value(t, figure, "expanded"), k*u, 1e-9)
}

// What isn't a finite number has no place in JSON (RFC 8259, 6).
func TestSheetFileHasNoInfinity(t *testing.T) {
	s := loaded(t, tiny(t, nil)).Sheets[0]
	s.Runs[0].Channels[0].Power = &sheet.Figure{X: math.Inf(-1), Std: math.NaN(), U: math.NaN(), K: math.NaN(), DoF: math.Inf(1), Unit: "W"}
	s.Claims[0].BarLow = math.Inf(-1)
	data, err := datafile.JSON(s)
	if err != nil {
		t.Fatal(err)
	}
	v := generic(t, data)
	power := at(t, v, "runs", 0, "channels", 0, "power")
	for _, key := range []string{"value", "u", "k", "dof", "expanded"} {
		if got := at(t, power, key); got != nil {
			t.Errorf("%s is %v, want null", key, got)
		}
	}
	if got := at(t, v, "claims", 0, "bar_w", "low"); got != nil {
		t.Errorf("the bar's low end is %v, want null", got)
	}
}

func TestSheetFileDoesNotPublishFindings(t *testing.T) {
	s := loaded(t, tiny(t, nil)).Sheets[0]
	s.Findings = append(s.Findings, sheet.Finding{ID: "xyzzy-finding", Text: "xyzzy-text", Cause: "xyzzy-cause"})
	if data, err := datafile.JSON(s); err != nil || bytes.Contains(data, []byte("xyzzy")) {
		t.Errorf("the file has a finding in it (%v)", err)
	}
}

func TestSheetFileIsPlainText(t *testing.T) {
	data := tinyJSON(t, nil)
	if !bytes.HasPrefix(data, []byte("{\n  \"format\": \"wattsheet-sheet\", \"version\": 1, ")) || !bytes.HasSuffix(data, []byte("\n}\n")) {
		t.Errorf("the file begins with %.60q and ends with %q", data, data[len(data)-5:])
	}
}

// hostile is a record in which every text tries something.
func hostile(t *testing.T) map[string]string {
	text := strings.NewReplacer(
		`maker = "Ottersprocket"`, `maker = "</script><script>alert(1)</script>"`,
		`model = "20"`, `model = '"><img src=x onerror=alert(1)> & co'`,
		`from = "nobody"`, `from = '=HYPERLINK("http://x.example","free")'`,
		`supply_a = 10.0`, "supply_a = 10.0\nremarks = '=1+1, a comma, and a \" quote'\ninvalid = \"\"\"@SUM(A1:A9)\nsecond line\"\"\"",
	).Replace(tinyFile(t, tinyRecord))
	return map[string]string{tinyRecord: text}
}

func TestHostileTextsInSheetFile(t *testing.T) {
	data := tinyJSON(t, hostile(t))
	if bytes.ContainsAny(data, "<>&") {
		t.Error("the file has a character that ends a script or starts an element")
	}
	v := generic(t, data)
	if got := at(t, v, "unit", "maker"); got != "</script><script>alert(1)</script>" {
		t.Errorf("the maker reads back as %q", got)
	}
	if got := at(t, v, "source", "from"); got != `=HYPERLINK("http://x.example","free")` {
		t.Errorf("the source reads back as %q", got)
	}
}
