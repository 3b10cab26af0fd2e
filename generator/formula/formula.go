// Package formula is the catalogue of every formula by which a published figure
// comes about: id, title, expression, symbols and source. The methodology page
// prints exactly this catalogue, and every derived figure names its entry.
package formula

import (
	"slices"
	"sync"
)

// A Formula is one entry of the catalogue.
type Formula struct {
	// ID is stable: it is part of an address and of every data file.
	ID string
	// Title says what the formula gives.
	Title string
	// Expression is the formula in plain text.
	Expression string
	// Symbols explains each symbol of the expression.
	Symbols []Symbol
	// Source is the standard, clause or law that it rests on.
	Source string
	// Note says where it holds, or what it leaves out.
	Note string
}

// A Symbol is one symbol of an expression, with its unit and meaning.
type Symbol struct {
	Name    string // the symbol as the expression has it
	Unit    string // its unit: W
	Meaning string // what the symbol stands for
}

// The catalogue's ids.
const (
	AsRead          = "as-read"
	LoadAtHeat      = "load-at-temperature"
	LoadAtUnit      = "load-at-terminals"
	PowerVolts      = "power-from-volts"
	PowerMeter      = "power-from-watt-meter"
	PowerTotal      = "power-total"
	OutVolts        = "volts-at-terminals"
	MeterCheck      = "watt-meter-against-volts"
	Distortion      = "distortion-of-fundamental"
	SupplyPower     = "supply-power"
	SupplyMetered   = "supply-power-metered"
	Efficiency      = "efficiency"
	Heat            = "heat"
	Mean            = "mean-of-repeats"
	Level           = "level-against-claim"
	Carried         = "carried-to-claim"
	LoadLine        = "load-line"
	LineResidual    = "load-line-residual"
	Goodness        = "goodness-of-fit"
	Exponent        = "supply-exponent"
	SupplyCorrected = "supply-corrected"
	PerDivisor      = "power-by-price-size-mass"
	Rise            = "temperature-rise"
	Deviation       = "deviation-of-repeats"
	SpecChance      = "probability-within-limits"
	Specification   = "specification"
	Corrected       = "reading-corrected"
	Drift           = "drift-since-calibration"
	Tempco          = "temperature-influence"
	Combined        = "combined-uncertainty"
	Freedom         = "effective-degrees-of-freedom"
	Expanded        = "expanded-uncertainty"
	Chance          = "probability-that-claim-holds"
	CarriedPair     = "carried-between-units"
	Difference      = "difference-of-units"
	RankInterval    = "rank-interval"
)

var (
	power  = Symbol{"P", "W", "power at the unit's terminals"}
	volts  = Symbol{"V", "V", "true-rms volts across the load element"}
	ohms   = Symbol{"R", "Ω", "resistance of the load element at its temperature"}
	lead   = Symbol{"Rlead", "Ω", "resistance of the lead between terminals and element, both ways"}
	loadAt = Symbol{"Rt", "Ω", "load at the unit's terminals: the element and its lead"}
	std    = Symbol{"u", "as the figure", "combined standard uncertainty"}
	part   = Symbol{"u", "as read", "standard uncertainty that it brings to the reading"}
	dof    = Symbol{"ν", "1", "effective degrees of freedom"}
)

// Catalogue returns every formula, in the order in which the methodology page
// prints them.
func Catalogue() []Formula {
	return slices.Concat(electrical(), statistical(), comparing(), planning(), atLoad(), captured())
}

func electrical() []Formula {
	return []Formula{
		{AsRead, "A reading", "x = x as shown", []Symbol{{"x", "as read", "what the instrument showed"}},
			"no formula", "Its uncertainty comes from the instrument's specification."},
		{LoadAtHeat, "Load element at its temperature", "R = R0·(1 + α·(T − T0))",
			[]Symbol{ohms, {"R0", "Ω", "resistance as measured at T0"}, {"α", "1/K", "temperature coefficient"}, {"T", "°C", "temperature in use"}, {"T0", "°C", "temperature at which R0 was measured"}},
			"JCGM 100:2008, 4.1.1 (the example of a resistor)", ""},
		{LoadAtUnit, "Load at the unit's terminals", "Rt = R + Rlead", []Symbol{loadAt, ohms, lead}, "Ohm's law, resistors in series", ""},
		{PowerVolts, "Power from volts", "P = V²/R · (1 + Rlead/R)", []Symbol{power, volts, ohms, lead},
			"Joule's and Ohm's laws; JCGM 100:2008, 4.1.1", "For a resistive load and a true-rms reading."},
		{PowerMeter, "Power from a watt-meter", "P = Pmeter", []Symbol{power, {"Pmeter", "W", "power at the unit's terminals as the watt-meter shows it, corrected where its certificate gives a correction"}},
			"no formula: it counts as read", "Where volts were read too, they check it."},
		{PowerTotal, "Power of all driven channels", "Ptotal = Σ P", []Symbol{{"Ptotal", "W", "power of all driven channels"}, power}, "conservation of energy", ""},
		{OutVolts, "Volts at the unit's terminals", "Vt = √(P·Rt)", []Symbol{{"Vt", "V", "rms volts at the unit's terminals"}, power, loadAt}, "Ohm's law", ""},
		{MeterCheck, "Watt-meter against volts", "ΔP = P(watt-meter) − P(volts)", []Symbol{{"ΔP", "W", "difference of the two ways to the same power"}, {"P(watt-meter)", "W", "as the watt-meter shows it"}, {"P(volts)", "W", "from the volts at the load, with the lead's share"}}, "own check",
			"Beyond its U it leaves the claim open."},
		{Distortion, "Distortion relative to the fundamental", "d = dt/√(1 − dt²)",
			[]Symbol{{"d", "1", "distortion relative to the fundamental"}, {"dt", "1", "distortion relative to the whole signal"}},
			"definition of the two ratios", "Used where the analyser shows dt. To first order: of 30\u00a0% ± 1.5\u00a0% the mean of draws (JCGM 101:2008) lies 0.4\u00a0% of u higher."},
		{SupplyPower, "Supply power", "Ps = Vs·Is·r", []Symbol{{"Ps", "W", "power that the unit takes"}, {"r", "1", "1, uncertain by the supply's ripple and sag"}, {"Vs", "V", "mean supply voltage at the unit's terminals"}, {"Is", "A", "mean supply current"}},
			"Joule's law for mean values", "Ripple and sag make the product differ from the mean power; the method states by how much at most, and that is a component."},
		{SupplyMetered, "Supply power, metered", "Ps = Ps as shown", []Symbol{{"Ps", "W", "true power that the unit takes, by a watt-meter, corrected where its certificate gives a correction"}}, "no formula", "Mains units need it: volts times amperes is not power there."},
		{Efficiency, "Efficiency", "η = 100 %·ΣP/Ps", []Symbol{{"η", "%", "efficiency"}, {"ΣP", "W", "power of all driven channels"}, {"Ps", "W", "supply power"}},
			"definition; conservation of energy", "Not for bursts."},
		{Heat, "Heat in the unit", "H = Ps − ΣP", []Symbol{{"H", "W", "power turned to heat in the unit"}, {"Ps", "W", "supply power"}, {"ΣP", "W", "power of all driven channels"}},
			"conservation of energy", "Of bursts from captures only, over whole repetitions."},
		{LoadLine, "Load line", "P(R) = E²·R/(R + Rs)²", []Symbol{power, {"R", "Ω", "load at the unit's terminals"}, {"E", "V", "volts without load"}, {"Rs", "Ω", "inner resistance of the unit on this bench's supply"}},
			"Ohm's law for a source with an inner resistance; weighted least squares, weights 1/u² of the residuals", "One line a channel, of runs within ±3 % of one supply voltage, at three loads at least. Where χ² is beyond its 95 % point it feeds nothing."},
		{LineResidual, "Residual of a load line", "r = P − E²·R/(R + Rs)²", []Symbol{{"r", "W", "how far a point is off the line"}, power, {"R", "Ω", "load at the unit's terminals"}, {"E, Rs", "V, Ω", "the line's source and inner resistance"}},
			"definition; JCGM 100:2008, 5.2.2 (the line is fitted to the point, so they share errors)", "Divided by its standard uncertainty it is the standardised residual."},
		{Exponent, "Supply exponent of a unit", "k = Σ w·(x − x̄)·(y − ȳ)/Σ w·(x − x̄)², x = ln Vs, y = ln P",
			[]Symbol{{"k", "1", "power goes with the supply voltage to this power"}, {"w", "1", "1/u² of what is a run's own in y − k·x"}, {"x, y", "1", "logarithms of a run's supply voltage in volts and power in watts"}, {"x̄, ȳ", "1", "their weighted means over runs that differ in the supply voltage only"}, {"Vs", "V", "supply voltage at the unit's terminals"}, power},
			"linear least squares on logarithms; JCGM 100:2008, 5.2.2 and H.3", "Only where runs stand at voltages 5 % apart or more, agree with one exponent and give U(k) below 1.3. Never used for a verdict."},
		{SupplyCorrected, "Power at another supply voltage, an estimate", "Pe = P·(Vclaim/Vs)^k", []Symbol{{"Pe", "W", "estimate, no measurement"}, power, {"Vs", "V", "supply voltage of the run"}, {"Vclaim", "V", "supply voltage of the claim"}, {"k", "1", "0 (regulated supply) … 2.6 (unregulated, with a fixed drop), or the unit's own"}},
			"P = V²/R with V in proportion to Vs − Vdrop", "At the load and distortion as tested. Never used for a verdict."},
		{PerDivisor, "Power by price, volume, mass", "r = P/d", []Symbol{{"r", "W/EUR, W/l, W/kg", "power for money, volume or mass"}, {"d", "EUR, l, kg", "price, volume or mass; price in the site's currency"}, {"P", "W", "largest total power of a completed run of the site's first method"}}, "definition", "Price, size and mass are taken as exact."},
		{Rise, "Temperature rise", "ΔT = T − Tambient", []Symbol{{"ΔT", "K", "how much warmer the spot is than the air"}, {"T", "°C", "temperature of the spot"}, {"Tambient", "°C", "air temperature"}}, "definition", ""},
	}
}

func statistical() []Formula {
	return []Formula{
		{Mean, "Mean of repeats", "y = Σ P/n", []Symbol{{"y", "W", "mean power of one channel; likewise the mean of another figure, in its unit"}, {"P", "W", "power of one run"}, {"n", "1", "number of runs"}},
			"JCGM 100:2008, 4.2.1 and 4.2.3", "What an instrument is wrong by stays whole in a mean; the scatter between runs shrinks with √n. For power the scatter is the method's pool, for another stated figure the standard deviation of its own repeats."},
		{Deviation, "Deviation of a repeat", "δ = 100 %·(P′/mean(P′) − 1), P′ = P·(V/Vs)²", []Symbol{{"δ", "%", "deviation from the mean of the repeats"}, {"P′", "W", "power, carried to the mean supply voltage with an exponent of 2"}, {"V", "V", "mean supply voltage of the repeats"}, {"Vs", "V", "the run's supply voltage"}, {"P", "W", "power of the run"}},
			"JCGM 100:2008, 4.2.2 (standard deviation of repeats)", "The pool is the standard deviation of such deviations."},
		{Level, "Level against the claim", "ΔL = 10·lg(y/Pclaim)", []Symbol{{"ΔL", "dB", "level"}, {"y", "W", "mean power of the channel"}, {"Pclaim", "W", "claimed power"}},
			"definition of the decibel for power", ""},
		{Carried, "Carried to the claim's conditions", "Pc = P·(Vclaim/Vs)^k·(Rt/Rnom)^m",
			[]Symbol{{"Pc", "W", "what the unit may have given at the claim's conditions"}, power, {"Vs", "V", "supply voltage of the run"}, {"Vclaim", "V", "supply voltage of the claim, or the assumed one"},
				{"k", "1", "0 (regulated supply) … 2.6 (unregulated, with a fixed drop)"}, loadAt, {"Rnom", "Ω", "the claim's load"}, {"m", "1", "−1 (limited current) … +1 (constant voltage)"}},
			"P = V²/R with V in proportion to Vs − Vdrop: 2·Vs/(Vs − Vdrop) is 2.3 for a drop of 2 V; 2.6 leaves room",
			"Never published as a result: a verdict is given only where all corners agree."},
		{Specification, "Uncertainty from a specification", "u = (a·x + b·range + n·resolution + c)/q",
			[]Symbol{part, {"x, range", "as read", "the reading, and the upper end of its range"}, {"a", "%", "percent of reading"}, {"b", "%", "percent of range"}, {"n", "1", "digits"}, {"resolution", "as read", "one count of the last digit"}, {"c", "as read", "constant"},
				{"q", "1", "√3 for a half-width within which all is as likely (rectangular), √6 for a triangular one, √2 for a U-shaped one; the coverage factor k where an expanded uncertainty is stated"}},
			"JCGM 100:2008, 4.3.3, 4.3.7 and 4.3.9; JCGM 101:2008, 6.4", "Rectangular where bench.toml doesn't say another shape."},
		{Corrected, "A reading, corrected", "x = xs + e, e = ep·xs + ec, u(e) = (Up·xs + Uc)/k",
			[]Symbol{{"x", "as read", "the figure"}, {"xs", "as read", "what the instrument showed"}, {"e", "as read", "correction"}, {"ep, ec", "%, as read", "percent of reading and constant of the correction"}, {"u(e)", "as read", "standard uncertainty of the correction"}, {"Up, Uc", "%, as read", "expanded uncertainty of the correction, likewise"}, {"k", "1", "the coverage factor that it is stated with"}},
			"JCGM 100:2008, 3.2.3 and 3.2.4 (corrections), 4.3.3", "Used where the certificate gives a correction. Its uncertainty is one error in all readings on the range."},
		{Drift, "Drift since calibration", "u = d·x·t/√3",
			[]Symbol{part, {"d", "%", "drift a year, a half-width in percent of reading"}, {"x", "as read", "the reading"}, {"t", "years", "from the calibration to the run's day, or until the calibration is due where that isn't known; a year has 365.25 days"}},
			"JCGM 100:2008, 4.3.7 (rectangular distribution); EA-4/02, example S3 (drift of a standard since its calibration)", "A component of its own, where bench.toml states a drift."},
		{Tempco, "Influence of the air's temperature", "u = b·x·ΔT/√3",
			[]Symbol{part, {"b", "%/K", "influence, a half-width in percent of reading a kelvin"}, {"x", "as read", "the reading"}, {"ΔT", "K", "how far the air is outside the range of temperature that the specification is for; 0 inside"}},
			"JCGM 100:2008, 4.3.7 (rectangular distribution)", "A component of its own, where bench.toml states an influence. The air's temperature is taken as exact."},
		{Combined, "Combined standard uncertainty", "u² = Σ (c·u)² over named components; sources whose sharing is not known: the larger of Σ (c·u)² and (Σ c·u)²",
			[]Symbol{{"u", "", "on the left the combined standard uncertainty, on the right that of one component"}, {"c", "", "sensitivity: partial derivative of the figure, how much it changes where the source does by one unit"}},
			"JCGM 100:2008, 5.1.2 and 5.2.2", ""},
		{Freedom, "Effective degrees of freedom", "ν = u⁴/Σ (uᵢ⁴/νᵢ)", []Symbol{dof, std, {"uᵢ, νᵢ", "", "contribution and degrees of freedom of component i"}},
			"Welch–Satterthwaite; JCGM 100:2008, G.4.1, equation G.2b", "Not truncated to a whole number. An approximation: where a scatter known with 4 degrees of freedom and a rectangular part are alike, U is up to 10\u00a0% too small against draws by Student's t (JCGM 101:2008), holding 93\u00a0%, and holds the truth in 94\u00a0% of repeated tests; with 8 it is 3\u00a0%, 94\u00a0% and 95\u00a0%."},
		{Expanded, "Expanded uncertainty", "U = k·u, k = t(0.975; ν)", []Symbol{{"U", "as the figure", "half-width of the 95 % interval"}, {"k", "1", "coverage factor"}, std, {"t(0.975; ν)", "1", "point of Student's t, the normal distribution's where ν is infinite, below which 97.5 % lie"}, dof},
			"JCGM 100:2008, 6.2.1 and G.3.2", "Where one rectangular part is nearly all of u, the interval holds more than 95\u00a0%, up to all."},
		{Goodness, "Goodness of a fit", "p = P(X ≥ χ²), χ² = Σ w·r²", []Symbol{{"p", "1", "probability of such a χ² or a larger one where the model is right"}, {"χ²", "1", "weighted sum of squares"}, {"X", "1", "variate of the χ² distribution"}, {"w", "", "weights, 1/u²"}, {"r", "", "residuals"}},
			"Pearson's χ² test", "A fit with p below 0.05 feeds nothing."},
		{Chance, "Probability that the claim holds", "p = P(Y ≥ L) = F((y − L)/u; ν)",
			[]Symbol{{"p", "1", "probability that the claim holds"}, {"Y", "W", "what the mean power may truly be"}, {"L", "W", "claim·(1 − allowance)"}, {"y", "W", "mean power"}, std, dof, {"F", "", "distribution function of Student's t; normal where ν is infinite"}},
			"JCGM 106:2012, 7.3", "Good to 0.01 where repeatability is half of u². Where one rectangular part is all of u, p is up to 0.06 too large near 0.8, but 0.03 too small at 0.95: the careful side."},
		{SpecChance, "Probability that a stated figure holds", "p = P(TL ≤ Y ≤ TU)",
			[]Symbol{{"p", "1", "probability that the stated figure holds"}, {"Y", "as the figure", "what the figure may truly be"}, {"TL, TU", "as the figure", "stated figure less and plus its tolerance; one of them only for a one-sided limit"}},
			"JCGM 106:2012, 7.3 and 7.4", "Without a printed tolerance it is half the last digit as printed."},
	}
}

// ByID returns the formula with that id, and whether there is one. Its symbols are
// the catalogue's own, to be read only.
func ByID(id string) (Formula, bool) {
	f, known := byID()[id]
	return f, known
}

var byID = sync.OnceValue(func() map[string]Formula {
	all := map[string]Formula{}
	for _, f := range Catalogue() {
		all[f.ID] = f
	}
	return all
})
