package logbook

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/record"
)

const good = "17.40 17.39 1.00 1.00 14.39 17.8"

// TestAppendTouchesNothing: whatever a record's end looks like, its bytes stay, and the
// run stands behind them.
func TestAppendTouchesNothing(t *testing.T) {
	for name, text := range map[string]string{
		"a run last":         recordText + runText7,
		"no line end":        strings.TrimSuffix(recordText+runText7, "\n"),
		"a comment":          recordText + runText7 + "# the fan was off",
		"many blank lines":   recordText + runText7 + "\n\n\n",
		"line ends of DOS":   strings.ReplaceAll(recordText+runText7, "\n", "\r\n"),
		"a byte order mark":  "\ufeff" + recordText + runText7,
		"another table last": recordText + runText7 + "\n[[opinion]]\nkind = \"like\"\ntext = \"\"\"\n[[run]]\nquiet\"\"\"\n",
		"a table of the run": recordText + runText7 + "[run.with]\nout_v = \"dmm\"\n",
	} {
		root, file := newSite(t, benchText, text)
		d := begin(t, root)
		must(t, d, good, "fuse")
		now := contents(t, file)
		if !strings.HasPrefix(now, text) {
			t.Errorf("%s: what stood there was changed:\n%q", name, now)
		}
		runs := runsOf(t, now)
		if len(runs) != 3 || runs[1].ID != "r08" || runs[2].ID != "r09" || runs[1].OutV.Items[1].Text != "17.39" || runs[2].Outcome != "fuse" || runs[1].At.Text != "2026-11-26T14:05:10+01:00" {
			t.Errorf("%s: the record now says %+v", name, runs)
		}
		if crlf := strings.Count(now, "\r\n"); strings.Contains(text, "\r\n") && crlf != strings.Count(now, "\n") {
			t.Errorf("%s: line ends are mixed", name)
		}
	}
}

// TestRefusedIsNotWritten: a line that can't be a run leaves the record as it is.
func TestRefusedIsNotWritten(t *testing.T) {
	text := recordText + runText7
	root, file := newSite(t, benchText, text)
	d := begin(t, root)
	for line, why := range map[string]string{
		"":                                   "",
		"NaN 1 1 1 1 1":                      "is no word of the log",
		"1e999 17 1 1 14 17":                 "no unit of a reading",
		"17.4 17.4 1 1 14.4 99999999999999":  "supply_a is 99999999999999",
		"-17.4 17.4 1 1 14.4 17":             "out_v is -17.4",
		"170.4 17.4 1 1 64.4 17":             "beyond the largest range",
		"17.4":                               "1 is typed, but a run has 6",
		strings.Repeat("17.4 ", 2048):        "more than 1000 characters",
		"\x1b]0;gone\x07":                    "can't be seen",
		"17.4 17.4 1 1 14.4 17 \"]\n[[run]]": "can't be seen",
		"invalid":                            "needs the reason",
		"invalid \x00":                       "can't be seen",
		"method nothing":                     "method needs one of methods.toml",
		"load x4":                            `there is no load "x4"`,
		"channels M":                         `no channel "M"`,
		"order out_v out_v out_v":            "named 3 times",
		"with out_v clamp":                   `"clamp" reads no out_v`,
		"read-as out_v held-min":             "isn't read so",
		"mark yesterday":                     "video's clock",
		"17.4 17.4 1 1 14.4 17 lasted_s=-5":  "lasted_s is -5",
	} {
		r := d.Take(line, day)
		got := ""
		if r.Err != nil {
			got = r.Err.Error()
		}
		if r.Asks || !strings.Contains(strings.ReplaceAll(got, `"`, ""), strings.ReplaceAll(why, `"`, "")) || (why == "") != (got == "") {
			t.Errorf("%.40q is answered by %q, %v; it should say %s", line, got, r.Said, why)
		}
	}
	must(t, d, "load a4 a4")
	if r := d.Take(good, day); r.Err == nil || !strings.Contains(r.Err.Error(), `load "a4" is used twice`) {
		t.Errorf("one load at two channels: %+v", r)
	}
	must(t, d, "load a4")
	if r := d.Take(good, day); r.Err == nil || !strings.Contains(r.Err.Error(), "loads and channels don't match") {
		t.Errorf("one load for two channels: %+v", r)
	}
	if contents(t, file) != text {
		t.Error("the record was changed")
	}
}

// TestListsCantBeAddedTo: TOML has no way to add to run = [ … ].
func TestListsCantBeAddedTo(t *testing.T) {
	text := "run = [{ id = \"a\", method = \"thd1\", load = [\"a4\", \"b4\"], out_v = [17.4, 17.4] }]\n" + recordText
	root, file := newSite(t, benchText, text)
	d := begin(t, root)
	if r := d.Take("17.4 17.4", day); r.Err == nil || !strings.Contains(r.Err.Error(), "write them as [[run]] tables first") {
		t.Errorf("the answer is %+v", r)
	}
	if r := d.Take("invalid misread", day); r.Err == nil || !strings.Contains(r.Err.Error(), `begins in line 1: invalid = "misread"`) {
		t.Errorf("the answer is %+v", r)
	}
	if contents(t, file) != text {
		t.Error("the record was changed")
	}
}

// TestInvalid: the last run is marked behind the end of the file where that is its
// table, and else it is said where to write it.
func TestInvalid(t *testing.T) {
	text := recordText + runText7
	root, file := newSite(t, benchText, text)
	d := begin(t, root)
	said := must(t, d, good, `invalid the "AC" key \ was not pressed`)
	if now := contents(t, file); !strings.HasPrefix(now, text) || !strings.HasSuffix(now, `invalid = "the \"AC\" key \\ was not pressed"`+"\n") {
		t.Errorf("the record now is\n%s", now)
	}
	if runs := runsOf(t, contents(t, file)); runs[0].Invalid != "" || runs[1].Invalid != `the "AC" key \ was not pressed` {
		t.Errorf("marked: %q, %q", runs[0].Invalid, runs[1].Invalid)
	}
	if !contains(said, "r08 is marked invalid") || !contains(said, "claim 4-ohm: verdict so far") {
		t.Errorf("it says %q", said)
	}
	if r := d.Take("invalid again", day); r.Err == nil || !strings.Contains(r.Err.Error(), "r08 is marked invalid already") {
		t.Errorf("a second time: %+v", r)
	}
	must(t, d, good)
	if runs := runsOf(t, contents(t, file)); len(runs) != 3 || runs[2].ID != "r09" || runs[2].Invalid != "" {
		t.Errorf("a run after it: %+v", runs)
	}

	text = recordText + runText7 + "[run.with]\nout_v = \"dmm\"\n"
	root, file = newSite(t, benchText, text)
	if r := begin(t, root).Take("invalid misread", day); r.Err == nil || !strings.Contains(r.Err.Error(), `hint: write this into its table, which begins in line 19: invalid = "misread"`) {
		t.Errorf("a table of the run behind it: %+v", r)
	}
	if contents(t, file) != text {
		t.Error("the record was changed")
	}
}

// TestTornAppendIsNoticed cuts what was appended after each byte, as a power cut may:
// what is left must not pass for a whole run.
func TestTornAppendIsNoticed(t *testing.T) {
	for _, before := range []string{recordText + runText7, recordText + runText7 + "# a comment"} {
		root, file := newSite(t, benchText, before)
		b, err := Open(root, "unit")
		if err != nil {
			t.Fatal(err)
		}
		d, _ := Begin(b, byPlan, day, false)
		must(t, d, good+" # seen twice")
		b.Close()
		whole := contents(t, file)
		begins := 1 + strings.Count(whole[:strings.LastIndex(whole, "[[run]]")], "\n")
		for at := len(before) + 1; at < len(whole); at++ {
			if err := os.WriteFile(file, []byte(whole[:at]), 0o666); err != nil {
				t.Fatal(err)
			}
			b, err := Open(root, "unit")
			switch torn := (*TornError)(nil); {
			case err == nil && b.Unended == false && len(b.rec.Runs) == 2:
				t.Errorf("cut after %q: it passes for a whole run", whole[len(before):at])
			case err == nil:
				b.Close() // without its line end, or without anything of the run
			case !errors.As(err, &torn):
				t.Errorf("cut after %q: %v", whole[len(before):at], err)
			case torn.Line != begins:
				t.Errorf("cut after %q: the end is said to begin in line %d", whole[len(before):at], torn.Line)
			}
		}
	}
}

// TestTornAppendOfZeros: some file systems leave zeros where data was to be.
func TestTornAppendOfZeros(t *testing.T) {
	root, _ := newSite(t, benchText, recordText+runText7+"\n[[run]]\nid = \"r0\x00\x00\x00\x00\x00\x00")
	var torn *TornError
	if _, err := Open(root, "unit"); !errors.As(err, &torn) || torn.Line != 1+strings.Count(recordText+runText7, "\n")+1 {
		t.Errorf("zeros at the end: %v", err)
	}
}

// TestTwoAtOnce: one record is logged by one at a time, and free again afterwards.
func TestTwoAtOnce(t *testing.T) {
	root, _ := newSite(t, benchText, recordText)
	b, err := Open(root, "unit")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(root, "unit"); err == nil || !strings.Contains(err.Error(), fmt.Sprintf("unit is being logged already, in process %d\nhint: ", os.Getpid())) {
		t.Errorf("a second one: %v", err)
	}
	b.Close()
	if b, err = Open(root, "unit"); err != nil {
		t.Fatalf("after it ended: %v", err)
	}
	b.Close()
}

// TestEditedMeanwhile: what an editor saved is read before the next run is written, also
// where it replaced the file.
func TestEditedMeanwhile(t *testing.T) {
	text := recordText + runText7
	root, file := newSite(t, benchText, text)
	d := begin(t, root)
	must(t, d, good)
	edited := strings.Replace(contents(t, file), "Mossfettle", "Mossfettle & Sons", 1) + "\n[[run]]\nid = \"r20\"\nmethod = \"thd1\"\nload = [\"a4\", \"b4\"]\nout_v = [17.4, 17.4]\n"
	if err := os.WriteFile(file+"~new", []byte(edited), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(file+"~new", file); err != nil {
		t.Fatal(err)
	}
	said := must(t, d, strings.Replace(good, "17.8", "17.9", 1))
	if now := contents(t, file); !contains(said, "r21 written") || !contains(said, "was read again") || !strings.HasPrefix(now, edited) || len(runsOf(t, now)) != 4 {
		t.Errorf("it says %q", said)
	}
	if err := os.WriteFile(file, []byte(edited+"oops"), 0o666); err != nil {
		t.Fatal(err)
	}
	if r := d.Take(good, day); r.Err == nil || contents(t, file) != edited+"oops" {
		t.Errorf("spoiled by an editor: %+v", r)
	}
}

// TestBenchEditedMeanwhile: a load that is added while the log is open can be used.
func TestBenchEditedMeanwhile(t *testing.T) {
	root, file := newSite(t, benchText, recordText+runText7)
	d := begin(t, root)
	must(t, d, good)
	bench := benchText + "\n[[load]]\nid = \"c4\"\nnominal_ohm = 4\nohm = 4.02\nohm_pct = 0.5\n"
	if err := os.WriteFile(filepath.Join(root, benchFile), []byte(bench), 0o666); err != nil {
		t.Fatal(err)
	}
	must(t, d, "load a4 c4", good)
	if runs := runsOf(t, contents(t, file)); len(runs) != 3 || runs[2].Load.Items[1].ID != "c4" {
		t.Errorf("the record has %d runs, the last into %v", len(runs), runs[len(runs)-1].Load.Items)
	}
	if err := os.WriteFile(filepath.Join(root, benchFile), []byte(bench+"[[load]]\nid ="), 0o666); err != nil {
		t.Fatal(err)
	}
	if r := d.Take(good, day); r.Err == nil || len(runsOf(t, contents(t, file))) != 3 {
		t.Errorf("a spoiled bench: %+v", r)
	}
}

// TestTornDayIsNoticed is TestTornAppendIsNoticed for the check unit's day.
func TestTornDayIsNoticed(t *testing.T) {
	root, _ := newSite(t, benchText+checkText, recordText)
	file, begins := filepath.Join(root, benchFile), 1+strings.Count(benchText+checkText, "\n")+1
	b, err := Open(root, "unit")
	if err != nil {
		t.Fatal(err)
	}
	d, _ := Begin(b, byPlan, day, true)
	must(t, d, "14.87 12.60 # fan off")
	b.Close()
	whole := contents(t, file)
	for at := len(benchText+checkText) + 2; at < len(whole)-1; at++ {
		if err := os.WriteFile(file, []byte(whole[:at]), 0o666); err != nil {
			t.Fatal(err)
		}
		var torn *TornError
		if b, err := Open(root, "unit"); err == nil {
			t.Errorf("cut after %q: it passes for a whole day", whole[len(benchText+checkText):at])
			b.Close()
		} else if !errors.As(err, &torn) || torn.Line != begins {
			t.Errorf("cut after %q: %v", whole[len(benchText+checkText):at], err)
		}
	}
}

// TestUnitsAreNames: nothing outside of content/units is opened or made.
func TestUnitsAreNames(t *testing.T) {
	root, _ := newSite(t, benchText, recordText)
	for _, name := range []string{"", ".", "..", "../units/unit", "unit/../unit", "none", "unit\n"} {
		var none *NoUnitError
		if _, err := Open(root, name); !errors.As(err, &none) {
			t.Errorf("%q opens: %v", name, err)
		}
	}
	if _, err := os.Stat(filepath.Join(root, lockFolder)); err == nil {
		t.Error("a lock was made for a unit that isn't there")
	}
	if _, err := Open(filepath.Join(root, "nowhere"), "unit"); err == nil || !strings.Contains(err.Error(), "hint: run this in the folder that holds content") {
		t.Errorf("no content: %v", err)
	}
}

// TestFiveThousandRuns: a long record is byte-identical before the new run, and the
// answer comes at once: measured by what it takes to open the record, which decodes it
// once, as the machine may be busy.
func TestFiveThousandRuns(t *testing.T) {
	var b strings.Builder
	b.WriteString(recordText)
	for i := range 5000 {
		method, loads := "thd1", `["a4", "b4"]`
		if i%3 == 1 {
			method = "burst"
		}
		if i%5 == 4 {
			loads = `["a2", "b4"]`
		}
		fmt.Fprintf(&b, "\n[[run]] # %d\nid = \"r%04d\"\nmethod = %q\nload = %s\nout_v = [17.%02d, 17.38]\nthdn_pct = [1.00, 0.99]\nsupply_v = 14.40\nsupply_a = 17.9\n", i, i+1, method, loads, 30+i%20)
	}
	text := b.String()
	root, file := newSite(t, benchText, text)
	start := time.Now()
	d := begin(t, root)
	opened := time.Since(start)
	said := must(t, d, good)
	took := time.Since(start) - opened
	now := contents(t, file)
	if !strings.HasPrefix(now, text) || strings.Count(now[len(text):], "[[run]]") != 1 || !contains(said, "r5001 written") || !contains(said, "verdict so far") {
		t.Errorf("it says %q and appends %q", said, now[len(text):])
	}
	t.Logf("%d bytes, opened in %v, answered in %v", len(text), opened, took)
	if took > 20*opened && !testing.Short() {
		t.Errorf("the answer took %v, opening %v", took, opened)
	}
}

// TestCheckUnit: the day's reading goes behind bench.toml, once a day.
func TestCheckUnit(t *testing.T) {
	bench := benchText + checkText + "\n[[supply]]\nid = \"bank\"\nname = \"batteries\"\n"
	root, _ := newSite(t, bench, recordText+runText7)
	file := filepath.Join(root, benchFile)
	b, err := Open(root, "unit")
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	d, said := Begin(b, byPlan, day, true)
	if d.Prompt() != "check unit (out_v, supply_v; or skip): " || !contains(said, "not read yet on 2026-11-26") {
		t.Errorf("it begins with %q and %q", d.Prompt(), said)
	}
	if r := d.Take("1.487 12.60", day); !r.Asks || !contains(r.Said, "check unit reads 1.487 V, expected about 14.9 V (2 days before)") || contents(t, file) != bench {
		t.Errorf("a misread one: %+v", r)
	}
	said = must(t, d, "n", "14.88 12.60 # fan off")
	if !contains(said, "check unit written: ") || !contains(said, "+0.09 % from the mean of 3 days") {
		t.Errorf("it says %q", said)
	}
	now := contents(t, file)
	if want := "\n[[check_unit.day]]\nout_v = 14.88\nsupply_v = 12.60\nremarks = \"fan off\"\ndate = 2026-11-26\n"; now != bench+want {
		t.Errorf("bench.toml gets %q", strings.TrimPrefix(now, bench))
	}
	if _, problems := record.DecodeBench(&record.File{Name: "bench.toml", Text: []byte(now)}); problems.Errors() {
		t.Error(problems)
	}
	must(t, d, good)
	if _, said := Begin(b, byPlan, day, true); contains(said, "not read yet") {
		t.Error("it is asked for twice a day")
	}
	if _, said := Begin(b, byPlan, day.AddDate(0, 0, 1), true); !contains(said, "not read yet on 2026-11-27") {
		t.Errorf("the next day: %q", said)
	}
}

// TestCheckUnitOff: a bench that isn't as on other days is a finding at once. 14.4 V are
// 3 % less than 14.87 V, 6 % in power, where repeats scatter by 0.8 %.
func TestCheckUnitOff(t *testing.T) {
	root, _ := newSite(t, benchText+checkText, recordText)
	b, err := Open(root, "unit")
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	d, _ := Begin(b, byPlan, day, true)
	said := must(t, d, "14.4 12.6")
	if !contains(said, "check unit written: ") || !contains(said, "finding check-unit-off: check unit on 2026-11-26: ") || !contains(said, "cause: the bench was not as on other days") {
		t.Errorf("it says %q", said)
	}
}
