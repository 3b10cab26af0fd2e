package main

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/record"
)

// Whatever a maker or a tester is called, the record says exactly that.
func TestStartKeepsNames(t *testing.T) {
	for _, name := range []string{
		`a "quoted" name`, `back\slash`, "it's", "]\nmaker = 1", `"""`, "'''", "# no comment", "{{.}}", "<script>", "${HOME}", "%s%d",
		"\u202eright to left", "tab\there", "Ω 4 Ω", "nul\u0000", strings.Repeat("x", 301), "\xff",
	} {
		dir := t.TempDir()
		t.Chdir(dir)
		if status, _, text := result("start", "site", "--title", "T", "--tester", "T"); status != exitDone {
			t.Fatal(text)
		}
		status, _, said := result("start", "unit", "--maker", name, "--model", "M", "--folder", "u", "--from", name)
		text, err := os.ReadFile(filepath.Join("content", "units", "u", "record.toml"))
		if status != exitDone {
			if !errors.Is(err, fs.ErrNotExist) || !strings.Contains(said, "wattsheet: --maker: maker ") {
				t.Errorf("%q is refused with %q, and the record: %v", name, said, err)
			}
			continue
		}
		r, problems := record.DecodeRecord(&record.File{Name: "record.toml", Text: text}, "u")
		if len(problems) > 0 || r.Unit.Maker != name || r.Source.From != name {
			t.Errorf("%q became %q and %q: %v", name, r.Unit.Maker, r.Source.From, problems)
		}
	}
}

// What the new files have as comments works as well, once the # is taken away.
func TestStartCommentsAreTrue(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for _, args := range [][]string{
		{"start", "site", "--title", "T", "--tester", "T", "--meters", meterWords()},
		{"start", "unit", "--maker", "M", "--model", "N", "--folder", "plain"},
		{"start", "unit", "--maker", "M", "--model", "N", "--folder", "claims", "--channels", "1", "--claims", "4 100"},
	} {
		if status, _, text := result(args...); status != exitDone {
			t.Fatal(text)
		}
	}
	commented := regexp.MustCompile(`(?m)^# (\[\[?[a-z.]+\]\]?|[a-z_]+ = .*)$`)
	for _, name := range []string{"site.toml", "bench.toml", "units/plain/record.toml", "units/claims/record.toml"} {
		name = filepath.Join("content", filepath.FromSlash(name))
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		text = bytes.ReplaceAll(text, []byte("# contact_required = true"), nil) // then a short claim waits for its maker
		bare := commented.ReplaceAll(text, []byte("$1"))
		bare = bytes.ReplaceAll(bare, []byte(`kind = "mono, two-channel, …"`), []byte(`kind = "mono"`))
		if bytes.Equal(bare, text) {
			t.Errorf("%s has no commented lines", name)
		}
		if err := os.WriteFile(name, bare, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if status, out, err := result("check"); status != exitDone || err != "" || strings.Contains(out, "efficiency") {
		t.Errorf("check says\n%s%s", out, err)
	}
}

// Every meter alone makes a bench that passes, and so do all and none of them.
func TestStartMeters(t *testing.T) {
	sets := append(strings.Split(meterWords(), ", "), meterWords(), ",")
	for _, meters := range sets {
		for _, volts := range []string{"14.4", "230"} {
			t.Chdir(t.TempDir())
			status, _, said := result("start", "site", "--title", "T", "--tester", "T", "--meters", meters, "--volts", volts)
			if status != exitDone {
				t.Fatalf("%s at %s V: %s", meters, volts, said)
			}
			if _, out, err := result("check"); !strings.HasPrefix(out, "0 units, 0 claims\n") {
				t.Errorf("%s at %s V: %s%s", meters, volts, out, err)
			}
		}
	}
}

// A decimal comma is taken where it can be nothing else, and a unit may stand behind it.
func TestDecimalCommas(t *testing.T) {
	for text, want := range map[string]string{"14,4": "14.4", "0,5": "0.5", "14.4": "14.4", "1,200": "", "1,2,3": "", ",5": "", "14,": "", "14,4 V": "14.4", "14,4V": "14.4",
		"14,4 volts": "14.4", "14.4v": "14.4", "14.4 A": "", "V": ""} {
		var s siteAnswers
		if err := s.takeVolts(text); (err != nil) != (want == "") || err == nil && s.Volts != want {
			t.Errorf("%q is taken as %q, %v; want %q", text, s.Volts, err, want)
		}
	}
}

// What stands between thousands is named with the number that was meant; a point alone is
// taken for one only where figures are large.
func TestThousands(t *testing.T) {
	for _, c := range []struct{ key, typed, says string }{
		{"price", "1,299.50", "write 1299.50"}, {"price", "1.299,50", "write 1299.50"}, {"price", "1 299,50", "write 1299.50"}, {"price", "1'299", "write 1299"},
		{"price", "1.299", "may be 1299 or 1.299"}, {"price", "1,299", "may be 1299 or 1.299"}, {"price", "1.234.567", "write 1234567"}, {"price", "1\u202f299", "write 1299"},
		{"power_w", "1.250", "may be 1250 or 1.250"}, {"max_w", "1.250", "one more digit: 1.2500"}, {"load_ohm", "2.667", ""}, {"supply_v", "14.400", ""}, {"load_ohm", "2,667", "may be 2667 or 2.667"},
		{"price", "1.2990", ""}, {"price", "0.125", ""}, {"price", "0,125", ""}, {"price", "129,90", ""}, {"price", "1299.50", ""}, {"power_w", "1250", ""}, {"price", "1,2,3", ""}, {"price", "01,299.50", ""},
	} {
		err := thousands(c.key, c.typed)
		if (err != nil) != (c.says != "") || err != nil && (!strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), "\nhint: ")) {
			t.Errorf("%s %s: %v, want %q", c.key, c.typed, err, c.says)
		}
	}
	unit := unitAnswers{currency: "EUR", Channels: []string{"M"}}
	for typed, want := range map[string]string{"1,299.50 EUR": "", "1.299 €": "", "1299.50 €": "1299.50", "1299,50": "1299.50"} {
		if unit.Price = ""; (unit.takePrice(typed) != nil) != (want == "") || unit.Price != want {
			t.Errorf("%s: the price is %q, want %q", typed, unit.Price, want)
		}
	}
	for typed, says := range map[string]string{"4 ohm 1.250 W": "may be 1250", "1.250 W 4 ohm": "may be 1250", "4 ohm 1,250.5 W": "write 1250.5", "4 ohm 1,250 W": "may be 1250"} {
		if _, err := readClaim(typed, 1); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q", typed, err, says)
		}
	}
}

// A comma in a list of numbers parts two of them or is a decimal one; where it may be
// either, nothing is guessed.
func TestCommasInLists(t *testing.T) {
	for text, want := range map[string]string{
		"4, 4": "4 4", "4,4,2,2": "4 4 2 2", "4 4 2.67": "4 4 2.67", "2.67,4": "2.67 4", "2,67; 4": "2.67 4", "2,67;2,67": "2.67 2.67",
		"0,5 0,5": "0.5 0.5", "4,05": "4.05", "4 Ω, 2 ohms": "4 2", "4Ω,2Ω": "4 2", "4 \u2126": "4", ",": "", "2,67 Ω; 4 Ω": "2.67 4",
		"2,67": "?", "4,4": "?", "4,4, 2": "?", "2,67 Ω": "?", "4 2,67": "?", "4,100": "?", "4;1,000": "?",
	} {
		got, err := numbersTyped(text, ohmTyped)
		if (err != nil) != (want == "?") || err == nil && strings.Join(got, " ") != want {
			t.Errorf("%q is taken as %q, %v; want %q", text, got, err, want)
		}
	}
	said := `"2,67" may be 2.67, or 2 and 67` + "\nhint: write a fraction with a point, and a blank between two numbers: 2.67 or 2 67"
	var site siteAnswers
	if err := site.takeLoads("2,67"); err == nil || err.Error() != said {
		t.Errorf("loads: %v", err)
	}
	if err := site.takeWatts("62,5"); err == nil {
		t.Error("62,5 watts are taken")
	}
	var unit unitAnswers
	if err := unit.takeFuses("7,5"); err == nil {
		t.Errorf("a fuse of 7,5 is taken as %q", unit.Fuses)
	}
	if err := unit.takeFuses("7,5; 30A"); err != nil || strings.Join(unit.Fuses, " ") != "7.5 30" {
		t.Errorf("fuses are %q, %v", unit.Fuses, err)
	}
	unit.currency = "EUR"
	for _, price := range []string{"129,90 EUR", "129.90 €", "129,90eur", "129,90"} {
		if err := unit.takePrice(price); err != nil || unit.Price != "129.90" {
			t.Errorf("%s: the price is %q, %v", price, unit.Price, err)
		}
	}
	if err := unit.takePrice("129.90 $"); err == nil {
		t.Error("dollars are taken for euros")
	}
}

// The example of a run names elements of one resistance, or none where there are too few.
func TestLoadExample(t *testing.T) {
	loads := []benchLoad{{"a4", "4"}, {"a2", "2"}, {"b2", "2"}}
	for channels, want := range map[int]string{1: `load = "a4"`, 2: `load = ["a2", "b2"]`, 4: "load_ohm = 4"} {
		s := unitAnswers{loads: loads, Channels: channelNames(channels)}
		if got := s.LoadExample(); got != want {
			t.Errorf("of %d channels it is %s, want %s", channels, got, want)
		}
	}
}

// Somebody at a keyboard is asked again, with the reason; whoever isn't there is not.
func TestAskingAgain(t *testing.T) {
	for _, row := range []struct {
		again bool
		want  string
	}{
		{true, "Class: wattsheet: class is \"Z\"; it takes \"A\", \"AB\", \"B\", \"D\", \"G\" or \"H\"\nhint: class: the output stage's class\nClass: "},
		{false, "Class: Z\n"},
	} {
		var out, said bytes.Buffer
		u := newUI(&out, &said, time.Now, nil)
		u.stdin = strings.NewReader("Z\nAB\n")
		got, given := "", ""
		a := newAsker(u, map[string]*string{"class": &given})
		a.again = row.again
		err := a.ask(question{flag: "class", asks: "Class", take: takesText("record.toml", "unit", "class", &got)})
		text := strings.ReplaceAll(said.String(), "it takes A, AB, B, D, G or H", `it takes "A", "AB", "B", "D", "G" or "H"`)
		if text != row.want || (err == nil) != row.again || row.again && got != "AB" || out.Len() > 0 {
			t.Errorf("said %q, got %q, %v", text, got, err)
		}
	}
}

func TestReadClaim(t *testing.T) {
	for _, row := range []struct {
		text string
		want startClaim
	}{
		{"4 ohm 100 W 14.4 V 1 %", startClaim{"4-ohm", "100", "4", "14.4", "1", 2, false}},
		{"4 100 14.4 1", startClaim{"4-ohm", "100", "4", "14.4", "1", 2, false}},
		{"100 W at 4 Ω", startClaim{"4-ohm", "100", "4", "", "", 2, false}},
		{"100W into 2.67ohm, 10%", startClaim{"2-67-ohm", "100", "2.67", "", "10", 2, false}},
		{"4 ohm: 300 W bridged 14.4V", startClaim{"4-ohm-bridged", "300", "4", "14.4", "", 1, true}},
	} {
		if got, err := readClaim(row.text, 2); err != nil || got != row.want {
			t.Errorf("%q is %+v, %v; want %+v", row.text, got, err, row.want)
		}
	}
	for _, text := range []string{"4 ohm", "four ohm 100 W", "4 ohm 100 W 120 W", "1 2 3 4 5", "-4 ohm 100 W", "4 ohm 1e3 W", "4 ohm 9999999 W", "4 ohm 0 W", "NaN inf"} {
		if got, err := readClaim(text, 2); err == nil {
			t.Errorf("%q is taken as %+v", text, got)
		}
	}
	// As boxes print it: channels times watts, RMS, a decimal comma.
	for text, want := range map[string]startClaim{
		"4x100W RMS at 4 ohm, 14,4 V":                           {"4-ohm", "100", "4", "14.4", "", 4, false},
		"2 × 62,5 W into 4Ω":                                    {"4-ohm", "62.5", "4", "", "", 2, false},
		"2x 300W bridged 4 ohm 1 %":                             {"4-ohm-bridged", "300", "4", "", "1", 2, true},
		"4 ohm 100 W rms x 3 14.4V 0,1%":                        {"", "", "", "", "", 0, false},
		"5 x 100 W 4 ohm":                                       {"", "", "", "", "", 0, false},
		"3 x 300 W bridged 4 ohm":                               {"", "", "", "", "", 0, false},
		"2 x 4 x 100 W 4 ohm":                                   {"", "", "", "", "", 0, false},
		"1,000 W 4 ohm":                                         {"", "", "", "", "", 0, false},
		"2 x 100 W RMS per channel @ 4 Ω, 14,4 VDC, 0,5% THD+N": {"4-ohm", "100", "4", "14.4", "0.5", 2, false},
		"100 W each into 4 ohms @14.4V 1 % thd":                 {"4-ohm", "100", "4", "14.4", "1", 4, false},
		"4 ohm 1000 W max":                                      {"", "", "", "", "", 0, false},
		"4 x 75 Wrms into 4-ohm at 14.4 V and <1 % THD":         {"4-ohm", "75", "4", "14.4", "1", 4, false},
		"2x100W/ch 4 ohm":                                       {"", "", "", "", "", 0, false},
		"4 Ω 100 W per ch. ≤0,05% thd+n":                        {"4-ohm", "100", "4", "", "0.05", 4, false},
		"4 ohm 100 W with <= 1 percent":                         {"", "", "", "", "", 0, false},
		"4 ohm 100 W with <=1 percent":                          {"4-ohm", "100", "4", "", "1", 4, false},
		"4 ohm <100 W":                                          {"", "", "", "", "", 0, false},
		"<4 ohm 100 W":                                          {"", "", "", "", "", 0, false},
		"4 ohm 100 W 14.4 V <1":                                 {"4-ohm", "100", "4", "14.4", "1", 4, false},
		"75 W x4 4 ohm":                                         {"", "", "", "", "", 0, false},
	} {
		got, err := readClaim(text, 4)
		if (err != nil) != (want.Channels == 0) || err == nil && got != want {
			t.Errorf("%q is %+v, %v; want %+v", text, got, err, want)
		}
		if err != nil && !strings.Contains(err.Error(), "\nhint: ") {
			t.Errorf("%q: no hint in %v", text, err)
		}
	}
	for text, says := range map[string]string{"75 W x 4 4 ohm": "the channels stand before the watts, as in 4 x 100 W", "75 W x4 4 ohm": "the channels stand before", "4 ohm <100 W": "a bound before 100"} {
		if _, err := readClaim(text, 4); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q", text, err, says)
		}
	}
	if _, err := readClaim("4 ohm 100 W bridged", 1); err == nil {
		t.Error("one channel is bridged")
	}
}

// A folder that somebody makes while it is written stays as it is.
func TestWriteFolderNeverOverwrites(t *testing.T) {
	dir := t.TempDir()
	folder := filepath.Join(dir, "content")
	files := []startFile{{"a.txt", "new"}}
	for _, make := range []func() error{
		func() error { return os.Mkdir(folder, 0o777) },
		func() error { return os.WriteFile(folder, nil, 0o666) },
		func() error { return os.Symlink("elsewhere", folder) },
	} {
		if err := make(); err != nil {
			t.Fatal(err)
		}
		if err := writeFolder(folder, files); !errors.Is(err, errStands) {
			t.Errorf("it is overwritten: %v", err)
		}
		if err := os.Remove(folder); err != nil {
			t.Fatal(err)
		}
	}
	if err := writeFolder(filepath.Join(dir, "file", "content"), append(files, startFile{"a.txt/b", ""})); err == nil {
		t.Error("a file became a folder")
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "file", "*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "file", ".*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// Questions fit a terminal's line, as long as what stands in brackets is short.
func TestQuestionsFitTheScreen(t *testing.T) {
	for _, q := range append(siteQuestions(&siteAnswers{}), unitQuestions(&unitAnswers{})...) {
		for line := range strings.SplitSeq(q.explains+"\n"+q.asks, "\n") {
			if n := len([]rune(line)); n > screen-20 && line == q.asks || n > screen {
				t.Errorf("%d characters: %s", n, line)
			}
		}
	}
}
