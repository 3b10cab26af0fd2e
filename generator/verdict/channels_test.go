package verdict

import (
	"slices"
	"testing"

	"wattsheet/generator/quantity"
)

// withP returns a channel at the claim's distortion that holds a limit of 500 W
// with the given probability.
func withP(p float64) Channel { return at(500+9.1*quantity.Quantile(p, infinite), 9.1, infinite) }

// Bonferroni's inequality: n looks at one claim, each with the bound 0.05/n,
// find a unit that just holds it short with 0.05 at most. Met asks 0.95 of every
// channel.
func TestChannels(t *testing.T) {
	for _, r := range []struct {
		name    string
		p       []float64
		want    Word
		pMin    float64
		weakest int
	}{
		{"one, p between 0.025 and 0.05", []float64{0.03}, Short, 0.03, 0},
		{"the same beside one that holds", []float64{0.99, 0.03}, Open, 0.03, 1},
		{"both between", []float64{0.03, 0.04}, Open, 0.03, 0},
		{"one below 0.05/2", []float64{0.99, 0.0249}, Short, 0.0249, 1},
		{"one above 0.05/2", []float64{0.99, 0.0251}, Open, 0.0251, 1},
		{"three, below 0.05/3", []float64{0.99, 0.0166, 0.99}, Short, 0.0166, 1},
		{"three, above 0.05/3", []float64{0.99, 0.0167, 0.99}, Open, 0.0167, 1},
		{"five, below 0.05/5", []float64{0.6, 0.5, 0.4, 0.0099, 0.3}, Short, 0.0099, 3},
		{"five, above 0.05/5", []float64{0.6, 0.5, 0.4, 0.0101, 0.3}, Open, 0.0101, 3},
		{"every channel holds", []float64{0.951, 0.96, 0.999}, Met, 0.951, 0},
		{"all but one hold", []float64{0.96, 0.949, 0.999}, Open, 0.949, 1},
		{"one alone that holds is no help", []float64{0.9999, 0.5}, Open, 0.5, 1},
	} {
		var channels []Channel
		for _, p := range r.p {
			channels = append(channels, withP(p))
		}
		got := Decide(usual, 500, single(channels...))
		if got.Word != r.want || !near(got.PMin, r.pMin, 1e-12) || got.Weakest != r.weakest {
			t.Errorf("%s: %s, p %.6f of channel %d; want %s, %v, %d", r.name, got.Word, got.PMin, got.Weakest, r.want, r.pMin, r.weakest)
		}
		slices.Reverse(channels)
		if back := Decide(usual, 500, single(channels...)); back.Word != r.want || back.PMin != got.PMin {
			t.Errorf("%s: %s in the other order", r.name, back.Word)
		}
	}
}

// More power at more distortion: below the claim's distortion the power found is
// less than at it, so it can show a claim met, and above it more, so it can show
// one short (common practice, no source).
func TestClasses(t *testing.T) {
	high, low, close := 530.0, 470.0, 503.0
	both := func(b, a float64) Channel { return Channel{Below: below(b, 9.1).Below, Above: above(a, 9.1).Above} }
	for _, r := range []struct {
		name     string
		channels []Channel
		want     Word
		reasons  []string
	}{
		{"below and high", []Channel{below(high, 9.1)}, Met, nil},
		{"below and low", []Channel{below(low, 9.1)}, Open, []string{Distortion}},
		{"below and close", []Channel{below(close, 9.1)}, Open, []string{Distortion}},
		{"above and low", []Channel{above(low, 9.1)}, Short, nil},
		{"above and high", []Channel{above(high, 9.1)}, Open, []string{Distortion}},
		{"above and close", []Channel{above(close, 9.1)}, Open, []string{Distortion}},
		{"below high, above high", []Channel{both(high, high)}, Met, nil},
		{"below low, above low", []Channel{both(low, low)}, Short, nil},
		{"below low, above high", []Channel{both(low, high)}, Open, []string{Distortion}},
		{"below high, above low: both at once", []Channel{both(high, low)}, Open, []string{Distortion}},
		{"no estimate", []Channel{{}}, Open, []string{Distortion}},
		{"no estimate beside one met", []Channel{at(high, 9.1, infinite), {}}, Open, []string{Distortion}},
		{"at decides against below", []Channel{{At: at(close, 9.1, infinite).At, Below: below(high, 9.1).Below}}, Open, []string{Close}},
		{"at decides against above", []Channel{{At: at(high, 9.1, infinite).At, Above: above(low, 9.1).Above}}, Met, nil},
		{"at short against below", []Channel{{At: at(low, 9.1, infinite).At, Below: below(high, 9.1).Below}}, Short, nil},
		{"one met by below, one at", []Channel{below(high, 9.1), at(high, 9.1, infinite)}, Met, nil},
		{"one short is enough", []Channel{below(low, 9.1), at(low, 9.1, infinite)}, Short, nil},
		{"short by above is enough", []Channel{at(high, 9.1, infinite), above(low, 9.1)}, Short, nil},
		{"one below and low, one met", []Channel{below(low, 9.1), at(high, 9.1, infinite)}, Open, []string{Distortion}},
		{"one close, one met by below", []Channel{at(close, 9.1, infinite), below(high, 9.1)}, Open, []string{Close}},
	} {
		got := Decide(usual, 500, single(r.channels...))
		if got.Word != r.want || !slices.Equal(got.Reasons, r.reasons) {
			t.Errorf("%s: %s %v, want %s %v", r.name, got.Word, got.Reasons, r.want, r.reasons)
		}
	}
}

// The verdict holds only where all corners agree; else the condition along which
// they differ is named.
func TestCorners(t *testing.T) {
	high, low, close := 530.0, 470.0, 503.0
	corner := func(k, m, y float64) Corner { return Corner{K: k, M: m, Channels: []Channel{at(y, 9.1, infinite)}} }
	for _, r := range []struct {
		name    string
		corners []Corner
		want    Word
		reasons []string
	}{
		{"all met", []Corner{corner(0, -1, high), corner(0, 1, high), corner(2.6, -1, high), corner(2.6, 1, 540)}, Met, nil},
		{"all short", []Corner{corner(0, -1, low), corner(0, 1, 460), corner(2.6, -1, low), corner(2.6, 1, low)}, Short, nil},
		{"all close", []Corner{corner(0, 0, close), corner(2.6, 0, 498)}, Open, []string{Close}},
		{"the supply decides", []Corner{corner(0, -1, low), corner(0, 1, low), corner(2.6, -1, high), corner(2.6, 1, high)}, Open, []string{Supply}},
		{"the supply opens", []Corner{corner(0, 0, high), corner(2.6, 0, close)}, Open, []string{Supply}},
		{"worst k between", []Corner{corner(0, 0, high), corner(1.1, 0, close), corner(2.6, 0, high)}, Open, []string{Supply}},
		{"the load decides", []Corner{corner(0, -1, low), corner(0, 1, high), corner(2.6, -1, low), corner(2.6, 1, high)}, Open, []string{Load}},
		{"either", []Corner{corner(0, -1, low), corner(0, 1, high), corner(2.6, -1, high), corner(2.6, 1, high)}, Open, []string{Supply, Load}},
		{"only together", []Corner{corner(0, -1, low), corner(2.6, 1, high)}, Open, []string{Supply, Load}},
	} {
		got := Decide(usual, 500, r.corners)
		if got.Word != r.want || !slices.Equal(got.Reasons, r.reasons) {
			t.Errorf("%s: %s %v, want %s %v", r.name, got.Word, got.Reasons, r.want, r.reasons)
		}
		checkCorners(t, r.name, r.corners, got)
	}
}

// checkCorners compares the corners listed with each decided alone.
func checkCorners(t *testing.T, name string, corners []Corner, got Result) {
	t.Helper()
	if len(got.Corners) != len(corners) {
		t.Fatalf("%s: %d corners listed, want %d", name, len(got.Corners), len(corners))
	}
	low, high := 1.0, 0.0
	for i, c := range corners {
		alone := Decide(usual, 500, []Corner{c})
		if l := got.Corners[i]; l.Verdict != alone.Word || l.PMin != alone.PMin || l.PMax != alone.PMax || l.K != c.K || l.M != c.M {
			t.Errorf("%s: corner %d is listed as %+v, alone it is %s at %v", name, i, l, alone.Word, alone.PMin)
		}
		low, high = min(low, alone.PMin), max(high, alone.PMax)
	}
	if got.PMin != low || got.PMax != high {
		t.Errorf("%s: p %v … %v, want %v … %v", name, got.PMin, got.PMax, low, high)
	}
}

// What is known of p where runs only bound the power: below gives a lower bound,
// above an upper one (p of JCGM 106:2012, 7.3, at 1 and 2 standard deviations).
func TestBoundsOnP(t *testing.T) {
	for _, r := range []struct {
		name      string
		channel   Channel
		low, high float64
		open      [2]bool // low end, high end
	}{
		{"below", below(518.2, 9.1), 0.9772498681, 1, [2]bool{false, true}},
		{"above", above(490.9, 9.1), 0, 0.1586552539, [2]bool{true, false}},
		{"both", Channel{Below: below(490.9, 9.1).Below, Above: above(518.2, 9.1).Above}, 0.1586552539, 0.9772498681, [2]bool{false, false}},
		{"at", at(518.2, 9.1, infinite), 0.9772498681, 0.9772498681, [2]bool{false, false}},
	} {
		got := Decide(usual, 500, single(r.channel))
		if !near(got.PMin, r.low, 5.1e-11) || !near(got.PMax, r.high, 5.1e-11) || got.LowOpen != r.open[0] || got.HighOpen != r.open[1] {
			t.Errorf("%s: p %.10f … %.10f, ends open %t, %t; want %v … %v, %v", r.name, got.PMin, got.PMax, got.LowOpen, got.HighOpen, r.low, r.high, r.open)
		}
	}
}
