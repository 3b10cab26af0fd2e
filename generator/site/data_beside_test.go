package site

import (
	"testing"

	"wattsheet/generator/record"
)

// Claims of several units stand beside each other where they are for the same: by load,
// bridging, how many channels are driven, signal, duration, band and distortion; what a
// label says of the channels or the page it is printed on doesn't tell them apart.
func TestClaimsAreForTheSame(t *testing.T) {
	claims := decodedClaims(t, `
[[claim]]
id = "plain"
load_ohm = 4
channels = 4
power_w = 60
thdn_pct = 1
[[claim]]
id = "silent"
load_ohm = 4
channels = 4
power_w = 60
supply_v = 13.8
[[claim]]
id = "some-of-all"
load_ohm = 4
channels = 2
of = ["a", "b"]
driven = 4
power_w = 60
[[claim]]
id = "one"
load_ohm = 4
channels = 1
power_w = 70
[[claim]]
id = "two"
load_ohm = 4
channels = 2
power_w = 65
[[claim]]
id = "bridged"
load_ohm = 4
channels = 2
bridged = true
power_w = 160
[[claim]]
id = "one-pair"
load_ohm = 4
channels = 1
bridged = true
power_w = 170
[[claim]]
id = "burst"
load_ohm = 4
channels = 4
power_w = 80
signal = "burst"
[[claim]]
id = "long"
load_ohm = 4
channels = 4
power_w = 50
duration_s = 300
[[claim]]
id = "band"
load_ohm = 4
channels = 4
power_w = 50
freq_hz = [20, 20000]
[[claim]]
id = "ten"
load_ohm = 4
channels = 4
power_w = 75
thdn_pct = 10
`)
	assume := &record.Assume{ThdnPct: claims.Claims[0].ThdnPct}
	ohm := "4" + nbsp + "Ω"
	for i, want := range []string{
		ohm, ohm, ohm, ohm + ", one channel driven", ohm + ", 2 channels driven", ohm + " bridged", ohm + " bridged, one pair driven", ohm + ", burst",
		ohm + ", 300" + nbsp + "s", ohm + ", over a band", ohm + ", 10" + nbsp + "% THD+N",
	} {
		c := &claims.Claims[i]
		if got := claimedFor(c, &claims.Unit, assume); got != want {
			t.Errorf("%s is for %q, want %q", c.ID, got, want)
		}
	}
	// On a site that assumes no distortion a claim that names none is for something else.
	if got := claimedFor(&claims.Claims[1], &claims.Unit, &record.Assume{}); got != ohm+", distortion not stated" {
		t.Errorf("without an assumption: %q", got)
	}
	if got := claimedFor(&claims.Claims[0], &claims.Unit, &record.Assume{}); got != ohm+", 1"+nbsp+"% THD+N" {
		t.Errorf("stated, without an assumption: %q", got)
	}
}

// decodedClaims is the record of a four-channel unit with some claims.
func decodedClaims(t *testing.T, claims string) *record.Record {
	t.Helper()
	rec, problems := record.DecodeRecord(&record.File{Name: "record.toml", Text: []byte("[unit]\nmaker = \"Mossfettle\"\nmodel = \"Jar 4\"\nchannels = [\"a\", \"b\", \"c\", \"d\"]\n[source]\nhow = \"bought\"\nfrom = \"a shop\"\n" + claims)}, "jar-4")
	if problems.Errors() {
		t.Fatal(problems)
	}
	return rec
}
