package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/record"
)

// An AtLoad is what the unit did, would do or isn't asked to do at one nominal load:
// one that voice coils wired together have, or one that was tested. None of it is a
// permission; [LoadCaution] and [CoilCaution] stand beside it.
type AtLoad struct {
	Ohm     float64 // a channel, or across a bridged pair
	Bridged bool
	Kind    LoadKind
	Why     string        // why there is no figure, in a sentence; empty where there is one
	Results []*LoadResult // by method, in the order of methods.toml
	Claims  []*Claim      // for this load
}

// A LoadKind says what there is at a load.
type LoadKind string

// The kinds of loads: with a measured figure; with an estimate alone; below the
// maker's lowest; outside the tested range; inside it without a figure.
const (
	LoadMeasured LoadKind = "measured"
	LoadEstimate LoadKind = "estimate"
	LoadRefused  LoadKind = "refused"
	LoadOutside  LoadKind = "outside"
	LoadNothing  LoadKind = "nothing"
)

// CoilCaution stands beside a load that is made of voice coils.
const CoilCaution = "A coil's nominal impedance is not its resistance: it changes with frequency and rises in a box, so a speaker takes another power than a resistor of as many ohms."

// Text is the load for people: "4 Ω bridged".
func (a *AtLoad) Text() string { return Point{Ohm: a.Ohm, Bridged: a.Bridged}.Load() }

// A LoadResult is what the unit did at a load by one method, or would do.
type LoadResult struct {
	Method   *record.Method
	Estimate bool     // by the load line: no measurement, never for a verdict
	Runs     []string // that it is the mean of; of an estimate those of the load lines
	SupplyV  float64  // mean supply voltage of these runs

	Channels []LoadChannel // in the order driven
	Weakest  int           // the channel with the least power
	Total    *Figure       // of all driven channels; nil where not every channel has a line

	// What was measured; nil for an estimate, or where it wasn't read.
	SupplyA, Efficiency, Heat *Figure
	// What it means: the measured means, or for an estimate what follows from an
	// efficiency; 0 where unknown.
	AmpsA, EfficiencyPct, HeatW float64
	From                        string // where these come from, in words

	OutV  float64 // the largest rms volts at a channel's terminals
	Shock bool    // they are above 50 V
	Fuse  *LoadFuse
	Leads []LoadLead // by metal, then length

	Claims []*Claim // that were decided by its runs
}

// A LoadChannel is one channel's power at a load.
type LoadChannel struct {
	Name  string
	Power *Figure
}

// atLoads evaluates each load that is asked about, unbridged ones first, from low to
// high.
func (e *evaluator) atLoads(s *Sheet) []*AtLoad {
	all := Points([]*Sheet{s})
	out := e.loadsAsked(s, all, false)
	if e.bridges(s) {
		out = append(out, e.loadsAsked(s, all, true)...)
	}
	return out
}

// bridges reports whether anything speaks of the unit bridged.
func (e *evaluator) bridges(s *Sheet) bool {
	return e.rec.Unit.LowestBridgedOhm.Given() ||
		slices.ContainsFunc(s.Runs, func(r *Run) bool { return r.Bridged && r.Valid }) ||
		slices.ContainsFunc(s.Claims, func(c *Claim) bool { return c.Rec.Bridged })
}

func (e *evaluator) loadsAsked(s *Sheet, all []Point, bridged bool) []*AtLoad {
	var tested []float64
	for _, p := range all {
		if p.Bridged == bridged && !slices.ContainsFunc(tested, p.Near) {
			tested = append(tested, p.Ohm)
		}
	}
	var out []*AtLoad
	for _, ohm := range wiredLoads(tested) {
		a := &AtLoad{Ohm: ohm, Bridged: bridged}
		for _, c := range s.Claims {
			if c.Rec.Bridged == bridged && within(c.Rec.LoadOhm.Value, ohm, nominalReach) {
				a.Claims = append(a.Claims, c)
			}
		}
		e.ask(s, a, tested)
		out = append(out, a)
	}
	return out
}

// ask fills in what there is at a load.
func (e *evaluator) ask(s *Sheet, a *AtLoad, tested []float64) {
	if why := e.refused(a); why != "" {
		a.Kind, a.Why = LoadRefused, why
		return
	}
	var left []string
	for i := range e.content.Methods.Methods {
		m := &e.content.Methods.Methods[i]
		if at := (Point{m, a.Ohm, a.Bridged}); at.tried(s) {
			st := StandingOf(s, at)
			if st.Total != nil {
				a.Results = append(a.Results, e.didThere(s, st))
				a.Kind = LoadMeasured
				continue
			}
			left = append(left, st.leftText())
		}
		if r := e.wouldThere(s, a, m); r != nil {
			a.Results = append(a.Results, r)
		}
	}
	switch {
	case a.Kind == LoadMeasured:
	case len(a.Results) > 0:
		a.Kind = LoadEstimate
	default:
		a.Kind, a.Why = e.nothing(s, a, tested, left)
	}
}

// refused says why nothing is said of a load; empty where it isn't below the maker's
// lowest.
func (e *evaluator) refused(a *AtLoad) string {
	const end = " Such a load can damage the unit, or set it on fire: no figure is given for it."
	one, pair := e.rec.Unit.LowestOhm, e.rec.Unit.LowestBridgedOhm
	below := func(ohm float64, n record.Number) bool { return n.Given() && ohm < (1-nominalReach)*n.Value }
	switch {
	case !a.Bridged && below(a.Ohm, one):
		return fmt.Sprintf("%s is below the maker's lowest load of %s a channel.", a.Text(), Ohms(one.Value)) + end
	case a.Bridged && below(a.Ohm, pair):
		return fmt.Sprintf("%s is below the maker's lowest bridged load of %s.", a.Text(), Ohms(pair.Value)) + end
	case a.Bridged && below(a.Ohm/2, one):
		return fmt.Sprintf("Of %s each channel sees half, %s, which is below the maker's lowest load of %s.", a.Text(), Ohms(a.Ohm/2), Ohms(one.Value)) + end
	}
	return ""
}

// nothing says why there is no figure at a load that isn't refused.
func (e *evaluator) nothing(s *Sheet, a *AtLoad, tested []float64, left []string) (LoadKind, string) {
	switch {
	case len(left) > 0:
		return LoadNothing, "No figure at " + a.Text() + ": " + strings.Join(left, "; ") + "."
	case len(tested) == 0 && a.Bridged:
		return LoadNothing, "It wasn't tested bridged."
	case len(tested) == 0 && slices.ContainsFunc(s.Runs, func(r *Run) bool { return r.Bridged && r.Valid }):
		return LoadNothing, "It was tested bridged only."
	case len(tested) == 0:
		return LoadNothing, "It wasn't tested with one load at all its driven channels."
	}
	low, high := slices.Min(tested), slices.Max(tested)
	if a.Ohm < low || a.Ohm > high {
		reach := "the tested range, " + plain(low) + " to " + Ohms(high)
		if low == high {
			reach = "what was tested, " + Ohms(low) + " alone"
		}
		return LoadOutside, a.Text() + " is outside " + reach + ": no number is given for it."
	}
	return LoadNothing, a.Text() + " wasn't tested, and no load line fits the loads around it: nothing is estimated for it."
}

// didThere is what the unit did at a point.
func (e *evaluator) didThere(s *Sheet, st *Standing) *LoadResult {
	r := &LoadResult{Method: st.At.Method, Runs: st.Runs, SupplyV: st.SupplyV, Total: st.Total}
	for i, c := range st.runs[0].Channels {
		var powers []measured
		for _, run := range st.runs {
			if i < len(run.Channels) && run.Channels[i].Name == c.Name && run.Channels[i].Power != nil {
				p := run.Channels[i].Power
				powers = append(powers, measured{p.value, p.Incomplete})
			}
		}
		if len(powers) > 0 {
			r.Channels = append(r.Channels, LoadChannel{c.Name, figure("mean", "y", formula.Mean, meanOf(powers))})
		}
	}
	r.SupplyA = meanFigure(st.runs, func(r *Run) *Figure { return r.SupplyA })
	r.Efficiency = meanFigure(st.runs, func(r *Run) *Figure { return r.Efficiency })
	r.Heat = meanFigure(st.runs, func(r *Run) *Figure { return r.Heat })
	r.From = "measured"
	for _, f := range []struct {
		to *float64
		of *Figure
	}{{&r.AmpsA, r.SupplyA}, {&r.EfficiencyPct, r.Efficiency}, {&r.HeatW, r.Heat}} {
		if f.of != nil {
			*f.to = f.of.X
		}
	}
	for _, c := range s.Claims {
		if c.decidedBy(st.Runs) {
			r.Claims = append(r.Claims, c)
		}
	}
	e.consequences(r, st.At.Ohm)
	return r
}

// decidedBy reports whether a claim rests on any of these runs.
func (c *Claim) decidedBy(runs []string) bool {
	return slices.ContainsFunc(c.Channels, func(ch *ClaimChannel) bool {
		return slices.ContainsFunc(ch.Runs, func(id string) bool { return slices.Contains(runs, id) })
	})
}

// meanFigure is the mean of a figure of runs; nil where one of them lacks it.
func meanFigure(runs []*Run, of func(*Run) *Figure) *Figure {
	var values []measured
	for _, r := range runs {
		f := of(r)
		if f == nil {
			return nil
		}
		values = append(values, measured{f.value, f.Incomplete})
	}
	if len(values) == 1 {
		return of(runs[0])
	}
	first := of(runs[0])
	return figure(first.Quantity, first.Symbol, formula.Mean, meanOf(values))
}

// consequences sets what follows from a result: volts, fuse and leads.
func (e *evaluator) consequences(r *LoadResult, ohm float64) {
	for i, c := range r.Channels {
		if c.Power.X < r.Channels[r.Weakest].Power.X {
			r.Weakest = i
		}
		r.OutV = math.Max(r.OutV, math.Sqrt(math.Max(0, c.Power.X)*ohm))
	}
	r.Shock = r.OutV > shockV
	if e.rec.Unit.Supply != "mains" && r.AmpsA > 0 {
		most := r.AmpsA
		if r.SupplyA != nil {
			most += r.SupplyA.U
		}
		r.Fuse = e.loadFuse(most)
		r.Leads = loadLeads(r.Fuse, r.AmpsA, r.SupplyV)
	}
}
