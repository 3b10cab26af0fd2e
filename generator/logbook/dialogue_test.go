package logbook

import (
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/record"
)

// TestDialogues says the lines of testdata/NAME.in over a fresh record and compares the
// whole dialogue, and then what was appended, with testdata/NAME.golden. A line of .in
// that begins with "@ " lets so much time pass first.
func TestDialogues(t *testing.T) {
	inputs, err := filepath.Glob("testdata/*.in")
	if err != nil || len(inputs) == 0 {
		t.Fatal("no dialogues", err)
	}
	for _, in := range inputs {
		name := strings.TrimSuffix(filepath.Base(in), ".in")
		t.Run(name, func(t *testing.T) {
			text := recordText + runText7
			if name == "first" { // a unit without a run
				text = recordText
			}
			root, file := newSite(t, benchText+checkText, text)
			got := dialogue(t, root, strings.Split(strings.TrimSuffix(contents(t, in), "\n"), "\n"))
			for _, line := range strings.Split(got, "\n") {
				if strings.ContainsRune(line, '\x1b') {
					t.Errorf("a line moves the cursor: %q", line)
				}
			}
			got += "\n-- record.toml gets --\n" + strings.TrimPrefix(contents(t, file), text)
			if bench := strings.TrimPrefix(contents(t, filepath.Join(root, benchFile)), benchText+checkText); bench != "" {
				got += "\n-- bench.toml gets --\n" + bench
			}
			golden := strings.TrimSuffix(in, ".in") + ".golden"
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			if want := contents(t, golden); got != want {
				os.WriteFile(golden+".got", []byte(got), 0o666)
				t.Errorf("the dialogue is another, see %s.got", golden)
			}
		})
	}
}

// dialogue is all that is said and typed over the unit of a site.
func dialogue(t *testing.T, root string, lines []string) string {
	b, err := Open(root, "unit")
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	now := day
	d, said := Begin(b, byPlan, now, true)
	out := strings.Join(said, "\n") + "\n"
	for _, line := range lines {
		if wait, is := strings.CutPrefix(line, "@ "); is {
			passed, err := time.ParseDuration(wait)
			if err != nil {
				t.Fatal(err)
			}
			now = now.Add(passed)
			continue
		}
		out += d.Prompt() + line + "\n"
		r := d.Take(line, now)
		for _, said := range r.Said {
			out += said + "\n"
		}
		if r.Err != nil {
			out += "wattsheet: " + r.Err.Error() + "\n"
		}
		if r.Ended {
			break
		}
	}
	return strings.ReplaceAll(out, nbsp, " ")
}

// TestDoubts: each way in which a meter is usually misread is asked about, with its
// cause, and nothing is written; what a unit may well do isn't asked about.
func TestDoubts(t *testing.T) {
	for _, c := range []struct{ line, asks string }{
		{good, ""},
		{"12.1 12.0 1.00 1.00 14.39 12.1", ""}, // half the power of the run before
		{"11.4 17.39 1.00 1.00 14.39 17.8", "output L reads 11.4 V, expected about 17 V (run r07)"},
		{"17.40 17.39 1.00 1.00 14.39 27.8", "supply current reads 27.8 A, expected about 18 A (run r07)"},
		{"17.40 17.39 1.00 1.00 12.62 17.8", ""},
		{"17.40 17.39 0.52 1.00 14.39 17.8", ""},
		{"0.4 17.39 1.00 1.00 14.39 17.8", "output L reads 0.4 V, expected about 17 V (run r07): is the meter on DC"},
		{"17.40 0 1.00 1.00 14.39 17.8", "output R reads 0 V, expected about 17 V (run r07): is the meter on DC"},
		{"17.40 0.01739 1.00 1.00 14.39 17.8", "output R reads 0.01739 V, expected about 17 V (run r07): milli or kilo?"},
		{"174.0 17.39 1.00 1.00 14.39 17.8", "output L reads 174.0 V, expected about 17 V (run r07): a digit or the decimal point?"},
		{"17.40 17.39 1.00 1.00 17.8 14.39", ""}, // both are near enough to be true
		{"1.00 17.39 17.4 1.00 14.39 17.8", "output L reads 1.00 V, expected about 17 V (run r07): are it and distortion swapped?"},
		{"17.40 17.39 1.00 1.00 14.39 178", "supply current reads 178 A, expected about 18 A (run r07): a digit or the decimal point?"},
		{"17.40 17.39 1.00 1.00 14.39 0.2", "supply current reads 0.2 A, expected about 18 A (run r07): a digit or the decimal point?"},
		{"17.40 17.39 1.00 1.00 28.9 17.8", "supply reads 28.9 V, expected about 14 V (run r07): is it on DC, read at the unit's terminals?"},
		{"17.40 17.39 0.01 0.99 14.39 17.8", "distortion L reads 0.01 %, expected about 1.0 % (run r07): a digit or the decimal point?"},
		{"17.40 17.39 1.00 1.00 14.39 9.1", "more comes out than goes in; usual cause: a supply reading too low"},
		{"0.4 17.39 1.00 1.00 14.39 17.8 fuse", ""}, // a run that ended by itself
	} {
		root, file := newSite(t, benchText, recordText+runText7)
		r := begin(t, root).Take(c.line, day)
		if r.Err != nil || r.Asks != (c.asks != "") || !contains(r.Said, c.asks) {
			t.Errorf("%s is answered by %q, %v; it should ask %q", c.line, r.Said, r.Err, c.asks)
		}
		if written := contents(t, file) != recordText+runText7; written == r.Asks {
			t.Errorf("%s: written is %v", c.line, written)
		}
	}
}

// TestExpectedWithoutRuns: the first run is compared with what is claimed: 75 W into
// 4 ohms are √(75·4) = 17.3 V, and at an efficiency of 20 % to 95 % it takes between
// 11 A and 52 A at 14.4 V (by hand).
func TestExpectedWithoutRuns(t *testing.T) {
	for _, c := range []struct{ line, asks string }{
		{good, ""},
		{"8.8 8.8 1.0 1.0 14.4 5", ""}, // a quarter of the claim
		{"0.4 17.4 1.0 1.0 14.4 17", "output L reads 0.4 V, expected about 17 V (claim 4-ohm)"},
		{"17.4 17.4 1.0 1.0 1.44 17", "supply reads 1.44 V, expected about 14 V (claim 4-ohm)"},
		{"17.4 17.4 1.0 1.0 14.4 1.7", "supply current reads 1.7 A, expected about 18 A (the output power, at the plan's efficiency of 60 %)"},
		{"17.4 17.4 1.0 8.0 14.4 17", "distortion R reads 8.0 %, expected about 1.0 % (method thd1)"},
	} {
		root, _ := newSite(t, benchText, recordText)
		d := begin(t, root)
		must(t, d, "method thd1", "load a4 b4")
		if r := d.Take(c.line, day); r.Err != nil || r.Asks != (c.asks != "") || !contains(r.Said, c.asks) {
			t.Errorf("%s is answered by %q, %v; it should ask %q", c.line, r.Said, r.Err, c.asks)
		}
	}
}

// TestIDsContinue: as an editor would number on (common practice, no source).
func TestIDsContinue(t *testing.T) {
	for last, next := range map[string]string{"": "r01", "r07": "r08", "r99": "r100", "sweep-9": "sweep-10", "a": "r01", "r2-b": "r01", "7": "8", "r099": "r100"} {
		text := recordText
		if last != "" {
			text += strings.Replace(runText7, "r07", last, 1)
		}
		if got := (&record.Record{Runs: runsOf(t, text)}).NextRunID(); got != next {
			t.Errorf("after %q comes %q, not %q", last, got, next)
		}
	}
	if got := (&record.Record{Runs: runsOf(t, recordText+strings.Replace(runText7, "r07", "r08", 1)+runText7)}).NextRunID(); got != "r09" {
		t.Errorf("a taken id: %q", got)
	}
}

var runWritten = regexp.MustCompile(`^[a-z]+[0-9]+ written`)

// TestTypedTwice: a line that was typed before is asked about, since a repeat hardly ever
// reads so; another digit, other loads or a shutdown aren't.
func TestTypedTwice(t *testing.T) {
	root, file := newSite(t, benchText, recordText)
	d := begin(t, root)
	must(t, d, "method thd1", "load a4 b4", "order out_v thdn_pct supply_v supply_a", good)
	r := d.Take(good, day)
	if !r.Asks || !contains(r.Said, "has the readings of run r01, to the last digit; usual cause: a row that was pasted or typed twice") {
		t.Errorf("it says %q", r.Said)
	}
	if must(t, d, "n"); len(runsOf(t, contents(t, file))) != 1 {
		t.Error("it was written all the same")
	}
	if r := d.Take(strings.Replace(good, "17.8", "17.9", 1), day); r.Asks || r.Err != nil {
		t.Errorf("another reading is answered by %+v", r)
	}
	if r := d.Take(good, day); !r.Asks {
		t.Error("an earlier run's readings aren't asked about")
	}
	must(t, d, "y", "invalid typed twice")
	if n := len(runsOf(t, contents(t, file))); n != 3 {
		t.Errorf("%d runs", n)
	}
}

// TestAskedOnce: a reading that makes every pair with earlier runs odd is one question of
// the kind, not one for each of them.
func TestAskedOnce(t *testing.T) {
	root, _ := newSite(t, benchText, recordText)
	d := begin(t, root)
	must(t, d, "method thd1", "load 2ohm", "channels L", "order out_v supply_v", "15.2 14.39", "15.21 14.40", "15.22 14.41", "load 4ohm")
	r := d.Take("10.2 14.4", day)
	if n := strings.Count(strings.Join(r.Said, "\n"), "more than twice the power of the double load"); !r.Asks || n != 1 {
		t.Errorf("it says %q", r.Said)
	}
}

// TestChannelsTwice: a channel drives one load.
func TestChannelsTwice(t *testing.T) {
	root, _ := newSite(t, benchText, recordText)
	d := begin(t, root)
	for _, line := range []string{"channels L R L", "channels L+L", "channels L+R R", "channels L, L"} {
		if r := d.Take(line, day); r.Err == nil || !strings.Contains(r.Err.Error(), "is named twice\nhint: ") || len(d.driven) > 0 {
			t.Errorf("%s: %+v", line, r)
		}
	}
}

// TestPairWithBlanks: a bridged pair of channels whose names have blanks is named as it is
// said, with blanks around the + or not.
func TestPairWithBlanks(t *testing.T) {
	root, file := newSite(t, benchText, strings.Replace(recordText, `["L", "R"]`, `["Left ch", "Right ch"]`, 1))
	for _, typed := range []string{"channels Left ch+Right ch", "channels Left ch + Right ch", "channels Left ch +Right ch,"} {
		d := begin(t, root)
		if r := d.Take(typed, day); (r.Err != nil) != strings.HasSuffix(typed, ",") {
			t.Errorf("%s: %v", typed, r.Err)
		}
		if !strings.HasSuffix(typed, ",") {
			must(t, d, "method thd1", "load a4", "order out_v supply_v", "29.5 14.39", "invalid once more")
			if r := runsOf(t, contents(t, file)); r[len(r)-1].DrivenOf(&record.Unit{})[0] != "Left ch+Right ch" {
				t.Errorf("%s: %v", typed, r[len(r)-1].Driven)
			}
		}
		d.book.Close()
	}
}

// TestRunsBeforeTheCheckUnit: whoever types a run where the check unit's reading is asked for
// is told so, and how to go on.
func TestRunsBeforeTheCheckUnit(t *testing.T) {
	root, _ := newSite(t, benchText+checkText, recordText+runText7)
	d := beginning(t, root, true)
	for typed, says := range map[string]string{
		good:   "6 are typed, but the check unit's day has 2: out_v, supply_v\nhint: ",
		"14.8": "1 is typed, but the check unit's day has 2: out_v, supply_v\nhint: ",
		"1x 2": "\"x\" is no unit",
	} {
		if r := d.Take(typed, day); r.Err == nil || !strings.Contains(r.Err.Error(), says) || !strings.HasSuffix(r.Err.Error(), "; the check unit is read first, skip goes on to the runs") {
			t.Errorf("%s: %v", typed, r.Err)
		}
	}
	if r := d.Take("skipp", day); r.Err == nil || !strings.Contains(r.Err.Error(), "the words are skip, next") {
		t.Errorf("a typing mistake: %v", r.Err)
	}
	if must(t, d, "Skip"); d.checking {
		t.Error("it isn't skipped")
	}
	if r := d.Take("skipp", day); r.Err == nil || strings.Contains(r.Err.Error(), "skip,") {
		t.Errorf("afterwards: %v", r.Err)
	}
}

// TestAnythingTyped types words and readings in any order: the record only grows, always
// decodes, and has a run for each that was told of.
func TestAnythingTyped(t *testing.T) {
	random := rand.New(rand.NewSource(1))
	pick := func(of ...string) string { return of[random.Intn(len(of))] }
	root, file := newSite(t, benchText+checkText, recordText+runText7)
	b, err := Open(root, "unit")
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	d, _ := Begin(b, byPlan, day, true)
	must(t, d, "skip")
	before, told := contents(t, file), 0
	usual := []string{"channels all", "method thd1", "load a4 b4", "order out_v thdn_pct supply_v supply_a", "with supply_v", "freq", good, good, good}
	for range 250 {
		var words []string
		for range random.Intn(8) {
			words = append(words, pick("17.4", "17.3", "14.4", "1.0", "0.4", "17,4V", "900mA", "-", "fuse", "protected", "completed", "L", "R", "L+R",
				"a4", "b4", "a2", "4ohm", "thd1", "burst", "out_v", "thdn_pct", "supply_v", "supply_a", "dmm", "mains", "held-min", "lasted_s=3", "# \"why\" \\ ü", "all", "0:30", "60"))
		}
		first := pick("", "", "", "method thd1", "method", "load a4 b4", "load", "channels", "order out_v supply_v", "order", "freq", "with", "read-as", "invalid", "mark", "show", "help", "y", "n", "skip", "=", "#")
		line := first + " " + strings.Join(words, " ")
		if n := random.Intn(20); n < len(usual) {
			line = strings.Replace(usual[n], "17.40", fmt.Sprintf("17.%d", 30+random.Intn(60)), 1)
		}
		r := d.Take(line, day)
		now := contents(t, file)
		if !strings.HasPrefix(now, before) {
			t.Fatalf("%s: what stood in the record was changed", line)
		}
		for _, said := range r.Said {
			if runWritten.MatchString(said) {
				told++
			}
		}
		if n := len(runsOf(t, now)); n != 1+told {
			t.Fatalf("%s: %d runs were told of, the record has %d: %q, %v", line, told, n-1, r.Said, r.Err)
		}
		if r.Err != nil && !strings.Contains(r.Err.Error(), "\nhint: ") {
			t.Errorf("%s: no hint: %v", line, r.Err)
		}
		before = now
	}
	if told < 10 {
		t.Errorf("only %d runs were written", told)
	}
}
