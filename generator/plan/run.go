package plan

import (
	"fmt"
	"math"

	"wattsheet/generator/electric"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

const commonPractice = "common practice, no source"

// usualPct is the efficiency at full output, in percent, that a plan assumes of each
// class, below what most units do so that the supply isn't planned too small (common
// practice, no source; an ideal class B stage has π/4, 78.5 %).
var usualPct = map[string]float64{"A": 25, "AB": 60, "B": 65, "D": 80, "G": 65, "H": 65}

const (
	fuseRoom    = 1.25 // a fuse in the bench's own line carries a quarter more than is expected
	unknownPct  = 50   // where the record names no class
	mainsFactor = 0.65 // power factor of a rectifier with capacitors
	leadC       = electric.WarmLeadC
)

// unit sets what is the same in every run.
func (p *planner) unit() {
	u := &p.rec.Unit
	p.about = unitFacts{mains: u.Supply == "mains", factor: 1}
	for _, n := range u.FusesA.Items {
		p.about.fusesA += n.Value
	}
	p.efficiency(u.Class)
	if p.about.mains {
		p.about.factor = mainsFactor
		p.assume("power-factor", commonPractice, "power factor at the mains: %s", quantity.Float(mainsFactor))
	}
	p.assume("air", "the usual reference temperature of instruments, from memory", "air at %s while readings are taken", unit(airC, "°C"))
	p.assume("supply", "a simplification", "the supply is trimmed under load, until the unit's terminals have the claim's voltage")
	p.assume("idle", "a simplification", "what the unit takes without a signal is not counted")
	for i, n := range u.FusesA.Items {
		if r, ok := electric.BladeRating(n.Value); ok && r != n.Value && !p.about.mains {
			p.plan.Flags = append(p.plan.Flags, Flag{"unusual-fuse", fmt.Sprintf("fuse %d of the record is for %s, which no blade fuse is rated for (ISO 8820-3, from memory)", i+1, unit(n.Value, "A")), "Look at the fuse itself; never fit a larger one than the maker names."})
		}
	}
}

// efficiency is what bench.toml expects of the unit's class, or an assumption.
func (p *planner) efficiency(class string) {
	for _, x := range p.bench().Expects {
		if x.Class == class && class != "" {
			p.about.efficiencyPct = x.EfficiencyPct.Value
			p.assume("efficiency", "bench.toml", "efficiency of class %s at full output: %s", class, unit(x.EfficiencyPct.Value, "%"))
			return
		}
	}
	x, known := usualPct[class]
	switch {
	case !known:
		p.about.efficiencyPct = unknownPct
		p.assume("efficiency", commonPractice, "efficiency at full output, of a unit without a class in its record: %s", unit(unknownPct, "%"))
	case class == "AB" || class == "B":
		p.about.efficiencyPct = x
		p.assume("efficiency", commonPractice+"; the limit is π/4", "efficiency of class %s at full output: %s (an ideal class B stage has %s with a sine)", class, unit(x, "%"), percent(electric.ClassBLimit(0)))
	default:
		p.about.efficiencyPct = x
		p.assume("efficiency", commonPractice, "efficiency of class %s at full output: %s", class, unit(x, "%"))
	}
}

// run evaluates what a job is expected to do.
func (p *planner) run(j *job) *Run {
	m := j.method
	r := &Run{
		Method: m.ID, MethodTitle: m.Title, Signal: m.Signal, FreqHz: Number(j.freqHz), ThdnPct: Number(m.ThdnPct.Value), Clipping: m.IntoClipping,
		DurationS: Number(j.seconds()), Share: Number(j.share()), Bridged: j.bridged, TotalW: Number(j.totalW()),
		RestS: Number(electric.Rest(j.seconds(), j.share())), Claims: []string{}, Flags: []Flag{}, job: j, mains: p.about.mains,
	}
	if !m.DurationS.Given() {
		p.assume("duration", commonPractice, "runs by a method that states no duration: %s", unit(usualS, "s"))
	}
	if m.Signal == "burst" && m.EveryMS.Given() {
		p.assume("between-bursts", "a simplification", "nothing is given or taken between bursts")
	}
	for _, c := range j.claims {
		r.Claims = append(r.Claims, c.ID)
	}
	p.outputsOf(j, r)
	p.supply(j, r)
	p.heat(j, r)
	p.limits(j, r) // first what is dangerous
	p.meters(j, r)
	return r
}

// outputsOf are the expected outputs of a run.
func (p *planner) outputsOf(j *job, r *Run) {
	for _, d := range j.drives {
		o := Output{
			Channel: d.channel, LoadOhm: Number(d.ohm), W: Number(d.watts), V: Number(volts(d)), A: Number(electric.Amperes(d.watts, d.ohm)),
			HeatW: Number(d.watts * j.share()), Assumed: d.assumed,
		}
		if l := d.load; l != nil {
			o.Load, o.MaxW = l.ID, Number(l.MaxW.Value)
			// the lead takes its share of the power at the terminals
			o.HeatW = Number(d.watts * j.share() * l.Ohm.Value / (l.Ohm.Value + l.LeadOhm.Value))
			o.MarginW = left(o.MaxW, o.HeatW)
		}
		if d.load == nil {
			p.assume("load", "for the sake of a figure", "a load that bench.toml doesn't have: exactly its nominal resistance, known to ±%s", unit(standInPct, "%"))
		}
		r.Outputs = append(r.Outputs, o)
	}
}

// supply is what a run takes from the supply whose voltage is nearest to the claim's.
func (p *planner) supply(j *job, r *Run) {
	amps := p.supplyAmps(j)
	r.Supply = Supply{
		V: Number(j.supplyV), EfficiencyPct: Number(p.about.efficiencyPct), W: Number(j.totalW() / p.about.efficiencyPct * 100),
		A: Number(amps), MeanA: Number(amps * j.share()), FusesA: Number(p.about.fusesA),
	}
	if blade, ok := electric.BladeRating(fuseRoom * amps); ok && !p.about.mains && j.share() == 1 {
		r.Supply.BladeA = Number(blade)
		p.assume("bench-fuse", commonPractice, "a fuse of the bench's own carries %s times the expected current; ratings of blade fuses by ISO 8820-3, from memory", quantity.Float(fuseRoom))
	}
	s := p.nearest(j.supplyV)
	if s == nil {
		return
	}
	r.Supply.ID, r.Supply.MaxA, r.Supply.Leads = s.ID, Number(s.Amps.Value), s.Leads
	r.Supply.MarginA = left(r.Supply.MaxA, r.Supply.A)
	if area := leadMM2(s); area > 0 && s.LeadM.Given() {
		ohms := electric.LeadOhms(s.LeadM.Value, s.LeadCables.Or(1), area, leadC)
		r.Supply.LeadOhm, r.Supply.LeadDropV, r.Supply.LeadHeatW = Number(ohms), Number(amps*ohms), Number(amps*amps*ohms*j.share())
		p.assume("leads", commonPractice, "the supply's leads have as much copper as their size says, at %s; a cable may have 15%s%% more resistance (IEC 60228, from memory), and lugs and fuse holders come on top", unit(leadC, "°C"), nbsp)
	}
}

// left is what is left of a limit; nil where there is none.
func left(limit, used Number) *Number {
	if limit == 0 {
		return nil
	}
	n := limit - used
	return &n
}

// nearest is the bench's supply for a voltage: the nearest to it, of two as near the
// one that gives more; nil where none is within reach.
func (p *planner) nearest(v float64) *record.Supply {
	var best *record.Supply
	off := func(s *record.Supply) float64 { return math.Abs(s.Volts.Value - v) }
	for i := range p.bench().Supplies {
		s := &p.bench().Supplies[i]
		if !s.Volts.Given() || !sheet.NearSupply(s.Volts.Value, v) {
			continue
		}
		if best == nil || off(s) < off(best) || off(s) == off(best) && s.Amps.Value > best.Amps.Value {
			best = s
		}
	}
	return best
}

// leadMM2 is the cross-section of one cable of a supply's leads; 0 where it isn't
// known.
func leadMM2(s *record.Supply) float64 {
	if s.LeadMM2.Given() {
		return s.LeadMM2.Value
	}
	if g, known := gauges[s.LeadAWG]; known {
		return electric.GaugeMM2(g)
	}
	return 0
}

// gauges are the numbers of the wire gauges that bench.toml takes.
var gauges = map[string]int{
	"4/0": -3, "3/0": -2, "2/0": -1, "1/0": 0, "1": 1, "2": 2, "3": 3, "4": 4, "5": 5, "6": 6, "8": 8, "10": 10, "12": 12, "14": 14, "16": 16,
}

// heat is where the energy of a run goes.
func (p *planner) heat(j *job, r *Run) {
	unit := electric.ExpectedHeat(j.totalW(), p.about.efficiencyPct)
	var load float64
	for _, o := range r.Outputs {
		load += float64(o.HeatW)
	}
	r.Heat = Heat{
		UnitW: Number(unit), MeanW: Number(unit * j.share()), LoadW: Number(load),
		EnergyJ: Number(electric.Energy(float64(r.Supply.W), j.seconds(), j.share())),
		UnitJ:   Number(electric.Energy(unit, j.seconds(), j.share())), LoadJ: Number(load * j.seconds()),
	}
}
