package formula

// The ids of what a bench plan is made by. A plan is an expectation: no result and no
// verdict comes by these. Some serve "at my load" too.
const (
	PlannedAmps   = "amperes-expected"
	PlannedSupply = "supply-current-expected"
	PlannedHeat   = "heat-expected"
	PlannedEnergy = "energy-expected"
	LeadOhms      = "lead-resistance"
	LeadDrop      = "lead-drop"
	WireGauge     = "wire-gauge"
	PlannedRest   = "rest-between-runs"
)

// forPlans says of each formula of a plan what it is not for.
var forPlans = "For bench plans, before anything is measured."

// alsoLoads is that of a formula that serves "at my load" too.
var alsoLoads = "For bench plans, before anything is measured, and for “at my load”."

// planning is what a bench plan comes by.
func planning() []Formula {
	total := Symbol{"ΣP", "W", "expected power of all driven channels, at a load without a run the load lines'"}
	eta := Symbol{"η", "1", "efficiency as bench.toml expects it of the unit's class, or as the plan assumes it; at a load without a run the one between those beside"}
	amps := Symbol{"Is", "A", "supply current while the signal is at full level"}
	return []Formula{
		{PlannedAmps, "Output amperes, expected", "I = √(P/R)", []Symbol{{"I", "A", "rms amperes of one channel"}, {"P", "W", "claimed power of the channel"}, {"R", "Ω", "nominal load of the channel, or of the bridged pair"}},
			"Joule's and Ohm's laws", forPlans},
		{PlannedSupply, "Supply current, expected", "Is = ΣP/(η·V·λ)", []Symbol{amps, total, eta, {"V", "V", "supply voltage of the claim, or the assumed one; at a load without a run the mean of the load line's runs"}, {"λ", "1", "power factor: 1 for direct current"}},
			"Joule's law; definition of efficiency", alsoLoads + " What the unit takes without a signal is not counted."},
		{PlannedHeat, "Heat in the unit, expected", "H = ΣP·(1/η − 1)", []Symbol{{"H", "W", "heat in the unit while the signal is at full level"}, total, eta},
			"conservation of energy", alsoLoads},
		{PlannedEnergy, "Energy of a run, expected", "W = Ps·t·D", []Symbol{{"W", "J", "energy from the supply in one run; likewise of the heat, with its power for Ps"}, {"Ps", "W", "power while the signal is at full level"}, {"t", "s", "duration of the run"}, {"D", "1", "share of the time at full level: 1, or for bursts their length by the time from one to the next"}},
			"definition of energy", forPlans + " What a signal does between bursts is not counted."},
		{LeadOhms, "Resistance of the supply leads", "Rl = 2·ρ·l/(n·A)·(1 + α·(T − T0))",
			[]Symbol{{"Rl", "Ω", "resistance of both poles together"}, {"ρ", "Ω·m", "resistivity at T0: of annealed copper 1/58 Ω·mm²/m, of copper-clad aluminium 0.02743"}, {"l", "m", "length one way"}, {"n", "1", "cables in parallel, a pole"}, {"A", "mm²", "cross-section of one cable"}, {"α", "1/K", "0.00393, of copper-clad aluminium 0.00403"}, {"T", "°C", "temperature of the metal"}, {"T0", "°C", "20"}},
			"IEC 60028 (resistance of copper); ASTM B566, class 10A, and IEC 60889 (copper-clad aluminium; from memory)", alsoLoads + " Lugs, screws and fuse holders are not counted; a cable may have up to 15\u00a0% more by its standard (IEC 60228, from memory)."},
		{LeadDrop, "Voltage drop of the supply leads", "ΔV = Is·Rl", []Symbol{{"ΔV", "V", "drop between supply and unit, both poles"}, amps, {"Rl", "Ω", "resistance of both poles together"}},
			"Ohm's law", alsoLoads},
		{WireGauge, "Cross-section of a wire gauge", "A = (π/4)·d², d = 0.127·92^((36 − g)/39)",
			[]Symbol{{"A", "mm²", "copper cross-section"}, {"π", "1", "3.14159…"}, {"d", "mm", "diameter of the solid wire"}, {"g", "1", "gauge number; 0 for 1/0, −1 for 2/0, −2 for 3/0, −3 for 4/0"}},
			"ASTM B258 (from memory)", alsoLoads + " A stranded cable of a gauge may have less copper: its maker's data sheet counts."},
		{PlannedRest, "Rest between runs", "tr = 4·t·D", []Symbol{{"tr", "s", "shortest rest after a run"}, {"t", "s", "duration of the run"}, {"D", "1", "share of the time at full level"}},
			"common practice, no source", forPlans + " A minute at least, and until the unit's heat sink is back within 5 K of where it began."},
	}
}
