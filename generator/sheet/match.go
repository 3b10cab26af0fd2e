package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// Why a claim is open, untested or incomparable, beside the reasons of the rule
// (close, distortion, supply, load).
const (
	reasonOutcome   = "outcome"   // a matching run ended in protection, with the fuse, or was stopped
	reasonReadings  = "readings"  // watt-meter and volts disagree
	reasonCondition = "condition" // short, but only under an assumed condition
	reasonFrequency = "frequency" // all runs at another frequency
	reasonNoRun     = "no-run"    // no valid run at that load
	reasonUnlike    = "unlike"    // other channels, bridging, signal or method
)

// Classes of a channel's runs by distortion against the claim's.
const (
	classAt    = "at"
	classBelow = "below"
	classAbove = "above"
)

// supplyReach is how far a run's supply voltage may be from the claim's, and
// loadReach how far the load at the terminals may be from the claim's, as
// fractions.
const (
	supplyReach  = 0.10
	loadReach    = 0.05
	nominalReach = 0.01
)

// hair is what binary numbers take off a limit that decimal ones just reach: 15.4 V
// are 10 % more than 14 V.
const hair = 1e-12

// within reports whether x is off by no more than a fraction of what it should be.
func within(x, of, reach float64) bool { return math.Abs(x-of) <= (reach+hair)*of }

// NearSupply reports whether a run at a supply voltage counts for a claim at another.
func NearSupply(volts, claimed float64) bool { return within(volts, claimed, supplyReach) }

// terms are the conditions that a claim is decided under: its own, or those that
// the site assumes.
type terms struct {
	supplyV, thdnPct           float64
	supplyAssumed, thdnAssumed bool
	supplyMissing, thdnMissing bool
}

// termsOf are a claim's conditions, completed by the site's assumptions.
func (e *evaluator) termsOf(c *record.Claim) terms {
	assume := e.content.Site.Assume
	t := terms{supplyV: c.SupplyV.Value, thdnPct: c.ThdnPct.Value}
	if !c.SupplyV.Given() {
		n := assume.SupplyDCV
		if e.rec.Unit.Supply == "mains" {
			n = assume.SupplyMainsV
		}
		t.supplyV, t.supplyAssumed, t.supplyMissing = n.Value, n.Given(), !n.Given()
	}
	if !c.ThdnPct.Given() {
		t.thdnPct, t.thdnAssumed, t.thdnMissing = assume.ThdnPct.Value, assume.ThdnPct.Given(), !assume.ThdnPct.Given()
	}
	return t
}

// A chosen run is one with the channels of it that a claim is for.
type chosen struct {
	run      *Run
	channels []*Channel
}

// channelsFor are the channels of a run that a claim is for: those it names, or
// else those at its load.
func channelsFor(c *record.Claim, r *Run) []*Channel {
	its := func(ch *Channel) bool {
		return within(ch.Nominal, c.LoadOhm.Value, nominalReach) && (len(c.Of) == 0 || slices.Contains(c.Of, ch.Name))
	}
	n := 0
	for _, ch := range r.Channels {
		if its(ch) {
			n++
		}
	}
	switch n {
	case 0:
		return nil
	case len(r.Channels):
		return r.Channels
	}
	out := make([]*Channel, 0, n)
	for _, ch := range r.Channels {
		if its(ch) {
			out = append(out, ch)
		}
	}
	return out
}

// A match is what the runs of a record are to a claim.
type match struct {
	atLoad  int      // valid runs at the claim's load
	like    int      // of these, on the claim's channels, bridging, signal and method
	nearest int      // how far the most similar of the others came, see unlike
	unlike  []string // how those differ
	counted []chosen // completed, or at the limit of the bench's supply: they decide by class
	ended   []*Run   // matching runs that the unit or the tester ended
	cut     []*Run   // these, and those of which no supply voltage was read
	lost    map[string]bool
	// supplyOff tells that a run is lost to its supply voltage itself, not to how it was read.
	supplyOff bool
	uses      []Use
}

// match sorts the runs by what they are to the claim.
func (e *evaluator) match(c *record.Claim, t terms, runs []*Run) *match {
	m := &match{lost: map[string]bool{}}
	for _, r := range runs {
		channels := channelsFor(c, r)
		if len(channels) == 0 {
			continue
		}
		if !r.Valid {
			m.skip(r, "marked invalid")
			continue
		}
		m.atLoad++
		if near, why := e.unlike(c, r, len(channels)); why != "" {
			m.differs(near, why)
			m.skip(r, why)
			continue
		}
		m.like++
		if reason, why := e.lost(c, t, r); reason != "" {
			m.lost[reason] = true
			m.skip(r, why)
			switch {
			case reason == reasonOutcome:
				m.cut = append(m.cut, r)
			case reason == verdict.Supply && !strings.HasPrefix(why, notAsNeeded):
				m.supplyOff = true
			}
			continue
		}
		m.take(chosen{r, channels})
	}
	return m
}

// decided marks a run that decides although it didn't end as planned.
func (m *match) decided(r *Run) {
	for i := range m.uses {
		if m.uses[i].Run == r.ID {
			m.uses[i].Counts, m.uses[i].Why = true, "it decides: "+m.uses[i].Why
		}
	}
}

func (m *match) skip(r *Run, why string) { m.uses = append(m.uses, Use{r.ID, false, why}) }

// differs keeps how the most similar runs differ.
func (m *match) differs(near int, why string) {
	if near > m.nearest {
		m.nearest, m.unlike = near, nil
	}
	if near == m.nearest && !slices.Contains(m.unlike, why) {
		m.unlike = append(m.unlike, why)
	}
}

// ends reports whether the unit, its fuse or the tester ended a run.
func ends(r *Run) bool {
	return r.Rec.Outcome == "protected" || r.Rec.Outcome == "fuse" || r.Rec.Outcome == "stopped"
}

// endedUnread says why a run that was ended bears on no claim: it doesn't match one without
// its supply voltage, and so can't keep one open.
func endedUnread(r *Run) string { return outcomes[r.Rec.Outcome] + ", and no supply voltage was read" }

// take puts a matching run where its outcome says.
func (m *match) take(c chosen) {
	r := c.run
	if ends(r) {
		m.ended, m.cut = append(m.ended, r), append(m.cut, r)
		m.lost[reasonOutcome] = true
		m.skip(r, outcomes[r.Rec.Outcome])
		return
	}
	m.counted = append(m.counted, c)
}

// atLoad reports whether all of a run's channels are at a load.
func atLoad(r *Run, ohm float64) bool {
	for _, c := range r.Channels {
		if !within(c.Nominal, ohm, nominalReach) {
			return false
		}
	}
	return len(r.Channels) > 0
}

// unlike says how a run differs from a claim in what can't be bridged; empty when
// it doesn't. near is larger the more conditions agree before the first that
// doesn't. own is the number of the run's channels that the claim is for.
func (e *evaluator) unlike(c *record.Claim, r *Run, own int) (near int, why string) {
	m := r.Method
	n := int(c.Channels.Value)
	switch driven := int(c.Driven.Or(c.Channels.Value)); {
	case c.Bridged && !r.Bridged:
		return 0, "not bridged"
	case !c.Bridged && r.Bridged:
		return 0, "bridged"
	case len(r.Channels) != driven:
		return 1, fmt.Sprintf("%s driven, the claim is for %s", countOf(len(r.Channels), "channel"), number(driven))
	case own != n:
		return 1, fmt.Sprintf("%s at this load, the claim is for %s", countOf(own, "channel"), number(n))
	case m.Signal != c.Signal:
		return 2, fmt.Sprintf("a %s signal, the claim is for a %s one", m.Signal, c.Signal)
	case !c.DurationS.Given() && !m.AnswersUnstated:
		return 3, fmt.Sprintf("the method “%s” doesn't answer claims without a duration", m.Title)
	case c.DurationS.Given() && m.AnswersUpToS.Or(m.DurationS.Value) < c.DurationS.Value:
		return 3, fmt.Sprintf("the method “%s” answers claims for up to %s%ss, not %s%ss", m.Title, plain(m.AnswersUpToS.Or(m.DurationS.Value)), nbsp, plain(c.DurationS.Value), nbsp)
	}
	return 4, ""
}

// lost says for which condition a run is lost to a claim; empty when it is not.
func (e *evaluator) lost(c *record.Claim, t terms, r *Run) (reason, why string) {
	if !inBand(c.FreqHz.Items, r.FreqHz) {
		return reasonFrequency, fmt.Sprintf("measured at %s, the claim is for %s", hertz(r.FreqHz), bandText(c.FreqHz.Items))
	}
	switch {
	case t.supplyMissing:
		return "supply", "the claim names no supply voltage, and the site assumes none"
	case r.SupplyV == nil && ends(r):
		return reasonOutcome, endedUnread(r)
	case r.SupplyV == nil:
		return "supply", "no supply voltage was read"
	case !e.supplyWithin(r):
		return "supply", notAsNeeded + neededFor[r.Method.Signal == "burst"]
	case !within(r.SupplyV.X, t.supplyV, supplyReach):
		return "supply", fmt.Sprintf("supply at %s%sV, more than 10%s%% off %s %s%sV", r.SupplyV.ValueText, nbsp, nbsp, whose(t.supplyAssumed), plain(t.supplyV), nbsp)
	case t.thdnMissing:
		return "distortion", "the claim names no distortion, and the site assumes none"
	case e.powerless(r):
		return "readings", "no power was read"
	}
	return "", ""
}

// whose says whether a condition is the claim's own or the site's assumption.
func whose(assumed bool) string {
	if assumed {
		return "the assumed"
	}
	return "the claim's"
}

// notAsNeeded is why a run doesn't count whose supply voltage is another figure than the
// signal needs, and neededFor the one that it needs: of a burst, or of a continuous one.
const notAsNeeded = "the supply voltage was not read as the signal needs it"

var neededFor = map[bool]string{
	true: ": the lowest within a burst, by an instrument that is stated to read it there", false: ": as a mean",
}

// supplyWithin reports whether a run's supply voltage belongs to its signal: a
// mean for a continuous one; within the burst, by an instrument that can, for a
// burst.
func (e *evaluator) supplyWithin(r *Run) bool {
	low := r.Rec.ReadAs.SupplyV == "held-min"
	if r.Method.Signal != "burst" {
		return !low
	}
	if r.SupplyV != nil && r.SupplyV.Formula == formula.CaptureMean {
		return true // it was read within the bursts
	}
	i := r.Rec.InstrumentFor("supply_v", e.content.Bench)
	return low && i != nil && i.ShortestBurstMS.Given() && r.Method.BurstMS.Given() && i.ShortestBurstMS.Value <= r.Method.BurstMS.Value
}

// powerless reports whether a run that would count gives no power for a channel.
func (e *evaluator) powerless(r *Run) bool {
	if r.Rec.Outcome != "completed" && r.Rec.Outcome != "supply-limit" {
		return false
	}
	for _, c := range r.Channels {
		if c.Power == nil {
			return true
		}
	}
	return false
}

// inBand reports whether a frequency is the claim's, or inside the claimed band,
// or the claim names none.
func inBand(claim []record.Number, f float64) bool {
	switch len(claim) {
	case 0:
		return true
	case 1:
		return within(f, claim[0].Value, nominalReach)
	}
	low, high := claim[0].Value, claim[1].Value
	return f >= low && f <= high || within(f, low, nominalReach) || within(f, high, nominalReach)
}

func bandText(claim []record.Number) string {
	texts := make([]string, len(claim))
	for i, n := range claim {
		texts[i] = hertz(n.Value)
	}
	return strings.Join(texts, " to ")
}

// classOf is the class of one channel of a counted run by distortion, and why;
// the empty class decides nothing. A run at one frequency of a claimed band and a
// held peak bound the power from above; a limit of the bench's own supply bounds
// it from below; both at once bound nothing.
func (e *evaluator) classOf(c *record.Claim, limit float64, r *Run, ch *Channel) (class, why string) {
	var above, below string // why the run bounds the power from there
	whose := whose(!c.ThdnPct.Given())
	d := ch.Distortion
	switch {
	case d != nil && d.Incomplete != nil && r.Captured != nil:
		return "", "its recorder's own distortion is not known"
	case d != nil && d.Incomplete != nil:
		return "", "its distortion reading has no specified instrument"
	case d == nil && r.Method.IntoClipping:
		above = "driven into clipping"
	case d == nil:
		return "", "its distortion is not known"
	case d.X > limit+d.U:
		above = "at " + d.ValueText + nbsp + "% distortion, above " + whose + " " + plain(limit) + nbsp + "%"
	case d.X < limit-d.U:
		below = "at " + d.ValueText + nbsp + "% distortion, below " + whose + " " + plain(limit) + nbsp + "%"
	}
	if len(c.FreqHz.Items) == 2 {
		above = "one frequency, " + hertz(r.FreqHz) + ", of the claimed band"
	}
	if held(r.Rec.ReadAs.PowerW) && len(r.Rec.PowerW.Items) > 0 || held(r.Rec.ReadAs.OutV) && len(r.Rec.PowerW.Items) == 0 {
		above = "a held peak"
	}
	if r.Rec.Outcome == "supply-limit" {
		below = outcomes["supply-limit"]
	}
	switch {
	case above != "" && below != "":
		return "", above + ", and " + below + ": it bounds nothing"
	case above != "":
		return classAbove, above
	case below != "":
		return classBelow, below
	}
	return classAt, "at " + whose + " distortion"
}
