package datafile

import "wattsheet/generator/sheet"

// A dataAtLoad is what the unit did, or would do, at one nominal load: one that was
// tested, or that voice coils wired together have. It decides nothing, and is no
// permission to connect a load. Loads below the maker's lowest and outside the tested
// range are left out.
type dataAtLoad struct {
	// Ohm is the nominal load of a channel, or across a bridged pair.
	Ohm number `json:"ohm"`
	// Bridged is true for pairs of channels.
	Bridged bool `json:"bridged"`
	// Results are what there is, by method.
	Results []dataLoadResult `json:"results"`
}

// A dataLoadResult is what the unit did at a load by one method, or would do.
type dataLoadResult struct {
	// Method is the id of the method.
	Method string `json:"method"`
	// Estimate is true for what a load line gives: no measurement.
	Estimate bool `json:"estimate"`
	// Runs are the runs that it is the mean of, or those of the load line.
	Runs []string `json:"runs"`
	// Claims are the ids of the claims that these runs decided.
	Claims []string `json:"claims,omitempty"`
	// SupplyV is the mean supply voltage of the runs.
	SupplyV number `json:"supply_v"`
	// Channels are the channels' powers, in the order driven.
	Channels []dataLoadChannel `json:"channels"`
	// Total is the power of all driven channels; left out where a channel has no line.
	Total *dataBrief `json:"total,omitempty"`
	// SupplyA is the measured supply current.
	SupplyA *dataBrief `json:"supply_a,omitempty"`
	// Efficiency is the measured efficiency.
	Efficiency *dataBrief `json:"efficiency,omitempty"`
	// Heat is the measured heat in the unit.
	Heat *dataBrief `json:"heat,omitempty"`
	// Expected is what an estimate means; left out where that isn't known.
	Expected *dataLoadExpected `json:"expected,omitempty"`
	// OutV is the largest rms voltage at a channel's terminals.
	OutV number `json:"out_v"`
	// FuseA is the rating of the fuse in the supply lead; left out where none is advised.
	FuseA *number `json:"fuse_a,omitempty"`
	// FuseWhy is why no fuse is advised.
	FuseWhy string `json:"fuse_why,omitempty"`
	// Leads are the thinnest supply leads, by metal and length.
	Leads []dataLead `json:"leads,omitempty"`
}

// A dataLoadChannel is one channel's power at a load.
type dataLoadChannel struct {
	// Channel is the channel's name.
	Channel string `json:"channel"`
	// Power is its power.
	Power *dataBrief `json:"power"`
}

// A dataBrief is a figure without its components, which stand with the runs or the
// load line that it is made of.
type dataBrief struct {
	// Value is the estimate.
	Value number `json:"value"`
	// Unit is the unit of value and expanded.
	Unit string `json:"unit"`
	// Expanded is the expanded uncertainty for 95 %; null where nothing is known of it.
	Expanded *number `json:"expanded"`
	// Text is the figure as pages print it.
	Text string `json:"text"`
	// Formula is the id of the formula by which it came about.
	Formula string `json:"formula"`
	// Incomplete lists, in words, what the uncertainty lacks.
	Incomplete []string `json:"incomplete,omitempty"`
}

// A dataLoadExpected is what an estimated power means. It has no uncertainty.
type dataLoadExpected struct {
	// EfficiencyPct is the efficiency that is taken.
	EfficiencyPct number `json:"efficiency_pct"`
	// SupplyA is the supply current; left out for units on the mains.
	SupplyA *number `json:"supply_a,omitempty"`
	// HeatW is the heat in the unit.
	HeatW number `json:"heat_w"`
	// From says where they come from.
	From string `json:"from"`
}

// A dataLead is the thinnest supply lead that bears the fuse and loses little.
type dataLead struct {
	// Metal is copper or copper-clad aluminium.
	Metal string `json:"metal"`
	// LengthM is the length one way.
	LengthM number `json:"length_m"`
	// AreaMM2 is the standard cross-section; left out where the thickest isn't enough.
	AreaMM2 *number `json:"area_mm2,omitempty"`
	// AWG is the wire gauge; left out where the thickest isn't enough.
	AWG string `json:"awg,omitempty"`
	// DropV is what is lost in both poles, in the worse of the two sizes.
	DropV *number `json:"drop_v,omitempty"`
}

func briefly(f *sheet.Figure) *dataBrief {
	if f == nil {
		return nil
	}
	d := &dataBrief{Value: number(f.X), Unit: f.Unit, Text: f.Text, Formula: f.Formula, Incomplete: f.Incomplete}
	if f.U > 0 {
		d.Expanded = finite(f.U)
	}
	return d
}

// dataOfLoads are the loads at which there is something.
func dataOfLoads(s *sheet.Sheet) []dataAtLoad {
	var out []dataAtLoad
	for _, a := range s.AtLoads {
		if len(a.Results) == 0 {
			continue
		}
		d := dataAtLoad{Ohm: number(a.Ohm), Bridged: a.Bridged}
		for _, r := range a.Results {
			d.Results = append(d.Results, dataOfResult(r))
		}
		out = append(out, d)
	}
	return out
}

func dataOfResult(r *sheet.LoadResult) dataLoadResult {
	d := dataLoadResult{
		Method: r.Method.ID, Estimate: r.Estimate, Runs: list(r.Runs), SupplyV: number(r.SupplyV), Total: briefly(r.Total),
		SupplyA: briefly(r.SupplyA), Efficiency: briefly(r.Efficiency), Heat: briefly(r.Heat), OutV: number(r.OutV),
	}
	for _, c := range r.Claims {
		d.Claims = append(d.Claims, c.ID)
	}
	for _, c := range r.Channels {
		d.Channels = append(d.Channels, dataLoadChannel{c.Name, briefly(c.Power)})
	}
	if r.Estimate && r.EfficiencyPct > 0 {
		d.Expected = &dataLoadExpected{EfficiencyPct: number(r.EfficiencyPct), SupplyA: aboveZero(r.AmpsA), HeatW: number(r.HeatW), From: r.From}
	}
	if f := r.Fuse; f != nil {
		d.FuseWhy = f.Why
		if f.Why == "" {
			d.FuseA = aboveZero(f.RatingA)
		}
	}
	for _, l := range r.Leads {
		d.Leads = append(d.Leads, dataLead{l.Metal, number(l.LengthM), aboveZero(l.AreaMM2), l.Gauge, aboveZero(l.DropV)})
	}
	return d
}

// aboveZero is a number above 0; nil for any other, which stands for none.
func aboveZero(x float64) *number {
	if !(x > 0) {
		return nil
	}
	return finite(x)
}
