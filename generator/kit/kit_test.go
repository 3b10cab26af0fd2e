package kit

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"html"
	"image/png"
	"slices"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"wattsheet/charts"
	"wattsheet/generator/picture"
	"wattsheet/generator/sheet"
)

// A kit has the same bytes each time; every picture is there at both sizes and for any other,
// and what it remembers is what it is.
func TestKitIsTheSameEachTime(t *testing.T) {
	if testing.Short() {
		t.Skip("all pictures twice")
	}
	b := newBench(t)
	one, problems := Make(b.subject(unit, usually()...))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	two, _ := Make(newBench(t).subject(unit, usually()...))
	if len(one.Files) != 31 || len(two.Files) != len(one.Files) {
		t.Fatalf("%d and %d files", len(one.Files), len(two.Files))
	}
	forms := map[string]int{}
	for _, f := range one.Files {
		for _, form := range []string{"-1080.png", "-2160.png", ".svg"} {
			if strings.HasSuffix(f.Name, form) {
				forms[form]++
			}
		}
	}
	if n := forms[".svg"]; n == 0 || forms["-1080.png"] != n || forms["-2160.png"] != n {
		t.Errorf("pictures in each form: %v", forms)
	}
	memory, err := ReadMemory(one.Memory(false))
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range one.Files {
		if !bytes.Equal(f.Bytes, two.Files[i].Bytes) {
			t.Errorf("%s has other bytes", f.Name)
		}
		if sum := sha256.Sum256(f.Bytes); memory.Files[i].Name != f.Name || memory.Files[i].Digest != hex.EncodeToString(sum[:]) {
			t.Errorf("%s isn't remembered: %v", f.Name, memory.Files[i])
		}
		size, is := map[bool][2]int{true: {1920, 1080}, false: {3840, 2160}}[strings.HasSuffix(f.Name, "-1080.png")], strings.HasSuffix(f.Name, ".png")
		if !is {
			continue
		}
		if c, err := png.DecodeConfig(bytes.NewReader(f.Bytes)); err != nil || c.Width != size[0] || c.Height != size[1] {
			t.Errorf("%s is %d by %d, %v", f.Name, c.Width, c.Height, err)
		}
	}
	if again := memory.Stale(b.subject(unit, usually()...)); len(again) > 0 {
		t.Errorf("nothing changed, and it is stale: %v", again)
	}
}

// The code of an end card, read by a decoder that shares nothing with who writes it, is the
// address of the unit's page; at both sizes.
func TestCodeIsRead(t *testing.T) {
	of := newBench(t).subject(unit)
	m := &maker{Subject: of, kit: &Kit{}}
	for i, scale := range scales {
		if i > 0 && testing.Short() {
			break
		}
		data, err := m.endCard()[0].draw(scale.times)
		if err != nil {
			t.Fatal(err)
		}
		p, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		bitmap, err := gozxing.NewBinaryBitmapFromImage(p)
		if err != nil {
			t.Fatal(err)
		}
		read, err := qrcode.NewQRCodeReader().Decode(bitmap, nil)
		if err != nil {
			t.Fatalf("%s: %v", scale.suffix, err)
		}
		if want := of.Site.Address + "units/" + unit + "/"; read.GetText() != want {
			t.Errorf("%s: the code says %q, want %q", scale.suffix, read.GetText(), want)
		}
	}
}

// The chart of every unit has only what its drawing knows.
func TestEveryChartIsDrawn(t *testing.T) {
	if testing.Short() {
		t.Skip("a picture of each unit")
	}
	b := newBench(t)
	for slug := range everyUnit(b) {
		c := charts.PowerByLoad(b.subject(slug).Sheet)
		if _, err := (picture.ChartPlate{Title: c.Title, Drawing: c.Wide}).Draw(1); err != nil {
			t.Errorf("%s: %v", slug, err)
		}
	}
}

// said is what a file says; of a drawing, its titles.
func said(f File) string {
	text := strings.ReplaceAll(string(f.Bytes), nbsp, " ")
	if !strings.HasSuffix(f.Name, ".svg") {
		return text
	}
	var all strings.Builder
	for _, part := range strings.Split(text, "<title>")[1:] {
		title, _, _ := strings.Cut(part, "</title>")
		all.WriteString(html.UnescapeString(title) + "\n")
	}
	return all.String()
}

// What is held is in no file. With it, each file's name says so.
func TestHeldResults(t *testing.T) {
	b := newBench(t)
	edits := append(usually(), "outcome = \"fuse\"\n", "outcome = \"fuse\"\nhold = true\n",
		"id = \"4-ohm-five-minutes\"\n", "id = \"4-ohm-five-minutes\"\nhold = true\n")
	m := &maker{Subject: b.subject(unit, edits...), kit: &Kit{}}
	m.texts()
	for _, s := range slices.Concat(m.tables(), m.claimLines(), m.chart()) {
		data, err := s.trace()
		if err != nil {
			t.Fatal(err)
		}
		m.add(s.name+".svg", data, s.from...)
	}
	seen, problems := m.kit, m.problems
	if problems.Errors() {
		t.Fatal(problems)
	}
	for _, f := range append(seen.Files, File{Name: "memory", Bytes: seen.Memory(false)}) {
		for _, word := range []string{"fuse", "138 s", "500", "5-minutes", "6:30", "five-minutes-"} {
			if strings.Contains(said(f), word) && word != "five-minutes-" ||
				strings.Contains(f.Name, "4-ohm-five") || strings.Contains(f.Name, "held") {
				t.Errorf("%s has %q, which is held", f.Name, word)
			}
		}
	}
	c := b.content
	r := b.decoded(unit, edits...)
	whole := Subject{Sheet: sheet.Evaluate(&c, r), Site: c.Site, Held: true}
	made, problems := texts(whole)
	if problems.Errors() || len(made.Files) == 0 {
		t.Fatal(problems)
	}
	for _, f := range made.Files {
		if !strings.Contains(f.Name, ".held.") {
			t.Errorf("%s doesn't say that it has held results", f.Name)
		}
	}
	if !strings.Contains(string(made.named(t, "description.held.txt").Bytes), "138") {
		t.Error("what is held isn't there either")
	}
	if name := (&maker{Subject: whole}).named("table-1080.png"); name != "table-1080.held.png" {
		t.Errorf("a picture is called %s", name)
	}
}

// A kit tells which results it was made from are others now, which of its files say so, and
// where the video shows them: by the claim's own mark, and by those of runs that count for it.
func TestStale(t *testing.T) {
	b := newBench(t)
	made, problems := texts(b.subject(unit, usually()...))
	if problems.Errors() {
		t.Fatal(problems)
	}
	memory, err := ReadMemory(made.Memory(false))
	if err != nil {
		t.Fatal(err)
	}
	all := memory.Stale(b.subject(unit, append(usually(), "power_w = 550\n", "power_w = 530\n")...))
	var keys []string
	for _, s := range all {
		keys = append(keys, s.Key)
		if s.Key != "claim 4-ohm" {
			continue
		}
		want := "claim 4-ohm was “4 Ω, 1 kHz: (549 ± 12) W of 550 W claimed, too close to call” and is “4 Ω, 1 kHz: (549 ± 12) W of 530 W claimed, met”; made before: description.txt, pinned-comment.txt, results.vtt"
		if s.Says() != want {
			t.Errorf("%s\nwant\n%s", s.Says(), want)
		}
		if s.Where() != "at 3:05, 4:12 in “On the bench”" { // run r05, and the claim
			t.Error(s.Where())
		}
	}
	for _, want := range []string{"headline", "claim 4-ohm", "chapters"} {
		if !slices.Contains(keys, want) {
			t.Errorf("%s isn't told, only %v", want, keys)
		}
	}
	if len(keys) != 3 {
		t.Errorf("more is told than changed: %v", keys)
	}
	gone := memory.Stale(b.subject(unit, append(usually(), "id = \"r05\"\n", "id = \"r05\"\ninvalid = \"a lead was loose\"\n")...))
	for _, s := range gone {
		if s.Key == "run r05" && !strings.Contains(s.Says(), "and there is none any more; made before: results.vtt") {
			t.Error(s.Says())
		}
	}
	if !slices.ContainsFunc(gone, func(s Stale) bool { return s.Key == "run r05" }) {
		t.Errorf("the run that doesn't count any more isn't told: %v", gone)
	}
}

// A memory that was cut short or changed by hand is no memory, and no crash.
func TestReadMemory(t *testing.T) {
	made, _ := texts(newBench(t).subject(unit))
	data := made.Memory(false)
	for n := 0; n < len(data)-2; n += 97 {
		if _, err := ReadMemory(data[:n]); err == nil {
			t.Fatalf("the first %d bytes are taken for a memory", n)
		}
	}
	for text, want := range map[string]string{
		`{"version":2,"unit":"a"}`: "it is of format 2, and this program reads 1",
		`{"version":1,"unit":"a","files":[{"name":"x","sha256":"","from":[3]}],"results":[]}`: `its file "x" names a result that it doesn't have`,
		`{"version":1,"other":1}`: "it isn't what kit writes",
	} {
		if _, err := ReadMemory([]byte(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", text, err)
		}
	}
}
