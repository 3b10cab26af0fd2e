package electric

import "math"

// WiredOhms returns the nominal load z·s/p in Ω of equal voice coils of z Ω each: s
// of them in series, p such strings in parallel. Every coil then takes an equal share
// of the power (Ohm's law; equal resistances in series and parallel).
func WiredOhms(z float64, s, p int) float64 { return z * float64(s) / float64(p) }

// Between returns what lies between two values at a load,
//
//	y1 + (y2 − y1)·ln(r/r1)/ln(r2/r1)
//
// for loads r1 ≠ r2 and r between them, all above 0: linear in the logarithm of the
// load, as loads go by doubling.
func Between(r, r1, y1, r2, y2 float64) float64 {
	return y1 + (y2-y1)*math.Log(r/r1)/math.Log(r2/r1)
}

// WarmLeadC is the temperature in °C that leads are taken at (common practice, no
// source).
const WarmLeadC = 60

// A Conductor is what a cable is made of.
type Conductor struct {
	at20  float64 // resistivity in Ω·mm²/m at 20 °C
	alpha float64 // its temperature coefficient in 1/K
}

// Copper is annealed copper (IEC 60028). CopperClad is aluminium under a skin of
// copper, 10 % of the cross-section (ASTM B566, class 10A, from memory: 0.02743
// Ω·mm²/m), with the temperature coefficient of aluminium (IEC 60889, from memory).
var (
	Copper     = Conductor{copperAt20, copperAlpha}
	CopperClad = Conductor{0.02743, 0.00403}
)

// LeadOhms returns the resistance in Ω of both poles of a pair of leads,
//
//	2·ρ·l/(n·A)·(1 + α·(T − 20 °C))
//
// with the length l one way in m, n cables a pole of the cross-section A in mm² each,
// at the temperature T in °C.
func (c Conductor) LeadOhms(l, n, area, celsius float64) float64 {
	return 2 * c.at20 * l / (n * area) * (1 + c.alpha*(celsius-copperAtC))
}

// borne is what a single copper cable with insulation for 70 °C carries for good, in
// A, by its cross-section in mm² (ISO 10133, table A.1, outside an engine's room; from
// memory).
var borne = []struct{ area, amps float64 }{
	{1.5, 18}, {2.5, 25}, {4, 35}, {6, 45}, {10, 65}, {16, 90}, {25, 120}, {35, 160}, {50, 210}, {70, 265}, {95, 310}, {120, 360},
}

// Bears returns the current in A that a cable of a cross-section in mm² carries for
// good: that of the largest standard size that isn't above it; 0 below the smallest.
// Copper-clad aluminium carries the current that makes as much heat a metre,
// √(ρCu/ρ) of copper's.
func (c Conductor) Bears(area float64) (amps float64) {
	for _, b := range borne {
		if area >= b.area {
			amps = b.amps
		}
	}
	return amps * math.Sqrt(copperAt20/c.at20)
}

// Areas are the standard cross-sections of cables in mm² that a supply lead is chosen
// from (IEC 60228, from memory).
func Areas() []float64 {
	out := make([]float64, len(borne))
	for i, b := range borne {
		out[i] = b.area
	}
	return out
}

// A Gauge is a wire gauge by its name: "4", "1/0".
type Gauge struct {
	Name   string
	Number int // as [GaugeMM2] takes it
}

// gauges are those that supply leads are sold in, from thin to thick.
var gauges = []Gauge{
	{"16", 16}, {"14", 14}, {"12", 12}, {"10", 10}, {"8", 8}, {"6", 6}, {"4", 4}, {"2", 2}, {"1/0", 0}, {"2/0", -1}, {"3/0", -2}, {"4/0", -3},
}

// Gauges are the wire gauges that supply leads are sold in, from thin to thick.
func Gauges() []Gauge { return append([]Gauge(nil), gauges...) }

// stripRatings are the ratings in A of bolted strip fuses above the largest blade fuse
// (ISO 8820-5 goes to 500 A; the ratings from memory).
var stripRatings = []float64{125, 150, 175, 200, 225, 250, 300, 350, 400, 500}

// FuseRating returns the smallest rating of a blade fuse or, above those, of a bolted
// strip fuse that is not below a current in A; ok is false above the largest.
func FuseRating(amps float64) (rating float64, ok bool) {
	if r, ok := BladeRating(amps); ok {
		return r, true
	}
	for _, r := range stripRatings {
		if r >= amps {
			return r, true
		}
	}
	return 0, false
}
