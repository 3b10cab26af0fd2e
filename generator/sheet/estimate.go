package sheet

import (
	"fmt"
	"math"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
)

// estimateFrom is how far, as a fraction, a run's supply voltage has to be from the
// claim's for an estimate to be worth a word.
const estimateFrom = 0.005

// A SupplyEstimate is what a unit may have given at a claim's supply voltage: an
// estimate, no measurement, and never a verdict. The load and the distortion are
// those of the runs.
type SupplyEstimate struct {
	ToV      float64 // the claim's supply voltage, or the assumed one
	Assumed  bool    // the claim doesn't state it
	Channels []*ChannelEstimate
	Text     string // the weakest channel's, in a sentence that says that it is an estimate
}

// A ChannelEstimate is one channel's estimate: the range that the supply exponents
// 0 … 2.6 give, each end with its own uncertainty.
type ChannelEstimate struct {
	Name        string
	Class       string // as of the mean: at, below or above the claim's distortion
	Runs        []string
	There       []string // those of them that stand at the claim's supply voltage
	FromV       float64  // mean supply voltage of the runs
	Low, High   *Figure
	LowK, HighK float64 // the supply exponents of the two ends
	// Own is by the unit's own supply exponent, whose uncertainty is in it; nil
	// where its runs don't allow one.
	Own *Figure
}

// supplyEstimate estimates what a claim's mean would be at the claim's supply
// voltage; nil where all its runs stand there, or there is none.
func (e *evaluator) supplyEstimate(c *Claim, own *SupplyExponent) *SupplyEstimate {
	t := e.termsOf(c.Rec)
	if len(c.Channels) == 0 || t.supplyMissing || !(t.supplyV > 0) {
		return nil
	}
	if own != nil && (!own.Usable || own.Outside || c.Rec.Signal == "burst") {
		own = nil // a burst is over before the supply has settled
	}
	away := false
	for _, g := range c.groups {
		for _, one := range g.classes[g.leading()] {
			if one.run.SupplyV == nil || one.run.SupplyV.X <= 0 {
				return nil
			}
			away = away || !stands(one.run, t.supplyV)
		}
	}
	if !away {
		return nil
	}
	s := &SupplyEstimate{ToV: t.supplyV, Assumed: t.supplyAssumed}
	for _, g := range c.groups {
		s.Channels = append(s.Channels, channelEstimate(g, g.classes[g.leading()], t.supplyV, own))
	}
	s.Text = s.text(c, own)
	return s
}

// stands reports whether a run stands at a supply voltage.
func stands(r *Run, volts float64) bool {
	return math.Abs(r.SupplyV.X-volts) <= estimateFrom*volts
}

// channelEstimate carries one channel's runs to another supply voltage.
func channelEstimate(g *group, samples []sample, toV float64, own *SupplyExponent) *ChannelEstimate {
	n := len(samples)
	c := &ChannelEstimate{Name: g.name, Class: g.leading(), Runs: make([]string, 0, n)}
	values := make([]quantity.Value, 2*n)
	p, v := values[:0:n], values[n:n]
	of := make([]measured, 0, 2*n)
	for _, s := range samples {
		c.Runs = append(c.Runs, s.run.ID)
		if stands(s.run, toV) {
			c.There = append(c.There, s.run.ID)
		}
		c.FromV += s.run.SupplyV.X / float64(len(samples))
		p, v = append(p, s.channel.Power.value), append(v, s.run.SupplyV.value)
		of = append(of, measured{lacks: s.channel.Power.Incomplete}, measured{lacks: s.run.SupplyV.Incomplete})
	}
	at := func(k quantity.Value) quantity.Value { return electric.CarriedByOwn(p, v, toV, k) }
	estimate := func(k float64) float64 { return electric.CarriedByOwnEstimate(p, v, toV, k) }
	fixed := func(k float64) *Figure {
		return figure("estimate", "Pe", formula.SupplyCorrected, with(at(quantity.Exact(k, "")), of...))
	}
	c.LowK, c.HighK = 0, supplyMost
	if estimate(0) > estimate(supplyMost) {
		c.LowK, c.HighK = supplyMost, 0
	}
	if bothSides(samples, toV) { // then the least may lie between
		if k, inside := leastWithin(estimate, 0, supplyMost); inside {
			c.LowK = k
		}
	}
	c.Low, c.High = fixed(c.LowK), fixed(c.HighK)
	if own != nil {
		c.Own = figure("estimate", "Pe", formula.SupplyCorrected, with(at(own.K.value), of...))
	}
	return c
}

// text says the weakest channel's estimate.
func (s *SupplyEstimate) text(c *Claim, own *SupplyExponent) string {
	one := s.of(c.Weakest)
	if one == nil {
		return ""
	}
	name := ""
	if len(s.Channels) > 1 {
		name = ", channel " + one.Name
	}
	whose := "the claim's"
	if s.Assumed {
		whose = "the assumed"
	}
	between := fmt.Sprintf("between %s (k = %s) and %s (k = %s)", one.Low.Text, exponentText(one.LowK), one.High.Text, exponentText(one.HighK))
	if one.Low.ValueText == one.High.ValueText {
		between = one.Low.Text + " with any supply"
	}
	text := fmt.Sprintf("Estimate, not measured%s: at %s %s%sV instead of %s%sV it may give %s",
		name, whose, plain(s.ToV), nbsp, quantity.Fixed(one.FromV, 2), nbsp, between)
	if one.Own != nil {
		text += fmt.Sprintf("; with k = %s from its own runs, %s", own.K.Text, one.Own.Text)
	}
	text += ". It is for the load as tested"
	switch one.Class {
	case classBelow:
		text += " and bounds the power from below"
	case classAbove:
		text += " and bounds the power from above"
	}
	text += ", and decides nothing."
	if len(one.There) > 0 {
		text += fmt.Sprintf(" At %s%sV itself stand: %s.", plain(s.ToV), nbsp, strings.Join(one.There, ", "))
	}
	if lacks := one.Low.Incomplete; lacks != nil {
		text += " The uncertainty is incomplete: " + strings.Join(lacks, "; ") + "."
	}
	return text
}

// exponentText writes a supply exponent with what it stands for.
func exponentText(k float64) string {
	switch k {
	case 0:
		return "0, a regulated supply"
	case supplyMost:
		return "2.6, an unregulated one with a fixed drop"
	}
	return quantity.Fixed(k, 1)
}

// of is the estimate of a claim's channel; nil where there is none.
func (s *SupplyEstimate) of(channel *ClaimChannel) *ChannelEstimate {
	for _, one := range s.Channels {
		if channel != nil && one.Name == channel.Name {
			return one
		}
	}
	return nil
}
