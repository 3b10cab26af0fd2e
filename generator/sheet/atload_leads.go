package sheet

import (
	"fmt"

	"wattsheet/generator/electric"
)

// A LoadFuse is the fuse that a supply current asks for.
type LoadFuse struct {
	// RatingA is the smallest standard rating that isn't below the current; 0 where
	// no standard fuse is large enough.
	RatingA float64
	// Why says why none may be named, in a sentence; empty where RatingA may be.
	Why string
}

// loadFuse is the fuse for a current in A: never one above the unit's own.
func (e *evaluator) loadFuse(amps float64) *LoadFuse {
	rating, ok := electric.FuseRating(amps)
	if !ok {
		return &LoadFuse{Why: "no standard fuse for a lead is that large: ask a qualified installer"}
	}
	f := &LoadFuse{RatingA: rating}
	if own, fused := e.fuses(); fused && rating > own {
		f.Why = fmt.Sprintf("%s would be above the unit's own fuses, %s in all: no larger one may be fitted, so it isn't for this at full level", exactText(rating, "A"), exactText(own, "A"))
	}
	return f
}

// exactText writes a stated number with its unit.
func exactText(x float64, unit string) string { return plain(x) + nbsp + unit }

// A LoadLead is the thinnest supply lead of a metal and a length that bears the fuse
// and loses no more than [LeadDropPct] of the supply voltage.
type LoadLead struct {
	Metal   string  // copper, or copper-clad aluminium
	LengthM float64 // one way
	AreaMM2 float64 // the standard cross-section; 0 where the thickest isn't enough
	Gauge   string  // and the wire gauge, chosen by itself; empty where the thickest isn't enough
	DropV   float64 // lost in both poles, in the worse of the two; 0 where there is neither
}

// LeadDropPct is how much of the supply voltage a lead may lose, in percent: what
// ISO 10133 allows the main conductors of a boat.
const LeadDropPct = 3

// LeadLengths are the lengths in m, one way, that leads are chosen for.
func LeadLengths() []float64 { return []float64{2, 3, 5, 6} }

// LeadMetals are what supply leads are made of, in the trade's words.
var LeadMetals = []struct {
	Name string
	of   electric.Conductor
}{{"copper", electric.Copper}, {"copper-clad aluminium", electric.CopperClad}}

// loadLeads chooses the leads for a current in A from v volts; nil without a fuse
// that they have to bear.
func loadLeads(f *LoadFuse, amps, v float64) []LoadLead {
	if f.RatingA == 0 {
		return nil
	}
	var out []LoadLead
	for _, metal := range LeadMetals {
		for _, l := range LeadLengths() {
			lead := LoadLead{Metal: metal.Name, LengthM: l}
			drop := func(area float64) float64 { return amps * metal.of.LeadOhms(l, 1, area, electric.WarmLeadC) }
			does := func(area float64) bool {
				return metal.of.Bears(area) >= f.RatingA && drop(area) <= LeadDropPct/100.*v
			}
			for _, area := range electric.Areas() {
				if does(area) {
					lead.AreaMM2, lead.DropV = area, drop(area)
					break
				}
			}
			for _, g := range electric.Gauges() {
				if area := electric.GaugeMM2(g.Number); does(area) {
					lead.Gauge, lead.DropV = g.Name, max(lead.DropV, drop(area))
					break
				}
			}
			out = append(out, lead)
		}
	}
	return out
}
