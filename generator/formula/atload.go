package formula

// The ids of what a unit means at a reader's load, beside those of a plan.
const (
	VoiceCoils        = "voice-coils"
	EfficiencyBetween = "efficiency-between-loads"
	FuseRating        = "fuse-rating"
	LeadBears         = "lead-current"
)

// loadOhm is a load that is asked about.
var loadOhm = Symbol{"R", "Ω", "the load that is asked about"}

// forLoads says of each formula that serves loads without a run what it is not for.
var forLoads = "For “at my load”: an expectation, never used for a verdict, and no permission."

// atLoad is what a unit means at a load comes by.
func atLoad() []Formula {
	amps := Symbol{"Is", "A", "supply current while the signal is at full level"}
	return []Formula{
		{VoiceCoils, "Nominal load of voice coils", "R = Z·s/p", []Symbol{{"R", "Ω", "nominal load of the channel"}, {"Z", "Ω", "nominal impedance of each coil, all alike"}, {"s", "1", "coils in series"}, {"p", "1", "such strings in parallel"}},
			"Ohm's law, resistors in series and in parallel", "Every coil takes an equal share. A nominal impedance is no resistance: it changes with frequency, and in a box it rises. Across a bridged pair each channel sees half of R."},
		{EfficiencyBetween, "Efficiency at a load between two", "η = η1 + (η2 − η1)·ln(R/R1)/ln(R2/R1)", []Symbol{{"η", "%", "efficiency that is taken at R"}, {"η1, η2", "%", "mean efficiency of the load line's runs at the tested loads beside"}, loadOhm, {"R1, R2", "Ω", "these loads, at the unit's terminals"}},
			"interpolation, linear in the logarithm of the load; own choice", forLoads},
		{FuseRating, "Rating of a fuse in the supply lead", "F = ⌈Is + U⌉", []Symbol{{"F", "A", "rating of the fuse"}, {"⌈Is + U⌉", "A", "the smallest standard rating that is not below Is + U"}, amps, {"U", "A", "expanded uncertainty of a measured current; 0 for an estimated one"}},
			"ISO 8820-3 (blade fuses, up to 100 A) and ISO 8820-5 (bolted strip fuses, up to 500 A); the ratings from memory", forLoads + " None is named above the unit's own fuses: the maker's rating prevails."},
		{LeadBears, "What a supply lead bears", "Ib = It·√(ρCu/ρ)", []Symbol{{"Ib", "A", "current that one cable carries for good"}, {"It", "A", "that of the largest standard copper cross-section not above the cable's, 70 °C insulation: 65 A for 10 mm², 90 A for 16, 120 A for 25, 160 A for 35, 210 A for 50, 265 A for 70, 310 A for 95, 360 A for 120"}, {"ρCu, ρ", "Ω·m", "resistivity of copper, and of the cable's metal"}},
			"ISO 10133, table A.1 (from memory); equal heat a metre for another metal", forLoads + " Of a cable by itself in free air: bundles, hot places and engine rooms take less."},
	}
}
