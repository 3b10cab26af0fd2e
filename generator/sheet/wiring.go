package sheet

import (
	"fmt"
	"slices"
	"sync"

	"wattsheet/generator/electric"
)

// A Wiring is a way to wire the equal voice coils of some speakers to one channel,
// such that each coil takes an equal share.
type Wiring struct {
	Speakers, Coils  int // speakers, and coils of each
	Series, Parallel int // coils in series, and such strings in parallel
	Text             string
	// Loads are the nominal loads in Ω, one for each of [CoilOhms].
	Loads []float64
}

// mostSpeakers is how many speakers at one channel are asked about.
const mostSpeakers = 4

// CoilOhms are the usual nominal impedances of a coil in Ω, of speakers with one coil
// or with two (common practice, no source).
func CoilOhms(coils int) []float64 {
	if coils == 2 {
		return []float64{1, 2, 4}
	}
	return []float64{1, 2, 3, 4, 6, 8}
}

// Wirings are the ways to wire one speaker to four, with one coil or two each: by
// speakers, coils, and from the lowest load up. They are one list, not to be changed.
func Wirings() []Wiring { return allWirings() }

var allWirings = sync.OnceValue(func() (out []Wiring) {
	for n := 1; n <= mostSpeakers; n++ {
		for m := 1; m <= 2; m++ {
			for s := 1; s <= n*m; s++ {
				if n*m%s == 0 {
					out = append(out, wiring(n, m, s, n*m/s))
				}
			}
		}
	}
	return out
})

func wiring(n, m, s, p int) Wiring {
	w := Wiring{Speakers: n, Coils: m, Series: s, Parallel: p}
	switch {
	case s*p == 1:
		w.Text = "straight to it"
	case s == 1:
		w.Text = "in parallel"
	case p == 1:
		w.Text = "in series"
	default:
		w.Text = fmt.Sprintf("%d in series, %d such in parallel", s, p)
	}
	for _, z := range CoilOhms(m) {
		w.Loads = append(w.Loads, electric.WiredOhms(z, s, p))
	}
	return w
}

// wiredLoads are the nominal loads of all wirings and the given ones, from low to
// high, those within 1 % as one: then a given one stands.
func wiredLoads(given []float64) []float64 {
	out := slices.Clone(given)
	for _, ohm := range usualLoads() {
		if !slices.ContainsFunc(out, func(x float64) bool { return within(ohm, x, nominalReach) }) {
			out = append(out, ohm)
		}
	}
	slices.Sort(out)
	return out
}

// usualLoads are the nominal loads of all wirings, each once, in their order.
var usualLoads = sync.OnceValue(func() (out []float64) {
	for _, w := range Wirings() {
		for _, ohm := range w.Loads {
			if !slices.Contains(out, ohm) {
				out = append(out, ohm)
			}
		}
	}
	return out
})
