package sheet

import (
	"strings"
	"testing"
)

// Each slip by a decimal point or a unit that a figure of a record tells by another: one that
// is found, and one that comes close.
func TestSlips(t *testing.T) {
	unit := func(keys string) string { return strings.Replace(testUnit, "[source]", keys+"\n[source]", 1) }
	spec := func(keys string) string {
		return "\n[[spec]]\nid = \"s\"\nname = \"width\"\nunit = \"mm\"\npm = 0.01\n" + keys + "\n"
	}
	thermal := func(keys string) string { return "\n[[thermal]]\nspot = \"fin\"\n" + keys + "\n" }
	shop := func(price string) string {
		return "\n[[shop]]\nname = \"a shop\"\nlink = \"https://shop.example/\"\nprice = " + price + "\n"
	}
	claimed := func(keys string) string {
		return "\n[[claim]]\nid = \"d\"\npower_w = 75\nload_ohm = 4\nchannels = 1\nsupply_v = 14.4\n" + keys + "\n"
	}
	const plainUnit = testUnit
	for _, r := range []struct{ id, provokesUnit, provokes, closeUnit, close string }{
		{"spec-far-off", plainUnit, spec("limit = \"about\"\nstated = 250\nmeasured = [251, 25.1]"), plainUnit, spec("limit = \"about\"\nstated = 250\nmeasured = [251, 63]")},
		{"spec-far-off", plainUnit, spec("limit = \"at-least\"\nstated = 100\nmeasured = 9.6"), plainUnit, spec("limit = \"at-least\"\nstated = 100\nmeasured = 960")},
		{"spec-far-off", plainUnit, spec("limit = \"at-most\"\nstated = 0.5\nmeasured = 4.1"), plainUnit, spec("limit = \"at-most\"\nstated = 0.5\nmeasured = 0.01")},
		{"spec-far-off", plainUnit, spec("limit = \"between\"\nstated = 2\nstated_to = 40\nmeasured = 161"), plainUnit, spec("limit = \"between\"\nstated = 2\nstated_to = 40\nmeasured = 159")},
		{"spec-far-off", plainUnit, spec("limit = \"about\"\nstated = 3\nmeasured = 0.3"), plainUnit, spec("limit = \"about\"\nstated = -3\nmeasured = -30")}, // decibels have no ratio
		{"temperature-odd", plainUnit, thermal("temp_c = [38, 384]\nat_min = [0, 1]"), plainUnit, thermal("temp_c = [38, 149]\nat_min = [0, 1]")},
		{"temperature-odd", plainUnit, thermal("temp_c = 3.84\nambient_c = 23"), plainUnit, thermal("temp_c = 21\nambient_c = 23")},
		{"temperature-odd", plainUnit, thermal("temp_c = 38\nambient_c = 2.3"), plainUnit, thermal("temp_c = 38\nambient_c = 9")},
		{"temperature-odd", plainUnit, run("a", "ambient_c = 2.2"), plainUnit, run("a", "ambient_c = 5")},
		{"temperature-odd", plainUnit, run("a", "ambient_c = 22", "load_c = 6.9"), plainUnit, run("a", "ambient_c = 22", "load_c = 18")},
		// 1 % that is written as 0.1 %, alone and beside a repeat of the same power
		{"distortion-below-method", plainUnit, run("a", "thdn_pct = 0.10"), plainUnit, run("a", "thdn_pct = 0.50")},
		{"distortion-below-method", plainUnit, run("a", "thdn_pct = 0.10") + run("b"), plainUnit, run("a", "thdn_pct = 0.10", "out_v = 15") + run("b")}, // a series
		{"distortion-below-method", plainUnit, run("a", "thdn_pct = 0.10", "out_v = 15", "supply_v = 12.6") + run("b"), plainUnit, run("a", "thdn_pct = 0.10", "out_v = 15", "supply_v = 14.2") + run("b")},
		{"distortion-below-method", plainUnit, claimed("thdn_pct = 1") + run("a", "thdn_pct = 0.10"), plainUnit, claimed("thdn_pct = 0.1") + run("a", "thdn_pct = 0.10")},
		{"distortion-below-method", plainUnit, claimed("thdn_pct = 1") + run("a", "thdn_pct = 0.10"), plainUnit, claimed("thdn_pct = 1") + run("a", "thdn_pct = 0.10", "out_v = 17.4")}, // 75.7 W
		// at the claimed power, where a repeat says otherwise
		{"distortion-below-method", plainUnit, claimed("thdn_pct = 1") + run("a", "thdn_pct = 0.10", "out_v = 17.4") + run("b", "out_v = 17.41"), plainUnit, claimed("thdn_pct = 1") + run("a", "thdn_pct = 0.10", "out_v = 17.4") + run("b", "out_v = 19")},
		// 81 W of 14.4·60 W are 9.4 %, of 14.4·54 W 10.4 %
		{"efficiency-far-below", plainUnit, run("a", "supply_a = 60"), plainUnit, run("a", "supply_a = 54")},
		{"efficiency-far-below", plainUnit, run("a", "supply_a = 60"), plainUnit, run("a", "supply_a = 60", "thdn_pct = 0.2")},
		{"price-far-off", unit("price = 34.5"), shop("345"), unit("price = 34.5"), shop("345") + shop("33")},
		{"price-far-off", unit("price = 345"), shop("34.5"), unit("price = 345"), shop("120")},
		// 5.87 kg in 5.2 l are 1.1 kg/l; a height of 6.1 mm would make it 11, of 610 mm 0.11
		{"mass-and-size", unit("mass_kg = 5.87\nsize_mm = [398, 6.1, 214]"), "", unit("mass_kg = 5.87\nsize_mm = [398, 61, 214]"), ""},
		{"mass-and-size", unit("mass_kg = 5.87\nsize_mm = [398, 610, 214]"), "", unit("mass_kg = 5.87"), ""},
		{"lowest-load-odd", unit("lowest_ohm = 2\nlowest_bridged_ohm = 0.4"), "", unit("lowest_ohm = 2\nlowest_bridged_ohm = 4"), ""},
		{"lowest-load-odd", unit("lowest_ohm = 2\nlowest_bridged_ohm = 40"), "", unit("lowest_ohm = 2\nlowest_bridged_ohm = 16"), ""},
		{"lowest-load-odd", unit("lowest_ohm = 0.4"), claim75, unit("lowest_ohm = 1"), claim75},
		// 75 W take 5.2 A at 14.4 V
		{"fuses-far-above", unit("fuses_a = [20, 20]"), claim75, unit("fuses_a = [15, 15]"), claim75},
	} {
		found := func(unit, rest string) bool {
			return hasFinding(evaluateUnit(t, "currency = \"EUR\"\n"+testSite, unit, rest).Findings, r.id)
		}
		if !found(r.provokesUnit, r.provokes) {
			t.Errorf("%s isn't found in %s%s", r.id, strings.TrimPrefix(r.provokesUnit, testUnit), r.provokes)
		}
		if found(r.closeUnit, r.close) {
			t.Errorf("%s is found in %s%s, which only comes close", r.id, strings.TrimPrefix(r.closeUnit, testUnit), r.close)
		}
	}
}

// A run that is logged by itself has the findings that it has in the whole sheet.
func TestSlipsOfARunByItself(t *testing.T) {
	for id, text := range map[string]string{
		"supply-far-off":          run("a", "supply_v = 4.4"),
		"distortion-below-method": run("a", "thdn_pct = 0.10"),
		"temperature-odd":         run("a", "ambient_c = 2.2"),
	} {
		s := evaluateUnit(t, testSite, testUnit, text)
		if part := EvaluateRun(s.Content, s.Record, 0); !hasFinding(s.Findings, id) || !hasFinding(part.Findings, id) {
			t.Errorf("%s: the sheet has %v, the run by itself %v", id, s.Findings, part.Findings)
		}
	}
}
