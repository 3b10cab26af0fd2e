package sheet

import (
	"fmt"
	"math"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// Slips of a decimal point, of digits or of a unit show where two figures of a record can't
// both be right. How far off is too far is a habit of this program, without a source, where
// no other is named; so all of these are worth a look only.
const (
	specFar       = 4.0    // by what factor a stated and a measured figure differ, in the direction that harms the maker
	priceFar      = 3.0    // by what factor the price and all shops' differ
	lightest      = 0.2    // kg/l; a case that is mostly air
	heaviest      = 5.0    // kg/l; a solid block of aluminium has 2.7 (handbook value, from memory)
	hottest       = 150    // °C; the least that makers of power transistors state for the junction (common practice, no source)
	coldestAir    = 5      // °C
	hottestAir    = 45     // °C
	colderThanAir = 5      // K
	leastAtLimit  = 0.1    // efficiency of a stage that is driven to its limit; of class A too
	bridgedMost   = 8.0    // times the lowest load a channel
	claimedLeast  = 4.0    // times the lowest load that is stated
	fusesMost     = 6.0    // times what the claims take without any loss, from DC
	belowMethod   = 1. / 3 // of the method's distortion
	seriesRises   = 1.02   // by how much a run of a series rises above one with less distortion
	stoppedAt     = 0.05   // relative; a run that ends at the claimed power
)

// timesApart reports whether two positive figures differ by more than a factor.
func timesApart(a, b, factor float64) bool { return a > 0 && b > 0 && (a > factor*b || b > factor*a) }

// ofSlips looks for them in what a record says of the unit as a whole.
func (e *evaluator) ofSlips(s *Sheet) (out []Finding) {
	for _, sp := range s.Specs {
		out = append(out, specFarOff(sp)...)
	}
	for _, t := range s.Thermals {
		out = append(out, oddTemperatures(t)...)
	}
	out = append(out, e.priceFarOff()...)
	out = append(out, e.massAndSize()...)
	out = append(out, e.oddLowest()...)
	return append(out, e.fusesFarAbove()...)
}

// slipsOf looks for them in one run.
func (e *evaluator) slipsOf(s *Sheet, r *Run) []Finding {
	return append(append(oddAir(r), e.belowMethod(s, r)...), wasteful(r)...)
}

// specFarOff finds a reading that is several times what the maker states, or a small part of
// it: of a lower limit only where it is less, of an upper one only where it is more.
func specFarOff(sp *Spec) []Finding {
	low, high := sp.Rec.Stated.Value, sp.Rec.Stated.Value
	if sp.Rec.StatedTo.Given() {
		high = sp.Rec.StatedTo.Value
	}
	for i, n := range sp.Rec.Measured.Items {
		if !(low > 0 && n.Value > 0) || sp.Rec.Limit == "at-most" && n.Value < low || sp.Rec.Limit == "at-least" && n.Value > low {
			continue
		}
		if n.Value*specFar < low || n.Value > specFar*high {
			stated := sp.Rec.Stated.Text
			if sp.Rec.StatedTo.Given() {
				stated += " to " + sp.Rec.StatedTo.Text
			}
			unit := ""
			if sp.Rec.Unit != "" {
				unit = nbsp + sp.Rec.Unit
			}
			return []Finding{{"spec-far-off", sp.Rec.Measured.Item(i),
				fmt.Sprintf("spec %s: measured was %s%s, stated is %s%s", sp.ID, n.Text, unit, stated, unit),
				"a decimal point, another unit, another quantity or setting than is stated"}}
		}
	}
	return nil
}

// oddTemperatures finds a temperature that no amplifier has, and one below the air's.
func oddTemperatures(t *Thermal) (out []Finding) {
	cause := "a decimal point, degrees Fahrenheit, a thermometer that looks at bare metal"
	for i, p := range t.Points {
		at := t.Rec.TempC.Item(i)
		switch ambient := t.Rec.AmbientC; {
		case p.TempC.X > hottest:
			return append(out, Finding{"temperature-odd", at, fmt.Sprintf("%s: %s, where no transistor goes on above %d%s°C for long", t.Rec.Spot, p.TempC.Text, hottest, nbsp), cause})
		case ambient.Given() && p.TempC.X < ambient.Value-colderThanAir:
			return append(out, Finding{"temperature-odd", at, fmt.Sprintf("%s: %s, in air of %s%s°C", t.Rec.Spot, p.TempC.Text, ambient.Text, nbsp), cause})
		}
	}
	return airFinding(out, t.Rec.Spot, t.Rec.AmbientC)
}

// oddAir finds the same of a run's air and of its load.
func oddAir(r *Run) (out []Finding) {
	for i, n := range r.Rec.LoadC.Items {
		if air := r.Rec.AmbientC; air.Given() && n.Value < air.Value-colderThanAir {
			out = append(out, Finding{"temperature-odd", r.Rec.LoadC.Item(i), fmt.Sprintf("run %s: the load is at %s%s°C, in air of %s%s°C", r.ID, n.Text, nbsp, air.Text, nbsp),
				"a decimal point, a thermometer that looks at bare metal"})
			break
		}
	}
	return airFinding(out, "run "+r.ID, r.Rec.AmbientC)
}

func airFinding(out []Finding, of string, air record.Number) []Finding {
	if !air.Given() || air.Value >= coldestAir && air.Value <= hottestAir {
		return out
	}
	return append(out, Finding{"temperature-odd", air.Place, fmt.Sprintf("%s: the air is at %s%s°C", of, air.Text, nbsp), "a decimal point, degrees Fahrenheit; or a workshop in winter"})
}

// belowMethod finds a completed run with typed readings that has far less distortion than its
// method goes up to. A claim of so little explains it, a run that ends at the claimed power,
// and one of a series: another goes further and gives more. Nothing does where another gives
// the same power at several times the distortion.
func (e *evaluator) belowMethod(s *Sheet, r *Run) []Finding {
	limit := r.Method.ThdnPct
	if !r.Completed || !limit.Given() || r.Captured != nil || r.Rec.Outcome == "supply-limit" {
		return nil
	}
	for _, c := range r.Channels {
		d := c.Distortion
		if d == nil || c.Power == nil || !(d.X < limit.Value*belowMethod) {
			continue
		}
		explained := slices.ContainsFunc(e.rec.Claims, func(claim record.Claim) bool {
			stopped := within(c.Power.X, claim.PowerW.Value, stoppedAt) && within(c.Nominal, claim.LoadOhm.Value, nominalReach)
			return stopped || claim.ThdnPct.Given() && claim.ThdnPct.Value*belowMethod < d.X && claim.ThdnPct.Value < limit.Value
		})
		contradicted := false
		for _, other := range s.Runs {
			if !other.Completed || other.Method != r.Method || other.Bridged != r.Bridged || other.FreqHz != r.FreqHz || !nearSupply(other, r) {
				continue
			}
			for _, o := range other.Channels {
				if o.Name != c.Name || o.Nominal != c.Nominal || o.Distortion == nil || o.Power == nil || o.Distortion.X <= d.X {
					continue
				}
				explained = explained || o.Power.X > c.Power.X*seriesRises
				contradicted = contradicted || o.Distortion.X*belowMethod > d.X && o.Power.X <= c.Power.X*seriesRises
			}
		}
		if explained && !contradicted {
			continue
		}
		return []Finding{{"distortion-below-method", r.Rec.Key("thdn_pct"),
			fmt.Sprintf("run %s: channel %s reads %s of distortion, the method goes up to %s%s%%", r.ID, c.Name, d.Text, plain(limit.Value), nbsp),
			"a decimal point, a meter on another range; or a run that could have been driven further"}}
	}
	return nil
}

// wasteful finds a run at its method's distortion, or into clipping, with less efficiency
// than any stage has there.
func wasteful(r *Run) []Finding {
	driven := r.Method.IntoClipping || r.Method.ThdnPct.Given() && !slices.ContainsFunc(r.Channels, func(c *Channel) bool {
		return c.Distortion == nil || !atLimit(r.Method, c)
	})
	if !r.Completed || !driven || r.Method.Signal == "burst" || r.Efficiency == nil || r.Efficiency.X >= 100*leastAtLimit {
		return nil
	}
	key := "supply_a"
	if len(r.Rec.Readings("supply_w")) > 0 {
		key = "supply_w"
	}
	return []Finding{{"efficiency-far-below", r.Rec.Key(key),
		fmt.Sprintf("run %s: the efficiency is %s, and the run is at its method's limit", r.ID, r.Efficiency.Text),
		"a decimal point in the supply's reading or the output's, a clamp around more than this unit's lead, a meter on another range"}}
}

// priceFarOff finds a price that no shop comes near.
func (e *evaluator) priceFarOff() []Finding {
	price := e.rec.Unit.Price
	var near record.Number
	for i := range e.rec.Shops {
		of := e.rec.Shops[i].Price
		if !of.Given() {
			continue
		}
		if !timesApart(of.Value, price.Value, priceFar) {
			return nil
		}
		near = of
	}
	if !near.Given() || !price.Given() {
		return nil
	}
	return []Finding{{"price-far-off", price.Place, fmt.Sprintf("the price is %s, a shop's is %s", price.Text, near.Text), "a decimal point in one of them, another currency"}}
}

// massAndSize finds a unit that is lighter than a box of air or heavier than a block of metal.
func (e *evaluator) massAndSize() []Finding {
	u := &e.rec.Unit
	if !u.MassKG.Given() || len(u.SizeMM.Items) != 3 {
		return nil
	}
	liters := 1e-6
	for _, n := range u.SizeMM.Items {
		liters *= n.Value
	}
	density := u.MassKG.Value / liters
	if density >= lightest && density <= heaviest || math.IsNaN(density) {
		return nil
	}
	return []Finding{{"mass-and-size", u.SizeMM.Place,
		fmt.Sprintf("%s%skg in %s%sl, which is %s%skg/l", u.MassKG.Text, nbsp, quantity.Significant(liters, 3), nbsp, quantity.Significant(density, 2), nbsp),
		"a decimal point in the mass or in one of the sizes, centimetres or inches"}}
}

// oddLowest finds a lowest load that doesn't go with the other, or that all claims stay far
// above: makers state power down to it.
func (e *evaluator) oddLowest() (out []Finding) {
	u := &e.rec.Unit
	if low, bridged := u.LowestOhm, u.LowestBridgedOhm; low.Given() && bridged.Given() && (bridged.Value < low.Value || bridged.Value > bridgedMost*low.Value) {
		out = append(out, Finding{"lowest-load-odd", bridged.Place, fmt.Sprintf("the lowest load is %s a channel and %s bridged, where each channel sees half of it", Ohms(low.Value), Ohms(bridged.Value)),
			"a decimal point in one of them, or the two the wrong way round"})
	}
	for _, bridged := range []bool{false, true} {
		low := u.LowestOhm
		if bridged {
			low = u.LowestBridgedOhm
		}
		least := math.Inf(1)
		for i := range e.rec.Claims {
			if e.rec.Claims[i].Bridged == bridged {
				least = math.Min(least, e.rec.Claims[i].LoadOhm.Value)
			}
		}
		if low.Given() && !math.IsInf(least, 1) && least > claimedLeast*low.Value {
			out = append(out, Finding{"lowest-load-odd", low.Place, fmt.Sprintf("the lowest load is %s, but nothing is claimed below %s", Ohms(low.Value), Ohms(least)),
				"a decimal point; or a claim that is still to be written down"})
		}
	}
	return out
}

// fusesFarAbove finds fuses for many times what the claims take. Of the mains a slow fuse
// has to stand the rush when the unit is switched on, so nothing is said of those.
func (e *evaluator) fusesFarAbove() []Finding {
	sum, fused := e.fuses()
	most := 0.0
	for i := range e.rec.Claims {
		c := &e.rec.Claims[i]
		if t := e.termsOf(c); !t.supplyMissing {
			most = math.Max(most, c.Driven.Or(c.Channels.Value)*c.PowerW.Value/t.supplyV)
		}
	}
	if !fused || e.rec.Unit.Supply == "mains" || most == 0 || !(sum > fusesMost*most) {
		return nil
	}
	return []Finding{{"fuses-far-above", e.rec.Unit.FusesA.Place,
		fmt.Sprintf("the unit's fuses add up to %s%sA, the largest claim takes %s%sA if no watt is lost", plain(sum), nbsp, quantity.Significant(most, 2), nbsp),
		"a decimal point; or a claim that is still to be written down"}}
}
