package verify

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"wattsheet/generator/datafile"
	"wattsheet/generator/disk"
	"wattsheet/generator/site"
)

// demoSheets are the sheet.json files of this repository's content, by slug.
func demoSheets(t testing.TB) map[string][]byte {
	t.Helper()
	s, problems, err := site.Load("../..", today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	files := map[string][]byte{}
	for _, unit := range s.Sheets {
		if files[unit.Slug], err = datafile.JSON(unit); err != nil {
			t.Fatal(err)
		}
	}
	return files
}

// differences are the paths that don't agree.
func differences(t *testing.T, data []byte) []string {
	t.Helper()
	v, err := Sheet("sheet.json", data)
	if err != nil {
		t.Fatal(err)
	}
	if v.Problems.Errors() {
		t.Fatal(v.Problems)
	}
	var paths []string
	for _, c := range v.Compared {
		if !c.Agrees {
			paths = append(paths, c.Path+": "+c.Published+", "+c.Recomputed)
		}
	}
	return paths
}

func TestVerifyAgreesWithEverySheetOfTheDemo(t *testing.T) {
	for slug, data := range demoSheets(t) {
		if d := differences(t, data); len(d) > 0 {
			t.Errorf("%s: %d differences: %s", slug, len(d), strings.Join(d[:min(len(d), 3)], "; "))
		}
	}
}

// Hostile texts come back as they are, quoted for TOML.
func TestVerifyTakesHostileTexts(t *testing.T) {
	const name = "content/units/ottersprocket-20/record.toml"
	text := strings.NewReplacer(
		`maker = "Ottersprocket"`, `maker = "</script><script>alert(1)</script>"`,
		`model = "20"`, `model = '"><img src=x onerror=alert(1)> & co'`,
		`from = "nobody"`, `from = '=HYPERLINK("http://x.example","free")'`,
		`supply_a = 10.0`, "supply_a = 10.0\nremarks = '=1+1, a comma, and a \" quote'\ninvalid = \"\"\"@SUM(A1:A9)\nsecond line\"\"\"",
	).Replace(tinyFile(t, name))
	if d := differences(t, tinyJSON(t, map[string]string{name: text})); len(d) > 0 {
		t.Error(d)
	}
}

// A changed digit of any derived number is named by its path, and nothing else is.
func TestVerifyNamesEveryChangedDigit(t *testing.T) {
	t.Parallel() // it only computes
	var data []byte
	for _, file := range demoSheets(t) {
		if data == nil || len(file) < len(data) {
			data = file
		}
	}
	v, err := Sheet("sheet.json", data)
	if err != nil {
		t.Fatal(err)
	}
	places, recomputed := numberPlaces(t, data), again(v)
	tried := 0
	for i, c := range v.Compared {
		place, isNumber := places[c.Path]
		if !c.Derived || !isNumber {
			continue
		}
		// every figure of claims; of the many others a sample
		if tried++; !strings.HasPrefix(c.Path, "claims") && i%11 != 0 {
			continue
		}
		changed := bytes.Clone(data)
		digit := &changed[place]
		*digit = '0' + (*digit-'0'+5)%10
		tampered, err := leaves(changed)
		if err != nil {
			t.Fatal(err)
		}
		var named []string
		for _, c := range compared(tampered, recomputed) {
			if !c.Agrees {
				named = append(named, c.Path)
			}
		}
		if len(named) != 1 || named[0] != c.Path {
			t.Errorf("%s was changed, named were %v", c.Path, named)
		}
	}
	if tried < 500 {
		t.Errorf("only %d derived numbers", tried)
	}
}

// again are the leaves that were recomputed from the unchanged file: derived
// figures are no input, so from a changed one they would be the same.
func again(v *Verified) []leaf {
	var out []leaf
	for _, c := range v.Compared {
		var value any
		d := json.NewDecoder(strings.NewReader(c.Recomputed))
		d.UseNumber()
		if d.Decode(&value) != nil {
			continue
		}
		switch value.(type) {
		case []any, map[string]any:
			value = emptiness(c.Recomputed)
		}
		out = append(out, leaf{c.Path, value})
	}
	return out
}

// The same from the file on, for a few of every kind: what was derived is no input
// of the recomputation.
func TestVerifyRecomputesWithoutDerivedFigures(t *testing.T) {
	data := demoSheets(t)["wickerpylon-sumpferret-1"]
	for _, path := range []string{
		"claims[2].channels[0].mean.value", "claims[0].corners[1].y_w", "claims[0].p.high", "claims[0].bar_w.low", "claims[1].limit_w",
		"claims[1].level.expanded", "runs[0].channels[0].power.value", "runs[0].channels[0].power.dof",
		"runs[0].efficiency.components[0].contribution", "runs[3].heat.u", "load_lines[0].chi2", "load_lines[0].points[1].residual_w",
		"load_lines[0].e.value", "repeats[0].s_pct", "ratios[0].figure.value", "sources[4].u",
	} {
		place, there := numberPlaces(t, data)[path]
		if !there {
			t.Errorf("there is no number %s", path)
			continue
		}
		changed := bytes.Clone(data)
		changed[place] = '0' + (changed[place]-'0'+5)%10
		if d := differences(t, changed); len(d) != 1 || !strings.HasPrefix(d[0], path+": ") {
			t.Errorf("%s was changed, named were %v", path, d)
		}
	}
}

// numberPlaces is where the last digit of each number's mantissa stands.
func numberPlaces(t *testing.T, data []byte) map[string]int {
	t.Helper()
	found, err := leaves(data)
	if err != nil {
		t.Fatal(err)
	}
	places := map[string]int{}
	at := 0
	for _, l := range found {
		n, isNumber := l.value.(json.Number)
		key := l.path[strings.LastIndexByte(l.path, '.')+1:]
		if strings.HasSuffix(key, "]") { // an item of a list: its number is on a line of its own
			continue
		}
		if from := bytes.Index(data[at:], []byte(`"`+key+`": `)); from >= 0 {
			at += from + len(key) + 4
		}
		if isNumber && bytes.HasPrefix(data[at:], []byte(n)) {
			mantissa, _, _ := strings.Cut(n.String(), "e")
			places[l.path] = at + len(mantissa) - 1
		}
	}
	return places
}

func TestVerifySeesAChangedReading(t *testing.T) {
	data := bytes.Replace(tinyJSON(t, nil), []byte(`"text": "20.00"`), []byte(`"text": "21.00"`), 1)
	d := strings.Join(differences(t, data), "\n")
	for _, want := range []string{"runs[0].channels[0].power.value: 100", "runs[0].readings[0].value: 20, 21", "claims[0].channels[0].mean.value: "} {
		if !strings.Contains(d, want) {
			t.Errorf("%q is not among the differences:\n%s", want, d)
		}
	}
}

// What is no sheet is refused in a sentence.
func TestVerifyRefuses(t *testing.T) {
	good := string(tinyJSON(t, nil))
	for name, test := range map[string]struct{ data, want string }{
		"empty":          {"", "is not valid JSON"},
		"cut":            {good[:len(good)/2], "is not valid JSON"},
		"another format": {`{"format": "x", "version": 1}`, "is not a published sheet"},
		"a list":         {`[]`, "is not a published sheet"},
		"a later one":    {strings.Replace(good, `"version": 1`, `"version": 2`, 1), "another version"},
		"no version":     {`{"format": "wattsheet-sheet"}`, "another version"},
		"a text":         {strings.Replace(good, `"power_w": 90`, `"power_w": "90"`, 1), "claims.stated.power_w is a string"},
		"twice":          {strings.Replace(good, `"version": 1,`, `"version": 1, "version": 1,`, 1), `the key "version" twice in the file`},
		"huge":           {good + strings.Repeat(" ", disk.Large), "larger than 64 MB"},
		"not text":       {good + "\xff", "not UTF-8"},
		"deep":           {strings.Replace(good, `"version": 1,`, `"version": 1, "x": `+strings.Repeat("[", 60)+strings.Repeat("]", 60)+",", 1), "nested too deeply"},
	} {
		_, err := Sheet("sheet.json", []byte(test.data))
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: %v, want %q", name, err, test.want)
		}
	}
}

// Readings that the decoder refuses are problems of the file, in its words.
func TestVerifyFindsImpossibleReadings(t *testing.T) {
	for _, text := range []string{`20,0`, `1e999`, `nan`, `20\n[[run]]`, `inf`, `--1`, ``, `0x10`, `1_`} {
		data := bytes.Replace(tinyJSON(t, nil), []byte(`"text": "20.00"`), fmt.Appendf(nil, `"text": "%s"`, text), 1)
		v, err := Sheet("sheet.json", data)
		if err != nil {
			t.Errorf("%q: %v", text, err)
		} else if len(v.Problems) == 0 || len(v.Compared) > 0 {
			t.Errorf("%q passed for a number", text)
		}
	}
}

func TestVerifyFolderChecksDigests(t *testing.T) {
	s := tiny(t, nil)
	outputs, _, err := s.Outputs()
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "public")
	if _, err := s.Publish(dir, outputs); err != nil {
		t.Fatal(err)
	}
	f, err := Path(dir)
	if err != nil || !f.Agrees() || f.Listed != len(outputs) || len(f.Sheets) != 1 {
		t.Fatalf("%v, %+v", err, f)
	}
	if err := os.WriteFile(filepath.Join(dir, "index.html"), []byte("other"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, outputs[0].Path)); err != nil {
		t.Fatal(err)
	}
	f, err = Path(dir)
	if err != nil || f.Agrees() || fmt.Sprint(f.Changed, f.Missing) != "[index.html] ["+outputs[0].Path+"]" {
		t.Errorf("%v, changed %v, missing %v", err, f.Changed, f.Missing)
	}
}

// Any one given number or text may be replaced by an odd one: there is an answer,
// in a moment, and no fall.
func TestVerifySurvivesOddValues(t *testing.T) {
	t.Parallel() // it only computes
	data := demoSheets(t)["oxbramble-dredgelark-3"]
	odd := []string{"0", "-1", "1e308", "1e-308", "null", `""`, `"x"`, `"\u0000\u202e"`, "[]", "{}", "true", "1000000000000"}
	kinds := map[string]bool{}
	n, fell := 0, 0
	for path, place := range numberPlaces(t, data) {
		kind := indexes.ReplaceAllString(path, "[]")
		if derived(path) || kinds[kind] {
			continue
		}
		kinds[kind] = true
		from := bytes.LastIndexByte(data[:place], ' ') + 1
		for _, value := range odd {
			changed := append(append(bytes.Clone(data[:from]), value...), data[place+1:]...)
			v, err := Sheet("sheet.json", changed)
			if n++; err == nil && len(v.Compared) == 0 && !v.Problems.Errors() {
				t.Errorf("%s = %s: neither an answer nor a reason", path, value)
			} else if err != nil && strings.Contains(err.Error(), "nothing finite") {
				fell++
				t.Logf("%s = %s: %v", path, value, err)
			}
		}
	}
	if n < 500 || fell > n/50 {
		t.Errorf("%d values were tried, of which %d gave nothing finite", n, fell)
	}
}

var indexes = regexp.MustCompile(`\[\d+\]`)

// Whatever a file holds, there is an answer.
func FuzzVerify(f *testing.F) {
	tiny, err := os.ReadFile("../site/testdata/sheet.golden.json")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(tiny, 100, byte('9'))
	f.Add(tiny, 2000, byte('"'))
	f.Fuzz(func(t *testing.T, data []byte, at int, with byte) {
		if at >= 0 && at < len(data) {
			data = bytes.Clone(data)
			data[at] = with
		}
		v, err := Sheet("sheet.json", data)
		if err == nil && len(v.Compared) == 0 && !v.Problems.Errors() {
			t.Error("neither an answer nor a reason")
		}
	})
}

// A rule by its name is published with what it stands for and verified from the
// name; probabilities that are no usual rule's are published as they are. A file
// whose probabilities don't go with its name is found out.
func TestVerifyTakesEveryRule(t *testing.T) {
	for _, r := range []struct{ rule, acceptance, metFrom string }{
		{"", "guarded", "0.95"},
		{`acceptance = "simple"`, "simple", "0.5"},
		{`acceptance = "guarded"`, "guarded", "0.95"},
		{`acceptance = "guarded-by-U"`, "guarded-by-U", "0.975"},
		{"met_from = 0.975\nshort_to = 0.025", "guarded-by-U", "0.975"},
		{"met_from = 0.9\nshort_to = 0.1", "", "0.9"},
	} {
		data := tinyJSON(t, map[string]string{"content/site.toml": tinyFile(t, "content/site.toml") + "\n[rule]\n" + r.rule + "\n"})
		if d := differences(t, data); len(d) > 0 {
			t.Errorf("%q: %v", r.rule, d)
		}
		var file struct {
			Rule struct {
				Acceptance, Name, Means string
				MetFrom                 json.Number `json:"met_from"`
			}
		}
		if err := json.Unmarshal(data, &file); err != nil {
			t.Fatal(err)
		}
		if rule := file.Rule; rule.Acceptance != r.acceptance || rule.MetFrom.String() != r.metFrom || rule.Name == "" || rule.Means == "" {
			t.Errorf("%q is published as %v", r.rule, rule)
		}
	}
	data := bytes.Replace(tinyJSON(t, nil), []byte(`"met_from": 0.95`), []byte(`"met_from": 0.90`), 1)
	if d := strings.Join(differences(t, data), "\n"); !strings.Contains(d, "rule.met_from: 0.90, 0.95") {
		t.Errorf("a changed bound beside the name is not named: %s", d)
	}
}
