package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/electric"
	"wattsheet/generator/quantity"
	"wattsheet/generator/verdict"
)

// surely is the probability from which on a measured inequality is a finding.
const surely = 0.95

// clippingMost is by what factor clipping can raise the power of the 1 % point: a
// square wave carries twice the power of the sine that just touches the rails,
// and the 1 % point 1.0475 times it (symmetric hard clip of a sine, closed form).
const clippingMost = 2 / 1.0475058652

// findings looks for what is odd in a sheet. Each looks at one thing.
func (e *evaluator) findings(s *Sheet) []Finding {
	var out []Finding
	for _, r := range s.Runs {
		if !r.Valid {
			continue
		}
		out = append(out, e.ofOne(s, r)...)
	}
	out = append(out, ofSpecs(s)...)
	out = append(out, e.ofSlips(s)...)
	out = append(out, ofClocks(s)...)
	out = append(out, ofRecorders(s)...)
	out = append(out, e.ofPairs(s)...)
	out = append(out, e.ofRepeats(s)...)
	out = append(out, ofCopies(s)...)
	out = append(out, ofLines(s)...)
	out = append(out, ofExponent(s)...)
	out = append(out, e.ofUnits()...)
	out = append(out, e.ofMarks()...)
	out = append(out, e.ofUnseen()...)
	return append(out, e.ofClaims(s)...)
}

// ofOne looks for what is odd in one valid run.
func (e *evaluator) ofOne(s *Sheet, r *Run) []Finding {
	return slices.Concat(e.ofRun(s, r), e.supplyFarOff(r), e.aboveSupply(r), e.ofInstruments(r), e.ofCapture(r), e.slipsOf(s, r))
}

// exceeds reports whether a value is above a limit at the probability surely.
func exceeds(v quantity.Value, limit float64) bool {
	if !(v.X > limit) {
		return false
	}
	u, dof := v.Freedom()
	return quantity.ProbabilityAtLeast(v.X, u, dof, limit) >= surely
}

// exceedsTimes reports whether a figure is above another times a factor at the
// probability surely.
func exceedsTimes(a, b *Figure, factor float64) bool {
	if !(a.value.X-factor*b.value.X > 0) {
		return false
	}
	return exceeds(a.value.Sub(b.value.Scale(factor)), 0)
}

// ofRun looks at one run by itself.
func (e *evaluator) ofRun(s *Sheet, r *Run) []Finding {
	var out []Finding
	add := func(id, key, text, cause string) {
		out = append(out, Finding{id, r.Rec.Key(key), "run " + r.ID + ": " + text, cause})
	}
	worst := 0.0 // the largest distortion; NaN where one is not known
	for _, c := range r.Channels {
		if c.Check != nil && math.Abs(c.Check.X) > c.Check.U {
			add("power-disagrees", "power_w", fmt.Sprintf("channel %s: the watt-meter and V²/R differ by %s", c.Name, c.Check.Text), "a meter on the wrong range or on DC, a load other than stated, a reactive load")
		}
		if c.Distortion == nil || c.Distortion.Incomplete != nil {
			worst = math.NaN()
		} else {
			worst = math.Max(worst, c.Distortion.X+c.Distortion.U)
		}
		limit := r.Method.ThdnPct
		if d := c.Distortion; d != nil && limit.Given() && d.X > limit.Value+d.U {
			add("distortion-above-method", "thdn_pct", fmt.Sprintf("channel %s reads %s of distortion, the method goes up to %s%s%%", c.Name, d.Text, plain(limit.Value), nbsp), "driven beyond the method's point")
		}
		if !within(c.Resistance.X, c.Nominal, loadReach) {
			add("load-off-nominal", "load", fmt.Sprintf("channel %s: the unit sees %s, more than 5%s%% off %s", c.Name, c.Resistance.Text, nbsp, Ohms(c.Nominal)), "a hot element, long leads, or the wrong element")
		}
	}
	for _, text := range r.Cautions {
		if strings.Contains(text, "lowest load") {
			add("below-lowest-load", "load", text, "deliberate, or the wrong load")
		}
	}
	if why := endedUnread(r); ends(r) && r.SupplyV == nil && slices.ContainsFunc(s.Claims, func(c *Claim) bool { return slices.Contains(c.Uses, Use{r.ID, false, why}) }) {
		add("ended-without-supply", "outcome", why+": it bears on no claim", "the volts that the unit stood at, or that the supply was set to, weren't written down: supply_v")
	}
	e.ofEfficiency(r, worst, add)
	if sum, fused := e.fuses(); fused && r.SupplyA != nil && exceeds(r.SupplyA.value, sum) {
		add("current-above-fuses", "supply_a", fmt.Sprintf("%s from the supply, the unit's fuses add up to %s%sA", r.SupplyA.Text, plain(sum), nbsp), "a short peak that the fuses stand, or a misread clamp")
	}
	return append(out, e.farOff(s, r)...)
}

// ofEfficiency compares a run's efficiency with 1 and, for a class B or AB stage,
// with what an ideal one does at the run's distortion.
func (e *evaluator) ofEfficiency(r *Run, thdPct float64, add func(id, key, text, cause string)) {
	cause := "a supply reading too low (clamp not zeroed, voltage at the wrong point), an output reading too high"
	if r.Efficiency == nil {
		if outOfNothing(r) {
			if r.SupplyPower.X < 0 {
				cause = "the clamp or shunt the wrong way round, or a minus that its scale lacks"
			}
			add("efficiency-above-one", "supply_a", r.Total.Text+" comes out, but the supply shows "+r.SupplyPower.Text, cause)
		}
		return
	}
	if exceeds(r.Efficiency.value, 100) {
		add("efficiency-above-one", "supply_a", "the efficiency is "+r.Efficiency.Text+": more comes out than goes in", cause)
		return
	}
	class := e.rec.Unit.Class
	if (class == "AB" || class == "B") && !math.IsNaN(thdPct) {
		if limit := electric.ClassBLimit(thdPct); exceeds(r.Efficiency.value, limit) {
			add("efficiency-above-class-b", "supply_a", fmt.Sprintf("the efficiency is %s, an ideal class B stage has at most %s%s%% there", r.Efficiency.Text, quantity.Significant(limit, 3), nbsp), cause+", or another class than stated")
		}
	}
}

// outOfNothing reports whether a run whose supply shows no power gives some: it has
// no efficiency to compare.
func outOfNothing(r *Run) bool {
	meant := r.Method.Signal != "burst" && !held(r.Rec.ReadAs.PowerW) && !held(r.Rec.ReadAs.OutV)
	return meant && r.SupplyPower != nil && r.SupplyPower.X <= 0 && r.Total != nil && exceeds(r.Total.value, 0)
}

// farOff finds a channel that gives less than a tenth of what is claimed at its load, or
// more than a hundred times it: no unit is claimed so low, but a claim of 1.250 W may be one
// of 1250 W.
func (e *evaluator) farOff(s *Sheet, r *Run) []Finding {
	for _, c := range r.Channels {
		for i := range e.rec.Claims {
			claim := &e.rec.Claims[i]
			if c.Power == nil || r.Rec.Outcome != "completed" || !atLoad(r, claim.LoadOhm.Value) || claim.Bridged != r.Bridged {
				continue
			}
			claimed := plain(claim.PowerW.Value) + nbsp + "W claimed"
			switch {
			case c.Power.X <= claim.PowerW.Value/10:
				expected := math.Sqrt(claim.PowerW.Value * c.Nominal)
				return []Finding{{"power-far-off", r.Rec.Key("out_v"),
					fmt.Sprintf("run %s: channel %s gives %s, less than a tenth of the %s (about %s%sV expected)", r.ID, c.Name, c.Power.Text, claimed, quantity.Significant(expected, 2), nbsp),
					"a voltmeter left on DC, a lead off, the signal turned down"}}
			case c.Power.X > 100*claim.PowerW.Value:
				return []Finding{{"power-far-off", claim.PowerW.Place,
					fmt.Sprintf("run %s: channel %s gives %s, more than a hundred times the %s", r.ID, c.Name, c.Power.Text, claimed),
					"a point between thousands, which is read as a decimal point; kilowatts"}}
			}
		}
	}
	return nil
}

// ofInstruments looks at what a run was read with.
func (e *evaluator) ofInstruments(r *Run) []Finding {
	var out []Finding
	for _, name := range []string{"power_w", "out_v", "thdn_pct", "supply_v", "supply_a", "supply_w", "load_c"} {
		numbers := r.Rec.Readings(name)
		if len(numbers) == 0 {
			continue
		}
		add := func(id, text, cause string) {
			out = append(out, Finding{id, r.Rec.Key(name), "run " + r.ID + ": " + text, cause})
		}
		i := r.Rec.InstrumentFor(name, e.content.Bench)
		if i == nil {
			add("instrument-missing", "no instrument is named for "+name+", so its uncertainty is not known", "[usual] of bench.toml doesn't name one")
			continue
		}
		if day := r.Rec.At.Text; i.Due.Given() && len(day) >= 10 && day[:10] > i.Due.Text {
			add("calibration-past", fmt.Sprintf("%s was read on %s, the calibration of %s held until %s", name, day[:10], i.ID, i.Due.Text), "the instrument is due for calibration, or its dates are not up to date")
		}
		if beyondBandwidth(i, name, r.FreqHz) {
			add("beyond-bandwidth", fmt.Sprintf("%s was read at %s%sHz, %s is specified up to %s%sHz", name, plain(r.FreqHz), nbsp, i.ID, plain(i.BandwidthHz.Value), nbsp), "the wrong instrument for this signal")
		}
		if harmonicsBeyond(i, name, r.FreqHz) {
			add("harmonics-beyond-band", fmt.Sprintf("%s was read by %s, which is specified up to %s: %s", name, i.ID, hertz(i.BandwidthHz.Value), harmonicsText(r.FreqHz)), cutCause)
		}
		if beyondBurst(r.Method, i, name) {
			add("beyond-shortest-burst", fmt.Sprintf("%s was read in bursts of %s%sms, which %s is not stated to read", name, plain(r.Method.BurstMS.Value), nbsp, i.ID), "the wrong instrument for this signal")
		}
		out = append(out, ofReading(r, name, i, numbers)...)
	}
	if !r.Method.Pool.RelPct.Given() {
		out = append(out, Finding{"pool-missing", r.Rec.Key("method"), fmt.Sprintf("run %s: the method %s has no pool, so its repeatability is not known", r.ID, r.Method.ID), "declare one in methods.toml"})
	}
	return out
}

// ofPairs compares runs with each other.
func (e *evaluator) ofPairs(s *Sheet) []Finding {
	var out []Finding
	for _, a := range s.Runs {
		for _, b := range s.Runs {
			if a == b || !a.Completed || !b.Completed || a.Bridged != b.Bridged || len(a.Channels) != len(b.Channels) || a.FreqHz != b.FreqHz {
				continue
			}
			for i, ca := range a.Channels {
				if cb := b.Channels[i]; ca.Name == cb.Name && ca.Power != nil && cb.Power != nil {
					if f := pair(a, b, ca, cb); f != nil {
						out = append(out, *f)
						break
					}
				}
			}
		}
	}
	return out
}

// pair compares one channel of a run with the same of another: a burst with a
// continuous signal, a clipped run with one at 1 %, a load with its double.
func pair(a, b *Run, ca, cb *Channel) *Finding {
	same := ca.Nominal == cb.Nominal
	odd := func(id, text, cause string) *Finding {
		return &Finding{id, a.Rec.Key("id"), fmt.Sprintf("run %s, channel %s: %s (%s) against %s of run %s", a.ID, ca.Name, text, ca.Power.Text, cb.Power.Text, b.ID), cause}
	}
	limit := func(r *Run) float64 { return r.Method.ThdnPct.Value }
	switch {
	case same && a.Method.Signal == "burst" && b.Method.Signal == "continuous" && !b.Method.IntoClipping && limit(a) == limit(b) &&
		cb.Power.value.X > ca.Power.value.X && exceeds(cb.Power.value.Sub(ca.Power.value), 0):
		return odd("burst-below-continuous", "the burst gives less than the continuous signal", "a meter too slow for the burst")
	case same && a.Method.IntoClipping && b.Method.Signal == "continuous" && limit(b) == 1 &&
		exceedsTimes(ca.Power, cb.Power, clippingMost):
		return odd("clipped-beyond-clipping", "clipping can't add that much to the power at 1"+nbsp+"%", "the supply was turned up between the runs, a misread meter")
	case a.Method == b.Method && math.Abs(2*ca.Nominal-cb.Nominal) < nominalReach*cb.Nominal && nearSupply(a, b) && atLimit(a.Method, ca) && atLimit(b.Method, cb) &&
		exceedsTimes(ca.Power, cb.Power, 2):
		return odd("half-load-more-than-double", "more than twice the power of the double load", "a load other than stated, the gain changed between the runs, a misread meter")
	}
	return nil
}

// nearSupply reports whether two runs stand at one supply voltage, within ±3 %.
func nearSupply(a, b *Run) bool {
	return a.SupplyV == nil || b.SupplyV == nil || within(a.SupplyV.X, b.SupplyV.X, lineReach)
}

// ofClaims finds claims without a run and runs without a claim.
func (e *evaluator) ofClaims(s *Sheet) []Finding {
	var out []Finding
	used := map[string]bool{}
	for _, c := range s.Claims {
		if c.Verdict == verdict.Untested || c.Verdict == verdict.Incomparable {
			out = append(out, Finding{"claim-without-run", c.Rec.Key("id"), fmt.Sprintf("claim %s is decided by no run: %s", c.ID, lower(c.Why)), "a run that is still to be made"})
		}
		out = append(out, e.claimSupplyFarOff(s, c)...)
		out = append(out, e.claimAboveFuses(c)...)
		for _, u := range c.Uses {
			used[u.Run] = used[u.Run] || u.Counts
		}
	}
	for _, r := range s.Runs {
		if r.Completed && !used[r.ID] && len(s.Claims) > 0 && !e.claimed(r) {
			out = append(out, Finding{"run-without-claim", r.Rec.Key("id"), fmt.Sprintf("run %s belongs to no claim", r.ID), "nothing is claimed at that load; it is published all the same"})
		}
	}
	return out
}

// claimed reports whether something is claimed at a run's load.
func (e *evaluator) claimed(r *Run) bool {
	for i := range e.rec.Claims {
		if c := &e.rec.Claims[i]; c.Bridged == r.Bridged && len(channelsFor(c, r)) > 0 {
			return true
		}
	}
	return false
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + strings.TrimSuffix(s[1:], ".")
}
