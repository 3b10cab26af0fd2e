package sheet

import (
	"wattsheet/generator/electric"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// A Spec is a stated figure that is no claim of power, decided.
type Spec struct {
	Rec      *record.Spec
	ID       string
	Stated   string        // as the maker states it, with its unit and kind of limit: "at least 100 dB"
	Limits   string        // the limits that it is decided against, with the tolerance's source
	Verdict  verdict.Word  // met, missed, open or untested
	Word     string        // the verdict as pages print it
	Measured *Figure       // nil when not measured
	Captured *CapturedSpec // where it was read from a capture; nil when it wasn't
	P        float64       // P(measured within the limits); of no meaning when not measured
	PText    string
	Coarse   bool // P is small as the uncertainty is wider than two limits are apart, not as the figure is beyond one

	side float64 // P(measured on the right side of the limit that is in more doubt)
}

// A Thermal is one temperature of the unit, or a series.
type Thermal struct {
	Rec    *record.Thermal
	After  *Run // the run before or during which it was read; nil when not stated
	Points []ThermalPoint
}

// A ThermalPoint is one temperature of a series.
type ThermalPoint struct {
	Min   float64 // minutes since the series' start
	TempC *Figure
	Rise  *Figure // above ambient; nil when that is not known
}

// A Ratio is the unit's power by its price, volume or mass.
type Ratio struct {
	Name   string // "power for money"
	Figure *Figure
	Of     string // what the power and the divisor are, in words
}

// A LoadLine is the fit of P(R) = E²·R/(R + Rs)² to one channel's runs of one
// method. It is no measurement: a thin curve, and the source of estimates at other
// loads inside the tested range; never of a verdict.
type LoadLine struct {
	Method   *record.Method
	Channel  string
	Bridged  bool
	E, Rs    *Figure
	Chi2     float64
	Free     int     // degrees of freedom
	P        float64 // probability of such a χ² or a larger one where the line is right
	Fits     bool    // χ² is within its 95 % point; otherwise the line is drawn broken and feeds nothing
	Points   []LinePoint
	Expected *Figure      // at the lowest load, by the other loads' line, where that lies above what it gives; else nil
	Worst    float64      // the largest standardised residual, without its sign
	Curve    []CurvePoint // from the smallest to the largest load as tested
	Text     string       // E, Rs and the goodness in a sentence; where it doesn't fit, what is likely

	fit electric.LoadLine
}

// A LinePoint is one load element's mean power.
type LinePoint struct {
	Runs      []string
	Load      float64 // Ω at the terminals
	Power     *Figure
	ResidualW float64
	Residual  *Figure // with the uncertainty that is left of it, since the line was fitted to the point
	// Standardised is the residual divided by its standard uncertainty.
	Standardised float64
	Weight       float64 // 1/W²
}

// A CurvePoint is the line's power at a load.
type CurvePoint struct {
	Load  float64 // Ω
	Power *Figure
}

// A Repeat is runs of one method, load and set of channels that repeat each other,
// for one channel: each run's deviation from their mean, carried to a common supply
// voltage with k = 2, beside the method's pool.
type Repeat struct {
	Method  *record.Method
	Nominal float64
	Channel string
	Bridged bool
	Points  []RepeatPoint
	PoolPct float64 // the pool's relative standard deviation, in percent
	SPct    float64 // the standard deviation of these repeats, in percent

	samples []sample
}

// A RepeatPoint is one run's deviation from the mean of its repeats.
type RepeatPoint struct {
	Run          string
	DeviationPct float64
}

// A Check is the bench's check unit over the test days.
type Check struct {
	Rec    *record.CheckUnit
	Method *record.Method
	Mean   *Figure // W
	Days   []CheckDay
}

// A CheckDay is the check unit's power on one day.
type CheckDay struct {
	Date         string
	Power        *Figure
	DeviationPct float64 // from the mean of all days
	Off          bool    // beyond the U of the difference from the others' mean
}
