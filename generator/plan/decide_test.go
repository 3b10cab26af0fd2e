package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A run of the demo, typed as a tester types it, that reads what a plan says is short,
// met, or a bit to the undecided side of either: the sheet decides it so. The volts
// come from the load as bench.toml states it, by hand.
func TestBoundsAreWhatTheSheetDecides(t *testing.T) {
	c := planned().content
	checked := 0
	for n, rec := range c.Records {
		p := planned().plans[n]
		for i, planned := range p.Claims {
			if planned.Can != "both" || len(planned.Runs) != 1 || rec.Claims[i].Driven.Given() {
				continue
			}
			r := p.Runs[planned.Runs[0]-1]
			checked++
			step := planned.ClaimW * 0.0001
			for _, row := range []struct {
				watts Number
				want  verdict.Word
			}{
				{*planned.ShortUpToW, verdict.Short}, {*planned.ShortUpToW + step, verdict.Open},
				{*planned.MetFromW, verdict.Met}, {*planned.MetFromW - step, verdict.Open},
			} {
				if got := decidedAs(t, c, rec, &rec.Claims[i], r, float64(row.watts)); got != row.want {
					t.Errorf("%s, %s: %v W of %v W are %s, want %s", rec.Slug, planned.ID, row.watts, planned.ClaimW, got, row.want)
				}
			}
		}
	}
	t.Logf("%d claims", checked)
	if checked < 30 {
		t.Errorf("only %d claims were checked", checked)
	}
}

// decidedAs types a run that gives so many watts in each channel, and evaluates it.
func decidedAs(t *testing.T, c *record.Content, rec *record.Record, claim *record.Claim, r *Run, watts float64) verdict.Word {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, "[unit]\nmaker = 'x'\nmodel = 'y'\nchannels = [%s]\nsupply = %q\n[source]\nhow = 'own'\nfrom = 'nobody'\n", quoted(rec.Unit.Channels), rec.Unit.Supply)
	fmt.Fprintf(&b, "[[claim]]\nid = 'c'\npower_w = %v\nload_ohm = %v\nchannels = %v\nbridged = %t\nsignal = %q\n", claim.PowerW.Value, claim.LoadOhm.Value, claim.Channels.Value, claim.Bridged, claim.Signal)
	for key, n := range map[string]record.Number{"supply_v": claim.SupplyV, "thdn_pct": claim.ThdnPct, "duration_s": claim.DurationS} {
		if n.Given() {
			fmt.Fprintf(&b, "%s = %v\n", key, n.Value)
		}
	}
	var loads, driven, volts, thdn []string
	for _, o := range r.Outputs {
		l := c.Bench.Load(o.Load)
		hot := l.Ohm.Value * (1 + l.TempcoPPM.Value*1e-6*(l.HotC.Value-l.AtC.Value))
		v := math.Sqrt(watts / (1 + l.LeadOhm.Value/hot) * hot)
		loads, driven = append(loads, o.Load), append(driven, o.Channel)
		volts, thdn = append(volts, fmt.Sprintf("%.12f", v)), append(thdn, fmt.Sprint(float64(r.ThdnPct)))
	}
	fmt.Fprintf(&b, "[[run]]\nid = 'r'\nmethod = '%s'\nload = [%s]\ndriven = [%s]\nout_v = [%s]\nthdn_pct = [%s]\nsupply_v = %v\nfreq_hz = %v\nat = 2026-10-09T09:00:00Z\nambient_c = 23\n",
		r.Method, quoted(loads), quoted(driven), strings.Join(volts, ", "), strings.Join(thdn, ", "), float64(r.Supply.V), float64(r.FreqHz))
	var with []string
	for _, m := range r.Meters {
		if name := fmt.Sprintf("%s = %q", m.Reads, m.Instrument); m.Other && !slices.Contains(with, name) {
			with = append(with, name)
		}
	}
	if len(with) > 0 {
		fmt.Fprintf(&b, "with = { %s }\n", strings.Join(with, ", "))
	}
	if r.Signal == "burst" {
		b.WriteString("read_as = { supply_v = 'held-min' }\n")
	}
	typed, problems := record.DecodeRecord(&record.File{Name: "record.toml", Text: []byte(b.String())}, "typed")
	content := *c
	content.Records = append(slices.Clone(c.Records), typed)
	if all := append(problems, content.Check()...); all.Errors() {
		t.Fatal(all.Error(), b.String())
	}
	return sheet.Evaluate(&content, typed).Claims[0].Verdict
}

func quoted(names []string) string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = "'" + n + "'"
	}
	return strings.Join(out, ", ")
}

// What the bench can't decide, it says, with the reason.
func TestWhatCannotBeDecided(t *testing.T) {
	full := func(f fixture) fixture { return f }
	for _, row := range []struct {
		name string
		of   fixture
		can  string
		says string
	}{
		{"both", with(claim("c", "100", "4")), "both", ""},
		{"a band of frequencies", with(claim("c", "100", "4", "freq_hz = [20, 20000]")), "short", "can't be called met"},
		{"no method lasts as long", with(claim("c", "100", "4", "duration_s = 600")), "neither", "No method of methods.toml answers it"},
		{"no instrument reads within the burst", with(claim("c", "100", "4", "signal = 'burst'")), "neither", "not read as the signal needs it"},
		{"no supply voltage is assumed", full(with(strings.Replace(claim("c", "100", "4"), "supply_v = 14.4\n", "", 1))).but("supply_dc_v = 14.4\n", ""), "neither", "names no supply voltage"},
		{"distortion isn't read", with(claim("c", "100", "4")).but("thdn_pct = \"analyser\"\n", "").but("id = \"analyser\"", "id = \"other\"").but("\"thdn_pct\", to = 30", "\"load_c\", to = 30"), "neither", "no specified instrument"},
		{"distortion isn't read, but one method clips", with(claim("c", "100", "4")).but("thdn_pct = \"analyser\"\n", "").but("id = \"analyser\"", "id = \"other\"").but("\"thdn_pct\", to = 30", "\"load_c\", to = 30").but("thdn_pct = 10", "into_clipping = true"), "short", "has no instrument that reads thdn_pct"},
		{"a pool that hides it all", with(claim("c", "100", "4")).but("rel_pct = 0.8", "rel_pct = 99"), "neither", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			c := row.of.plan(t).Claims[0]
			if c.Can != row.can || !strings.Contains(c.Why, row.says) {
				t.Errorf("it can say %s: %s", c.Can, c.Why)
			}
			if (c.ShortUpToW != nil) != (c.Can == "both" || c.Can == "short") || (c.MetFromW != nil) != (c.Can == "both" || c.Can == "met") {
				t.Errorf("the bounds are %v and %v", c.ShortUpToW, c.MetFromW)
			}
		})
	}
}

// A claim without a method, and one that can't be decided, are flagged at the top; what
// its runs are beyond stands at a claim.
func TestFlagsOfClaims(t *testing.T) {
	for id, f := range map[string]fixture{"no-method": with(claim("c", "100", "4", "duration_s = 600")), "cannot-decide": with(claim("c", "100", "4", "signal = 'burst'"))} {
		p := f.plan(t)
		if len(p.Flags) != 1 || p.Flags[0].ID != id || !strings.Contains(p.Flags[0].Text, "claim c: ") {
			t.Errorf("%s: the flags are %+v", id, p.Flags)
		}
	}
	p := with(claim("c", "100", "8"), claim("d", "100", "4")).plan(t)
	if c := p.Claims[0]; !slices.Equal(c.Provided, []string{"run 1: no-load"}) || p.Claims[1].Provided != nil || len(p.Flags) != 0 {
		t.Errorf("the claims hold with %v and %v; flags %v", c.Provided, p.Claims[1].Provided, p.Flags)
	}
}

// A claim that doesn't state its distortion is planned at 10 %, too: else it could
// never be called short.
func TestUnstatedDistortionIsPlannedAtTen(t *testing.T) {
	p := with(strings.Replace(claim("c", "100", "4"), "thdn_pct = 1\n", "", 1)).plan(t)
	var methods []string
	for _, r := range p.Runs {
		methods = append(methods, r.Method)
	}
	if c := p.Claims[0]; !slices.Equal(methods, []string{"thd1", "thd10"}) || c.Can != "both" {
		t.Errorf("the runs are by %v, and it can say %s: %s", methods, c.Can, c.Why)
	}
}

// With a supply that stands too low less can be called short, and as much met: carried
// up to the claim's voltage a unit may have given up to the voltages' ratio to the
// power of 2.6 more, or no more at all.
func TestALowSupplyTellsLess(t *testing.T) {
	c := with(claim("c", "200", "4")).plan(t).Claims[0]
	if c.LowShortUpToW == nil || c.LowMetFromW == nil || c.LowPct != 2 {
		t.Fatalf("there are no bounds: %+v", c)
	}
	ratio := float64(*c.LowShortUpToW / *c.ShortUpToW)
	if want := math.Pow(0.98, 2.6); math.Abs(ratio-want) > 2e-3 || math.Abs(float64(*c.LowMetFromW / *c.MetFromW - 1)) > 2e-3 {
		t.Errorf("short up to %v and met from %v, at the claim's voltage %v and %v", *c.LowShortUpToW, *c.LowMetFromW, *c.ShortUpToW, *c.MetFromW)
	}
}

// A better meter tells a smaller shortfall.
func TestABetterBenchTellsLess(t *testing.T) {
	last := 0.0
	for _, reading := range []string{"0.1", "0.5", "1", "3"} {
		c := with(claim("c", "200", "4")).but("to = 199.9, reading_pct = 0.5", "to = 199.9, reading_pct = "+reading).plan(t).Claims[0]
		if got := float64(*c.ShortfallPct); got <= last {
			t.Errorf("±%s %% of reading: %v, before %v", reading, got, last)
		} else {
			last = got
		}
	}
}
