package plan

import (
	"slices"
	"strings"
	"testing"
)

// Each flag has content that raises it, and content that comes close and doesn't.
func TestFlags(t *testing.T) {
	four := with(claim("c", "100", "4"))
	for _, row := range []struct {
		id          string
		raises, not fixture
		says        string
	}{
		{"output-above-50-v-ac", with(claim("c", "626", "4")).but("max_w = 300", "max_w = 900"), with(claim("c", "625", "4")), "above 50 V AC"},
		{"output-near-50-v-ac", with(claim("c", "522", "4")), with(claim("c", "520", "4")), "exceeds 50 V AC"},
		{"bridged-output", with(claim("c", "100", "4", "bridged = true")), four, "neither side"},
		{"below-lowest-load", with(claim("c", "100", "1.9")), with(claim("c", "100", "2")), "1.9 Ω is below the maker's lowest load of 2 Ω"},
		{"below-lowest-load", with(claim("c", "100", "2", "bridged = true")), with(claim("c", "100", "4", "bridged = true")), "2 Ω is below the maker's lowest load of 4 Ω"},
		{"no-load", with(claim("c", "100", "8")), four, "a4 and b4 in series"},
		{"no-load", with(claim("c", "100", "1")), four, "a2 and b2 in parallel"},
		{"no-load", with(claim("c", "100", "3")), four, "no two free elements"},
		{"no-load", with(strings.Replace(claim("c", "50", "2"), "channels = 1", "channels = 2", 1)).but("[[load]]\nid = \"b2\"", "[[load]]\nid = \"b2\"\nname = \"five\"").but("nominal_ohm = 2\nohm = 1.995", "nominal_ohm = 5\nohm = 5"), with(strings.Replace(claim("c", "50", "2"), "channels = 1", "channels = 2", 1)), "channel R: no free load of 2 Ω in bench.toml; two of the bank would make it: a4 and b4 in parallel"},
		{"load-unrated", four.but("max_w = 300\n", ""), four, "doesn't say what a4 can take"},
		{"load-over-rating", with(claim("c", "301", "4")), with(claim("c", "300", "4")), "a4 would take 301 W and is rated for 300 W; two of the bank would make it: a2 and b2 in series"},
		{"no-supply", with(strings.Replace(claim("c", "100", "4"), "14.4", "12.6", 1)), with(strings.Replace(claim("c", "100", "4"), "14.4", "13.2", 1)), "within 10 % of 12.6 V"},
		{"supply-unrated", four.but("amps = 100\n", ""), four, "how much bank gives"},
		{"current-above-supply", with(claim("c", "1153", "4")), with(claim("c", "1152", "4")), "bank gives 100 A"},
		{"current-above-fuses", with(claim("c", "692", "4")), with(claim("c", "691", "4")), "the unit's own fuses add up to 60 A"},
		{"beyond-clamp-range", with(claim("c", "692", "4")), with(claim("c", "691", "4")), "clamp goes up to 60 A"},
		{"little-headroom", with(claim("c", "577", "4")), with(claim("c", "575", "4")), "supply_a"},
		{"beyond-range", with(claim("c", "100", "4")).but("to = 199.9", "to = 19.98"), four, "out_v: 20.0 V expected, volts goes up to 19.99 V"},
		{"beyond-bandwidth", with(claim("c", "100", "4", "freq_hz = 20001")), with(claim("c", "100", "4", "freq_hz = 20000")), "out_v, volts is specified up to 20 kHz"},
		{"harmonics-beyond-band", with(claim("c", "100", "4", "freq_hz = 6667")).but("id = \"analyser\"\n", "id = \"analyser\"\nbandwidth_hz = 20000\n"), with(claim("c", "100", "4", "freq_hz = 6666")).but("id = \"analyser\"\n", "id = \"analyser\"\nbandwidth_hz = 20000\n"), "thdn_pct, analyser is specified up to 20 kHz: the third harmonic of 6.667 kHz is at 20.001 kHz"},
		{"beyond-shortest-burst", with(claim("c", "100", "4", "signal = 'burst'")), with(claim("c", "100", "4", "signal = 'burst'")).but("id = \"volts\"\n", "id = \"volts\"\nshortest_burst_ms = 20\n").but("id = \"dc\"\n", "id = \"dc\"\nshortest_burst_ms = 20\n").but("id = \"analyser\"\n", "id = \"analyser\"\nshortest_burst_ms = 20\n"), "not stated to read bursts of 20 ms"},
		{"beyond-crest-factor", with(claim("c", "100", "4", "signal = 'burst'")).but("id = \"volts\"\n", "id = \"volts\"\ncrest_factor = 3\n"), with(claim("c", "100", "4", "signal = 'burst'")).but("id = \"volts\"\n", "id = \"volts\"\ncrest_factor = 7\n"), "the signal has 7.1"},
		{"no-instrument", four.but("supply_a = \"clamp\"\n", "").but("[[instrument]]\nid = \"clamp\"\nname = \"clamp\"\nrange = [{ reads = \"supply_a\", to = 60, reading_pct = 1 }]\n", ""), four, "reads supply_a"},
		{"calibration-past", four.but("2027-01-01", "2026-10-08"), four.but("2027-01-01", "2026-10-09"), "held until 2026-10-08"},
		{"lead-drop", four.but("amps = 100\n", "amps = 100\nlead_awg = \"14\"\nlead_m = 5\n"), four.but("amps = 100\n", "amps = 100\nlead_awg = \"10\"\nlead_m = 5\n"), "more than 5 % of 14.4 V"},
		{"efficiency-above-class-b", four.but("class = \"D\"", "class = \"AB\"").but("[[supply]]", "[[expect]]\nclass = \"AB\"\nefficiency_pct = 80.5\n[[supply]]"), four.but("class = \"D\"", "class = \"AB\"").but("[[supply]]", "[[expect]]\nclass = \"AB\"\nefficiency_pct = 80.2\n[[supply]]"), "an ideal class B stage has 80.3 % here"},
	} {
		t.Run(row.id, func(t *testing.T) {
			r := row.raises.plan(t).Runs[0]
			i := slices.IndexFunc(r.Flags, func(f Flag) bool { return f.ID == row.id })
			if i < 0 {
				t.Fatalf("isn't raised; there are %v", r.ids())
			}
			text := strings.ReplaceAll(r.Flags[i].Text, nbsp, " ")
			if !strings.Contains(text, row.says) || r.Flags[i].Caution == "" {
				t.Errorf("says %q, want %q and a caution", text, row.says)
			}
			if others := row.not.plan(t).Runs[0].ids(); slices.Contains(others, row.id) {
				t.Errorf("is raised beside the limit: %v", others)
			}
		})
	}
}

// Elements of the bank that were named for one channel aren't free for the next.
func TestBankIsNamedOnce(t *testing.T) {
	both := with(strings.Replace(claim("c", "100", "8"), "channels = 1", "channels = 2", 1))
	var says []string
	for _, f := range both.plan(t).Runs[0].Flags {
		if f.ID == "no-load" {
			says = append(says, strings.ReplaceAll(f.Text, nbsp, " "))
		}
	}
	if len(says) != 2 || !strings.Contains(says[0], "a4 and b4 in series") || !strings.Contains(says[1], "no two free elements") {
		t.Errorf("the bank is said to make %q", says)
	}
}

// What is the same of several channels is said once.
func TestChannelsLackingALoad(t *testing.T) {
	both := with(strings.Replace(claim("c", "100", "16"), "channels = 1", "channels = 2", 1))
	var says []string
	for _, f := range both.plan(t).Runs[0].Flags {
		if f.ID == "no-load" {
			says = append(says, strings.ReplaceAll(f.Text, nbsp, " "))
		}
	}
	if want := "channels L, R: no free load of 16 Ω in bench.toml; no two free elements of the bank make one that takes the heat"; len(says) != 1 || says[0] != want {
		t.Errorf("it says %q", says)
	}
}

// So are the lines of what they give: the bank has two loads of 4 Ω, and one channel of
// four stands alone with its own claim.
func TestChannelsAlike(t *testing.T) {
	four := with(strings.Replace(claim("c", "100", "4"), "channels = 1", "channels = 4", 1)).but(`channels = ["L", "R"]`, `channels = ["A", "B", "C", "D"]`)
	var got []string
	for _, line := range four.plan(t).Runs[0].OutputLines() {
		into, _, _ := strings.Cut(line, ":")
		got = append(got, into)
	}
	if want := "A into a4; B into b4; C, D each into a load that bench.toml doesn't have"; strings.Join(got, "; ") != want {
		t.Errorf("it says %q", got)
	}
}

// What a site doesn't assume is named, not a better meter.
func TestWhatASiteDoesntAssume(t *testing.T) {
	unstated := strings.Replace(claim("c", "100", "4"), "supply_v = 14.4\n", "", 1)
	undistorted := strings.Replace(claim("c", "100", "4"), "thdn_pct = 1\n", "", 1)
	for _, row := range []struct {
		of   fixture
		want string
	}{
		{with(unstated), "supply_dc_v in [assume] of site.toml is needed"},
		{with(unstated).but(`class = "D"`, "class = \"D\"\nsupply = \"mains\""), "supply_mains_v in [assume] of site.toml is needed"},
		{with(undistorted), "thdn_pct in [assume] of site.toml is needed"},
	} {
		row.of.site = "title = 'Plans'\ntester = 'nobody'\n"
		p := row.of.plan(t)
		if len(p.Flags) != 1 || p.Flags[0].ID != "cannot-decide" || !strings.HasPrefix(p.Flags[0].Caution, row.want) {
			t.Errorf("want %s, there are %+v", row.want, p.Flags)
		}
	}
}

// Watts that the fuses can't feed even without a loss may be those of all channels
// together: two of 450 W take 62.5 A at 14.4 V, of 430 W 59.7 A; the fuses are for 60 A.
func TestWattsOfAllChannels(t *testing.T) {
	for watts, want := range map[string]bool{"450": true, "430": false} {
		both := with(strings.Replace(claim("c", watts, "4"), "channels = 1", "channels = 2", 1))
		asked := false
		for _, f := range both.plan(t).Runs[0].Flags {
			asked = asked || f.ID == "current-above-fuses" && strings.Contains(f.Caution, "all channels together?")
		}
		if asked != want {
			t.Errorf("of two channels of %s W it is asked: %v", watts, asked)
		}
	}
}

// A fuse of an odd rating is flagged for the unit, once.
func TestUnusualFuse(t *testing.T) {
	p := with(claim("c", "100", "4")).but("[30, 30]", "[30, 32]").plan(t)
	if len(p.Flags) != 1 || p.Flags[0].ID != "unusual-fuse" || !strings.Contains(p.Flags[0].Text, "fuse 2 of the record is for 32") {
		t.Errorf("the flags are %+v", p.Flags)
	}
	if p := with(claim("c", "100", "4")).plan(t); len(p.Flags) != 0 {
		t.Errorf("the flags are %+v", p.Flags)
	}
}

// What is dangerous stands beside the figure in the text and on the page.
func TestCautionsStandBeside(t *testing.T) {
	p := with(claim("c", "2000", "1.9", "bridged = true")).plan(t)
	if len(p.Runs[0].Flags) < 6 {
		t.Fatalf("only %v", p.Runs[0].ids())
	}
	text := squeezed(strings.Join(p.Text(), "\n"))
	page := squeezed(string(p.Page()))
	for _, c := range p.Cautions {
		if !strings.Contains(text, squeezed(c)) {
			t.Errorf("the text has no %q", c)
		}
	}
	for _, f := range p.Runs[0].Flags {
		if want := squeezed("! " + f.ID + ": " + f.Text + ". " + f.Caution); !strings.Contains(text, want) {
			t.Errorf("the text has no %q", want)
		}
		if !strings.Contains(page, "<strong>"+f.ID+"</strong>") {
			t.Errorf("the page has no %q", f.ID)
		}
	}
	for _, want := range []string{"never permission", "local codes", "qualified persons", "Load banks burn", "Batteries vent", "hearing"} {
		if !strings.Contains(text, want) || !strings.Contains(page, want) {
			t.Errorf("the text or the page doesn't say %q", want)
		}
	}
}

// squeezed is a text with single blanks.
func squeezed(text string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(text, nbsp, " ")), " ")
}
