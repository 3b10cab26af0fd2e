package logbook

import (
	"strings"
	"testing"
)

// twoClaims is a unit with a claim at 4 Ω and one for its bridged pair.
const twoClaims = recordText + `
[[claim]]
id = "bridged"
power_w = 220
load_ohm = 4
channels = 1
bridged = true
supply_v = 14.4
thdn_pct = 1
`

// A record without a run begins where its plan does; next goes on to what isn't made, and
// comes back to what is marked invalid.
func TestNextOfThePlan(t *testing.T) {
	root, file := newSite(t, benchText, twoClaims)
	if d := begin(t, root); d.method != "" {
		t.Errorf("a script is given the set-up %+v", d.setup)
	} else {
		d.book.Close()
	}
	d := beginning(t, root, true)
	if len(d.driven) > 0 || strings.Join(d.loads, " ") != "a4 b4" || d.method != "thd1" {
		t.Fatalf("it begins with %+v", d.setup)
	}
	must(t, d, "17.40 17.39 1.00 1.00 14.39 17.8", "next")
	if got := d.Prompt(); strings.Join(d.driven, " ") != "L+R" || strings.Join(d.loads, " ") != "a4" || got != "r02 (out_v, thdn_pct, supply_v, supply_a): " {
		t.Fatalf("%+v, %q", d.setup, got)
	}
	must(t, d, "29.5 1.00 14.35 26")
	if r := d.Take("next", day); !contains(r.Said, "each run of the plan is made") {
		t.Errorf("%+v", r)
	}
	must(t, d, "invalid the lid was off", "next")
	if r := runsOf(t, contents(t, file)); len(r) != 2 || strings.Join(r[1].Driven, " ") != "L+R" || len(d.driven) != 1 {
		t.Errorf("%+v", r)
	}
}

// A run of the plan can be gone to by its number, in any order and again.
func TestNextByNumber(t *testing.T) {
	root, _ := newSite(t, benchText, twoClaims)
	d := beginning(t, root, true)
	if said := must(t, d, "next 2"); strings.Join(d.driven, " ") != "L+R" || !contains(said, "run 2 of 2 of the plan, for bridged") {
		t.Fatalf("%+v, %q", d.setup, said)
	}
	must(t, d, "29.5 1.00 14.35 26", "next 2")
	if must(t, d, "next"); len(d.driven) > 0 || strings.Join(d.loads, " ") != "a4 b4" {
		t.Errorf("next alone goes on to %+v", d.setup)
	}
	before := d.setup
	for _, line := range []string{"next 0", "next 3", "next two", "next 1 2", "next -1", "next 99999999999999999999"} {
		if r := d.Take(line, day); r.Err == nil || !strings.Contains(r.Err.Error(), "is no run of the plan\nhint: ") || !strings.Contains(r.Err.Error(), "1 for 4-ohm by thd1, 2 for bridged by thd1") || strings.Join(d.loads, " ") != strings.Join(before.loads, " ") {
			t.Errorf("%s: %+v", line, r)
		}
	}
}

// A run at another voltage than the planned one counts for no claim of it: it isn't made.
func TestNextAtAnotherVoltage(t *testing.T) {
	root, _ := newSite(t, benchText, twoClaims)
	for _, c := range []struct {
		volts string
		made  bool
	}{{"12.95", false}, {"12.96", true}, {"15.84", true}, {"15.85", false}} { // 14.4 V ± 10 %
		d := beginning(t, root, true)
		must(t, d, "17.40 17.39 1.00 1.00 "+c.volts+" 17.8")
		if made := d.next() != 0; made != c.made {
			t.Errorf("at %s V: made is %t", c.volts, made)
		}
		must(t, d, "invalid for the next row")
		d.book.Close()
	}
}

// Volts at the claim are √(75·4) = 17.3 V, bridged √(220·4) = 29.7 V (Ohm's law). A meter
// on DC is asked about, and what the clamp reads isn't judged by it.
func TestDoubtOfThePlan(t *testing.T) {
	for _, c := range []struct{ set, line, asks string }{
		{"channels all", "0.4 17.4 1.0 1.0 14.4 17.8", "output L reads 0.4 V, expected about 17 V (claim 4-ohm): is the meter on DC"},
		{"next", "0.3 1.0 14.4 26", "output reads 0.3 V, expected about 30 V (claim bridged)"},
	} {
		root, _ := newSite(t, benchText, twoClaims)
		d := beginning(t, root, true)
		if must(t, d, c.set); c.set == "next" {
			must(t, d, "17.40 17.39 1.00 1.00 14.39 17.8", "next")
		}
		r := d.Take(c.line, day)
		if !r.Asks || !contains(r.Said, c.asks) || contains(r.Said, "supply current") {
			t.Errorf("%s is answered by %q, %v", c.line, r.Said, r.Err)
		}
	}
}

// A shutdown of which only the supply was read doesn't become the order of the next day.
func TestOrderAfterAShutdown(t *testing.T) {
	root, _ := newSite(t, benchText, recordText+runText7)
	d := begin(t, root)
	want := d.Prompt()
	must(t, d, "protected supply_v=14.2")
	d.book.Close()
	if d := begin(t, root); !strings.HasPrefix(d.Prompt(), strings.SplitN(want, "\n", 2)[0]) || len(d.order) < 3 {
		t.Errorf("it asks for %q, before for %q", d.Prompt(), want)
	}
}
