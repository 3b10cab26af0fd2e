package site

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
	"wattsheet/testdata/lifetime"
)

// besideRun compares all pairs of units that its arguments name, at all points that
// both have, and evaluates the functions below it on the numbers given.
const besideRun = `
const fs = require('fs'), vm = require('vm');
globalThis.window = globalThis;
for (const file of process.argv.slice(3)) vm.runInThisContext(fs.readFileSync(file, 'utf8'), file);
const ask = JSON.parse(fs.readFileSync(process.argv[2], 'utf8')), { apart } = wattsheet;
const title = (p) => apart.fill(ask.Words.phrases.at, { load: p.load, method: ask.Words.methods.find((m) => m.id === p.method).title });
const pairs = [], units = Object.values(wattsheet.beside);
for (const a of units) for (const b of units) for (const p of a.points) {
  const q = b.points.find((q) => q.key === p.key);
  if (!q) continue;
  const d = apart.compare({ slug: a.slug, name: a.name, point: p }, { slug: b.slug, name: b.name, point: q }, title(p), ask.Words);
  pairs.push({ A: a.slug, B: b.slug, Key: p.key, Side: d.side, Reason: d.reason, Why: d.why, PText: d.pText || '', P: d.p || [0, 0], Chance: d.chance || '', Carried: d.carried || '', Corners: d.corners.length });
}
console.log(JSON.stringify({
  Pairs: pairs, Student: (ask.Student || []).map(([t, dof]) => apart.student(t, dof || Infinity)),
  Chances: (ask.Student || []).map(([t, dof]) => apart.chance(apart.student(t, dof || Infinity), ask.Words.rule)), Fixed: (ask.Fixed || []).map(([x, n]) => apart.fixed(x, n)),
  Isolated: (ask.Names || []).map(apart.isolated),
}));
`

// A besidePair is a comparison as the script made it.
type besidePair struct {
	A, B, Key, Reason, Why, PText, Chance, Carried string
	Side, Corners                                  int
	P                                              [2]float64
}

// A besideSaid is what the script said.
type besideSaid struct {
	Pairs          []besidePair
	Student        []float64
	Chances, Fixed []string
	Isolated       []string
}

// askScript runs the page's arithmetic in node on the scripts of some sheets. Without
// node the test is skipped, but not where changes are checked.
func askScript(t *testing.T, sheets []*sheet.Sheet, ask any) besideSaid {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil && os.Getenv("CI") != "true" {
		t.Skip("node is not installed")
	} else if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file := func(name string, data []byte) string {
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	data, err := json.Marshal(ask)
	if err != nil {
		t.Fatal(err)
	}
	script, err := os.ReadFile(filepath.Join("..", "..", "themes", "default", "script", "apart.js"))
	if err != nil {
		t.Fatal(err)
	}
	args := []string{file("run.js", []byte(besideRun)), file("ask.json", data), file("apart.js", script)}
	for _, s := range sheets {
		o, err := besideOutput(s)
		if err != nil {
			t.Fatal(err)
		}
		args = append(args, file(s.Slug+".js", o.Bytes))
	}
	var said besideSaid
	run := exec.Command(node, args...)
	run.Stderr = os.Stderr
	out, err := run.Output()
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(out, &said); err != nil {
		t.Fatal(err, string(out))
	}
	return said
}

// besideNumbers are what the script is asked: t and degrees of freedom (0: infinite),
// and numbers to write with so many decimals.
type besideNumbers struct {
	Words   besideWords
	Student [][2]float64
	Fixed   [][2]float64
	Names   []string
}

// The script compares as the generator does: the same decision in the same words, p
// within 1e-9, for all pairs of the demo both ways round. Student's t is the
// library's, within 1e-12.
func TestScriptComparesAsTheGenerator(t *testing.T) {
	s, problems, err := Load("../..", today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	ask := besideNumbers{Words: besideWordsOf(s.Content.Methods)}
	s.Sheets[0].Name = "לוטרה 20" // in its sentences it has to be isolated
	for r := rune(0x500); r < 0x1f000; r += 7 {
		ask.Names = append(ask.Names, "Otter "+string(r)+" 20")
	}
	for _, dof := range []float64{1, 1.5, 2.7, 4, 8.25, 19, 38.9, 41, 123.4, 1000, 99999, 1e5, 1e9, 0} {
		for _, x := range []float64{-60, -9, -6.5, -3.1, -1.645, -0.3, -1e-9, 0, 1e-7, 0.02, 0.99, 1.7, 2.5, 5, 8, 40} {
			ask.Student = append(ask.Student, [2]float64{x, dof})
		}
	}
	for _, x := range []float64{0, 1, 14.405, 14.395, 0.005, 0.0049999999, 162.9025, 1234567.895, 99.995, 0.95, -0.004, -2.5, 1e-13, 1e14} {
		for _, n := range []float64{0, 1, 2, 3} {
			ask.Fixed = append(ask.Fixed, [2]float64{x, n})
		}
	}
	said := askScript(t, s.Sheets, ask)
	for i, x := range ask.Student {
		dof := x[1]
		if dof == 0 {
			dof = math.Inf(1)
		}
		p := quantity.Probability(x[0], dof)
		tolerance := 1e-12
		if dof > 1e4 { // where the library's own noise begins
			tolerance = 1e-9
		}
		if got := said.Student[i]; math.Abs(got-p) > tolerance {
			t.Errorf("P(T <= %v) with %v degrees of freedom: %v, want %v", x[0], dof, got, p)
		}
		rule := ask.Words.Rule
		if got, want := said.Chances[i], quantity.Chance(p, rule.MetFrom, rule.ShortTo); got != want {
			t.Errorf("%v is written %q, want %q", p, got, want)
		}
	}
	for i, x := range ask.Fixed {
		if got, want := said.Fixed[i], quantity.Fixed(x[0], int(x[1])); got != want {
			t.Errorf("%v with %v decimals: %q, want %q", x[0], x[1], got, want)
		}
	}
	for i, name := range ask.Names {
		if got, want := said.Isolated[i], sheet.Isolated(name); got != want {
			t.Errorf("%q is isolated as %q, want %q", name, got, want)
		}
	}
	if !slices.ContainsFunc(said.Pairs, func(p besidePair) bool { return strings.Contains(p.Why, "\u2068לוטרה 20\u2069") }) {
		t.Error("no comparison isolates a name from right to left")
	}
	comparesAs(t, s.Sheets, said)
}

// The same of a site as it may be after years.
func TestScriptComparesALargeSite(t *testing.T) {
	if testing.Short() {
		t.Skip("many units")
	}
	root := t.TempDir()
	if err := lifetime.Write(root, 16); err != nil {
		t.Fatal(err)
	}
	s, problems, err := Load(root, today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	comparesAs(t, s.Sheets, askScript(t, s.Sheets, besideNumbers{Words: besideWordsOf(s.Content.Methods)}))
}

// comparesAs checks each pair that the script compared.
func comparesAs(t *testing.T, sheets []*sheet.Sheet, said besideSaid) {
	t.Helper()
	bySlug := map[string]*sheet.Sheet{}
	for _, s := range sheets {
		bySlug[s.Slug] = s
	}
	apart, near := 0, 0
	for _, got := range said.Pairs {
		a, b := bySlug[got.A], bySlug[got.B]
		var want *sheet.Pair
		for _, at := range sheet.Points([]*sheet.Sheet{a, b}) {
			if pointKey(at) == got.Key {
				want = sheet.Apart(a, b, at)
			}
		}
		if want == nil {
			continue // the smaller of two nominal loads within 1 % names the point
		}
		name := got.A + ", " + got.B + " at " + got.Key
		if got.Side != int(want.Side) || got.Reason != want.Reason || got.Why != want.Why || got.PText != want.PText || got.Corners != len(want.Corners) {
			t.Errorf("%s: %d, %q, %s, %s, %d corners\nwant %d, %q, %s, %s, %d", name, got.Side, got.Reason, got.Why, got.PText, got.Corners, want.Side, want.Reason, want.Why, want.PText, len(want.Corners))
		}
		if math.Abs(got.P[0]-want.PMin) > 1e-9 || math.Abs(got.P[1]-want.PMax) > 1e-9 {
			t.Errorf("%s: p %v, want %v to %v", name, got.P, want.PMin, want.PMax)
		}
		if got.Corners > 0 {
			lines := strings.Join(strings.Fields(strings.Join(want.Passage().Lines(), " ")), " ")
			for _, line := range []string{got.Chance, got.Carried} {
				if !strings.Contains(lines, strings.Join(strings.Fields(line), " ")) {
					t.Errorf("%s: %q is not in %q", name, line, lines)
				}
			}
			near++
		}
		if got.Side != 0 {
			apart++
		}
	}
	if near < 20 || apart == 0 {
		t.Errorf("%d of %d pairs are told apart: the test sees little", apart, near)
	}
	t.Logf("%d of %d pairs are told apart", apart, near)
}
