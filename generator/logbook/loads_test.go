package logbook

import (
	"strings"
	"testing"
)

// A load is named by ids or by ohms, with any blank and either decimal sign; what is typed
// as a number never becomes another one.
func TestLoadsAreNamed(t *testing.T) {
	bench := benchText + `[[load]]
id = "a2-67"
nominal_ohm = 2.67
ohm = 2.68
ohm_pct = 0.5
[[load]]
id = "8"
nominal_ohm = 8
ohm = 8.01
ohm_pct = 0.5
[[load]]
id = "9"
nominal_ohm = 8
ohm = 8.02
ohm_pct = 0.5
`
	for _, c := range []struct{ line, ids, ohm, refused string }{
		{"load a4 b4", "a4 b4", "", ""},
		{"load a4,b4", "a4 b4", "", ""},
		{"Load a4, b4", "a4 b4", "", ""},
		{"load 8 9", "8 9", "", ""},
		{"load 8,9", "8 9", "", ""}, // both are loads
		{"load 4ohm", "", "4", ""},
		{"load 4 ohm", "", "4", ""},
		{"load 4 Ohms", "", "4", ""},
		{"load 2,67 Ω", "", "2.67", ""},
		{"load 2,67ohm", "", "2.67", ""},
		{"load 0.5 OHM", "", "0.5", ""},
		{"load 2,67", "", "", "there is no load \"2,67\" in bench.toml\nhint: of 2.67 Ω there are a2-67; load 2.67ohm is one that isn't among them"},
		{"load 4", "", "", "there is no load \"4\" in bench.toml\nhint: of 4 Ω there are a4, b4; load 4ohm is one that isn't among them"},
		{"load 3,2", "", "", "there is no load \"3,2\" in bench.toml\nhint: there are a4, b4, a2, a2-67, 8, 9; one that isn't among them is named by its ohms: load 3.2ohm"},
		{"load 2,670 ohm", "", "", "2,670 may be 2.670 or 2670"},
		{"load a4 4ohm", "", "", "there is no load \"4ohm\""},
		{"load 4 4 ohm", "", "", "there is no load \"4\""},
	} {
		root, _ := newSite(t, bench, recordText)
		d := begin(t, root)
		r := d.Take(c.line, day)
		got := ""
		if r.Err != nil {
			got = r.Err.Error()
		}
		if strings.Join(d.loads, " ") != c.ids || d.loadOhm != c.ohm || !strings.HasPrefix(got, c.refused) || (got == "") != (c.refused == "") {
			t.Errorf("%s: loads %q, ohms %q, %s", c.line, d.loads, d.loadOhm, got)
		}
		d.book.Close()
	}
}

// A planned run whose load the bench lacks says which ohms to name.
func TestLoadThatThePlanNames(t *testing.T) {
	root, _ := newSite(t, benchText, strings.Replace(recordText, "load_ohm = 4", "load_ohm = 2.67", 1))
	d := beginning(t, root, true)
	r := d.Take(good, day)
	if r.Err == nil || !strings.HasPrefix(r.Err.Error(), "no load is named yet\nhint: load 2.67ohm, as the plan says, or a load of bench.toml for each driven channel; there are a4, b4, a2") {
		t.Errorf("it says %v", r.Err)
	}
	must(t, d, "load 2.67ohm", "14.1 14.1 1.00 1.00 14.39 17.8")
}

// Words and outcomes are taken as telephones write them; a remark stays as typed.
func TestWordsWithCapitals(t *testing.T) {
	root, file := newSite(t, benchText, recordText+runText7)
	d := begin(t, root)
	must(t, d, "Show", "PROTECTED supply_v=14.2", "Invalid The Lid was off")
	if r := runsOf(t, contents(t, file)); len(r) != 2 || r[1].Outcome != "protected" || r[1].Invalid != "The Lid was off" {
		t.Errorf("%+v", r)
	}
}

// The way to give a shutdown its supply voltage is that of the unit's own supply.
func TestSupplyOfAShutdown(t *testing.T) {
	for supply, want := range map[string]string{"dc": "protected supply_v=14.4", "mains": "protected supply_v=230"} {
		root, _ := newSite(t, benchText, strings.Replace(recordText, `class = "AB"`, `class = "AB"`+"\nsupply = \""+supply+`"`, 1)+runText7)
		d := begin(t, root)
		r := d.Take("protected", day)
		if n := len(r.Said); n < 3 || r.Said[n-2] != "invalid no supply voltage" || r.Said[n-1] != want {
			t.Fatalf("%s: %q, %v", supply, r.Said, r.Err)
		}
		if contains(r.Said, "ended-without-supply") {
			t.Errorf("%s: it is told twice: %q", supply, r.Said)
		}
		if supply == "dc" { // the bench has no meter for the mains
			must(t, d, r.Said[len(r.Said)-2:]...)
		}
	}
}

// A supply that reads far off is asked about as what it is: the mains are AC.
func TestDoubtOfTheMains(t *testing.T) {
	for _, row := range []struct{ supply, line, asks string }{
		{"dc", "17.40 17.39 1.00 1.00 31.0 17.8", "is it on DC, read at the unit's terminals?"},
		{"mains", "17.40 17.39 1.00 1.00 101 260", "is it on AC, read where the unit's lead is plugged in?"},
	} {
		text := strings.Replace(recordText, `class = "AB"`, `class = "AB"`+"\nsupply = \""+row.supply+`"`, 1)
		bench := strings.Replace(benchText, "[[instrument]]\nid = \"clamp\"", "[[instrument]]\nid = \"plug\"\nname = \"plug\"\n[[instrument.range]]\nreads = \"supply_w\"\nto = 3000\nreading_pct = 1\n[[instrument]]\nid = \"clamp\"", 1)
		if row.supply == "mains" {
			text = strings.Replace(text, "supply_v = 14.4", "supply_v = 230", 1)
			bench = strings.Replace(bench, "to = 60\n", "to = 300\n", 1)
		}
		root, _ := newSite(t, bench, text)
		d := begin(t, root)
		must(t, d, "method thd1", "load a4 b4")
		if r := d.Take(row.line, day); r.Err != nil || !contains(r.Said, row.asks) {
			t.Errorf("%s: %q, %v", row.supply, r.Said, r.Err)
		}
	}
}
