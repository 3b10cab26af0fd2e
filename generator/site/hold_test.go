package site

import (
	"bytes"
	"image"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

const hostileNotice = `<script>x</script> & "q" 'a'`

// heldTiny is the tiny site with things held in a group, and the same without
// them; the files are of the units that are held besides.
func heldTiny(t *testing.T, group string, files map[string]string) string {
	t.Helper()
	record := tinyFile(t, tinyRecord) + `
[[run]]
id = "r2"
method = "thd1"
load = "four"
out_v = 20.10
thdn_pct = 1.00
supply_v = 14.40
hold = "g"
[[claim]]
id = "late"
power_w = 99
load_ohm = 4
channels = 1
supply_v = 14.4
thdn_pct = 10
hold = "g"
[[function]]
name = "a lamp"
result = "works"
hold = "g"
[[function]]
name = "a knob"
result = "works"
hold = "g"
[[hold]]
id = "g"
` + group
	all := map[string]string{tinyRecord: record}
	maps.Copy(all, files)
	return tiny(t, all)
}

var heldNote = regexp.MustCompile(`<p class="held"[^\n]*\n`)

// A notice stands once for each kind of thing that is held, escaped, and is all
// that a held page has more than one that never had the things.
func TestNoticesAreAllThatAHeldPageHasMore(t *testing.T) {
	plain := made(t, loaded(t, tiny(t, nil)), stillOnly())
	held := made(t, loaded(t, heldTiny(t, "notice = '''"+hostileNotice+"'''\n", nil)), stillOnly())
	page := held["units/ottersprocket-20/index.html"]
	for _, on := range []string{"the claims", "the runs", "what was tried out"} {
		want := "<strong>Notice on " + on + ":</strong> <span>&lt;script&gt;x&lt;/script&gt; &amp; &#34;q&#34; &#39;a&#39;</span>"
		if n := strings.Count(page, want); n != 1 {
			t.Errorf("the notice on %s is there %d times", on, n)
		}
	}
	if n := len(heldNote.FindAllString(page, -1)); n != 3 {
		t.Errorf("%d notices", n)
	}
	held["units/ottersprocket-20/index.html"] = heldNote.ReplaceAllString(page, "")
	differ(t, "without its notices", held, plain)
}

func TestNoNotice(t *testing.T) {
	for name, root := range map[string]string{
		"a group without one":  heldTiny(t, "", nil),
		"a group that is open": heldTiny(t, "until = 2026-11-26T12:00:00Z\nnotice = \"later\"\n", nil),
	} {
		for path, text := range made(t, loaded(t, root), stillOnly()) {
			if strings.Contains(text, `class="held"`) || strings.Contains(text, "later</span>") {
				t.Errorf("%s: %s has a notice", name, path)
			}
		}
	}
	// nor for a held unit, whatever it says
	unit := strings.Replace(heldRecord(t), "class = \"D\"\n", "class = \"D\"\nhold = \"g\"\n", 1) + "[[hold]]\nid = \"g\"\nnotice = \"later than that\"\n"
	files := map[string]string{"content/units/adder-1/record.toml": unit, "content/units/adder-1/notes.md": "It is [there](/units/adder-1/#run-r1).\n"}
	differ(t, "a held unit", made(t, loaded(t, tiny(t, files)), stillOnly()), made(t, loaded(t, tiny(t, nil)), stillOnly()))
}

func heldRecord(t *testing.T) string { return tinyFile(t, tinyRecord) + "\n" }

// What the tester sees, and only the tester.
func TestTheWholeIsBehindTheSite(t *testing.T) {
	s := loaded(t, heldTiny(t, "", map[string]string{"content/units/adder-1/record.toml": strings.Replace(heldRecord(t), "class = \"D\"\n", "hold = true\n", 1)}))
	whole := s.Whole()
	if len(s.Sheets) != 1 || len(whole) != 2 || len(s.Sheets[0].Runs) != 1 || len(whole[1].Runs) != 2 || len(whole[1].Claims) != len(s.Sheets[0].Claims)+1 {
		t.Errorf("%d sheets, of %d", len(s.Sheets), len(whole))
	}
	if n, of := s.StillHeld(""), s.StillHeld("adder-1"); n != 5 || of != 1 || len(s.Held()) != 5 {
		t.Errorf("%d held, %d of adder-1", n, of)
	}
}

// Links to what can't be seen yet, in each way that markdown has, and others.
func TestLinksToWhatIsHeldAreFound(t *testing.T) {
	files := map[string]string{
		"content/site.toml":                 tinyFile(t, "content/site.toml") + "\n",
		"content/units/adder-1/record.toml": strings.Replace(heldRecord(t), "class = \"D\"\n", "hold = true\n", 1),
	}
	s := loaded(t, heldTiny(t, "", files))
	s.Content.Site.Address = "https://example.org/bench/"
	notes := "units/ottersprocket-20/"
	for _, row := range []struct{ folder, to, kind string }{
		{notes, "#run-r2", "run"}, {notes, "#run-r1", ""}, {notes, "#claim-late", "claim"}, {notes, "#claim-bold", ""},
		{notes, "index.html#run-r2", "run"}, {notes, "badge/late.svg", "claim"}, {notes, "badge/bold.svg", ""},
		{notes, "../adder-1/", "unit"}, {notes, "/units/adder-1/sheet.json", "unit"}, {notes, "/units/adder-1", "unit"}, {notes, "/units/./x/../adder-1/#run-r1", "unit"},
		{notes, "https://example.org/bench/units/adder-1/", "unit"}, {notes, "HTTPS://EXAMPLE.ORG/bench/units/adder-1/", "unit"},
		{notes, "https://example.org/units/adder-1/", ""}, {notes, "https://example.com/bench/units/adder-1/", ""}, {notes, "mailto:units/adder-1/", ""},
		{notes, "/units/adder%2D1/", "unit"}, {notes, "../adder-10/", ""}, {notes, "adder-1/", ""},
		{"about/", "../units/adder-1/", "unit"}, {"about/", "/units/ottersprocket-20/#run-r2", "run"}, {"about/", "#run-r2", ""}, {"about/", "%zz", ""},
	} {
		h := s.now().linked(row.folder, row.to)
		got := ""
		if h != nil {
			got = h.Kind
		}
		if got != row.kind {
			t.Errorf("%s on %s: %q, want %q", row.to, row.folder, got, row.kind)
		}
	}
	for _, text := range []string{"[a](/units/adder-1/)", "[a][r]\n\n[r]: ../adder-1/", "[a](../adder&#45;1/)", "[a](../adder\\-1/)"} {
		root := heldTiny(t, "", map[string]string{"content/units/adder-1/record.toml": files["content/units/adder-1/record.toml"],
			"content/units/ottersprocket-20/notes.md": text + "\n"})
		outputs, problems, err := loaded(t, root).outputs(stillOnly())
		if err != nil || outputs != nil || !strings.Contains(problems.Error(), `this is a link to the unit "adder-1", which is held until its hold is taken out`) {
			t.Errorf("%s: %d outputs, %v, %v", text, len(outputs), problems, err)
		}
	}
}

// Two held units may link to each other when they open together, and not when one
// opens first.
func TestHeldUnitsMayNameEachOther(t *testing.T) {
	for _, row := range []struct {
		one, other string
		right      bool
	}{
		{"until 2027-01-01T00:00:00Z", "until 2027-01-01T01:00:00+01:00", true},
		{"until 2027-01-01T00:00:00Z", "until 2027-01-01T00:00:01Z", false},
		{"until 2027-01-01T00:00:01Z", "until 2027-01-01T00:00:00Z", true},
	} {
		unit := func(hold string) string {
			return strings.Replace(heldRecord(t), "class = \"D\"\n", "hold = \""+hold+"\"\n", 1)
		}
		s := loaded(t, tiny(t, map[string]string{
			"content/units/adder-1/record.toml": unit(row.one), "content/units/adder-1/notes.md": "Beside [it](../boa-1/).\n",
			"content/units/boa-1/record.toml": unit(row.other),
		}))
		if _, problems, _ := s.outputs(stillOnly()); problems.Errors() == row.right {
			t.Errorf("%s names %s: %v", row.one, row.other, problems)
		}
	}
}

// A held picture is scaled once, and nothing of it is published.
func TestHeldPicturesStayInTheCache(t *testing.T) {
	var small bytes.Buffer
	if err := png.Encode(&small, image.NewGray(image.Rect(0, 0, 8, 6))); err != nil {
		t.Fatal(err)
	}
	root := tiny(t, map[string]string{
		tinyRecord: tinyFile(t, tinyRecord) + "\n[[picture]]\nfile = \"secret.png\"\nshows = \"a secret thing\"\nhold = true\n",
		"content/units/ottersprocket-20/secret.png": small.String(),
	})
	for path, text := range made(t, loaded(t, root), stillOnly()) {
		if strings.Contains(path+text, "secret") {
			t.Errorf("%s has the picture", path)
		}
	}
	entries, err := os.ReadDir(filepath.Join(root, cacheFolder))
	if err != nil || len(entries) != 1 {
		t.Errorf("the cache has %d entries, error %v", len(entries), err)
	}
}
