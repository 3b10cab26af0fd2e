package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/quantity"
)

// supplyFar is by what factor a supply voltage may be off every one that is named before
// it is a finding (a habit of this program, no source): a battery that sags is nearer.
const supplyFar = 1.5

// supplyFarOff finds a completed run whose supply voltage is near none of those that its
// claims, the site and the bench name, as of volts and amperes that were swapped.
func (e *evaluator) supplyFarOff(r *Run) []Finding {
	if r.SupplyV == nil || !r.Completed {
		return nil
	}
	named := e.supplies()
	near := func(v float64) bool { return r.SupplyV.X > v/supplyFar && r.SupplyV.X < v*supplyFar }
	if len(named) == 0 || slices.ContainsFunc(named, near) {
		return nil
	}
	var said []string
	for _, v := range named {
		said = append(said, plain(v)+nbsp+"V")
	}
	cause := "volts and amperes swapped, a meter on another range or quantity, a decimal point"
	if r.Captured != nil {
		cause += ", a recorder whose input lets no DC through, as of most sound cards"
	}
	return []Finding{{"supply-far-off", r.Rec.Key("supply_v"),
		fmt.Sprintf("run %s: the supply stands at %s; the claims, the site and the bench name %s", r.ID, r.SupplyV.Text, strings.Join(said, ", ")), cause}}
}

// claimSupplyFarOff finds a claim whose supply voltage is near none of its runs' or, without
// runs at a voltage that the site and the bench name, near none of those: it would be
// undecided, as power says little of so far a voltage.
func (e *evaluator) claimSupplyFarOff(s *Sheet, c *Claim) []Finding {
	claimed := c.Rec.SupplyV.Value
	if !(claimed > 0) {
		return nil
	}
	near := func(v float64) func(float64) bool {
		return func(other float64) bool { return v > other/supplyFar && v < other*supplyFar }
	}
	named := e.suppliesAtHand()
	var stood, apart []float64 // apart: of these it is the claim that is off, not the run
	for _, u := range c.Uses {
		i := slices.IndexFunc(s.Runs, func(r *Run) bool { return r.ID == u.Run })
		if i < 0 || !s.Runs[i].Completed || s.Runs[i].SupplyV == nil {
			continue
		}
		v := s.Runs[i].SupplyV.X
		stood = append(stood, v)
		if slices.ContainsFunc(named, near(v)) {
			apart = append(apart, v)
		}
	}
	what := "its runs stand at"
	if len(apart) == 0 {
		what, apart = "the site and the bench name", named
	}
	if len(apart) == 0 || slices.ContainsFunc(append(stood, apart...), near(claimed)) {
		return nil
	}
	least, most := quantity.Significant(slices.Min(apart), 4), quantity.Significant(slices.Max(apart), 4)
	if most != least {
		least += " to " + most
	}
	return []Finding{{"claim-supply-far-off", c.Rec.Key("supply_v"),
		fmt.Sprintf("claim %s: it is for %s%sV from the supply; %s %s%sV", c.ID, plain(claimed), nbsp, what, least, nbsp),
		"a decimal point, amperes in the place of volts; or a run at that voltage that is still to be made"}}
}

// aboveSupply finds a run with more current than any supply of the bench at its voltage
// is said to give.
func (e *evaluator) aboveSupply(r *Run) []Finding {
	if r.SupplyV == nil || r.SupplyA == nil {
		return nil
	}
	most := 0.0
	for _, s := range e.content.Bench.Supplies {
		if !within(r.SupplyV.X, s.Volts.Value, supplyReach) {
			continue
		}
		if !s.Amps.Given() {
			return nil
		}
		most = math.Max(most, s.Amps.Value)
	}
	if most == 0 || !exceeds(r.SupplyA.value, most) {
		return nil
	}
	return []Finding{{"current-above-supply", r.Rec.Key("supply_a"),
		fmt.Sprintf("run %s: %s from the supply; none of bench.toml at %s%sV gives more than %s%sA", r.ID, r.SupplyA.Text, quantity.Significant(r.SupplyV.X, 3), nbsp, plain(most), nbsp),
		"a misread clamp, a battery beside the supply that bench.toml doesn't count, or amps of another supply"}}
}

// supplies are the voltages that the record's claims, the site and the bench name,
// in order.
func (e *evaluator) supplies() []float64 {
	var named []float64
	add := func(v float64) {
		if v > 0 && !slices.Contains(named, v) {
			named = append(named, v)
		}
	}
	for i := range e.rec.Claims {
		add(e.rec.Claims[i].SupplyV.Value)
	}
	for _, v := range e.suppliesAtHand() {
		add(v)
	}
	slices.Sort(named)
	return named
}

// suppliesAtHand are the voltages that the site and the bench name, in order.
func (e *evaluator) suppliesAtHand() []float64 {
	var named []float64
	add := func(v float64) {
		if v > 0 && !slices.Contains(named, v) {
			named = append(named, v)
		}
	}
	if e.rec.Unit.Supply == "mains" {
		add(e.content.Site.Assume.SupplyMainsV.Value)
	} else {
		add(e.content.Site.Assume.SupplyDCV.Value)
	}
	for _, s := range e.content.Bench.Supplies {
		add(s.Volts.Value)
	}
	slices.Sort(named)
	return named
}

// claimAboveFuses finds a claim of continuous power that takes more than the unit's own
// fuses are for, even at an efficiency of 1: I ≥ n·P/V, by conservation of energy. It is
// often a figure for all channels together, written as one of each.
func (e *evaluator) claimAboveFuses(c *Claim) []Finding {
	sum, fused := e.fuses()
	t := e.termsOf(c.Rec)
	if !fused || c.Rec.Signal == "burst" || t.supplyMissing || e.rec.Unit.Supply == "mains" {
		return nil
	}
	driven := c.Rec.Driven.Or(c.Rec.Channels.Value)
	if n := len(c.Rec.Of); n > 0 {
		driven = float64(n) // what the others give isn't said
	}
	watts := plain(c.Rec.PowerW.Value)
	if driven > 1 {
		watts = plain(driven) + nbsp + "×" + nbsp + watts
	}
	least := driven * c.Rec.PowerW.Value / t.supplyV
	if !(least > sum) || math.IsInf(least, 0) {
		return nil
	}
	return []Finding{{"claim-above-fuses", c.Rec.Key("power_w"),
		fmt.Sprintf("claim %s: %s%sW take %s%sA at %s%sV even if no watt is lost; the unit's fuses add up to %s%sA",
			c.ID, watts, nbsp, quantity.Significant(least, 3), nbsp, plain(t.supplyV), nbsp, plain(sum), nbsp),
		"watts of all channels together, where power_w is a channel's; a figure for moments, which has signal = \"burst\"; or more than the unit can do"}}
}
