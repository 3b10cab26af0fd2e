package electric

import "math"

// What a plan needs are expectations, without uncertainty: plain numbers.

// Amperes returns the rms amperes of the power p >= 0 in W into r > 0 in Ω: √(p/r).
func Amperes(p, r float64) float64 { return math.Sqrt(p / r) }

// ExpectedSupply returns the supply current
//
//	total/(η·v·λ)
//
// in A that a unit is expected to take for the power total in W of all channels, at
// an efficiency in percent, v in V and the power factor λ, 1 for direct current.
func ExpectedSupply(total, efficiencyPct, v, factor float64) float64 {
	return total / (efficiencyPct / 100 * v * factor)
}

// ExpectedHeat returns the heat total·(1/η − 1) in W.
func ExpectedHeat(total, efficiencyPct float64) float64 { return total * (100/efficiencyPct - 1) }

// Energy returns power·seconds·share in J; share is that of the time at full level.
func Energy(power, seconds, share float64) float64 { return power * seconds * share }

// Annealed copper (IEC 60028): 1/58 Ω·mm²/m at 20 °C, and 0.393 % more a kelvin.
const (
	copperAt20  = 1.0 / 58
	copperAlpha = 0.00393
	copperAtC   = 20
)

// LeadOhms is [Conductor.LeadOhms] of copper.
func LeadOhms(l, n, area, celsius float64) float64 { return Copper.LeadOhms(l, n, area, celsius) }

// GaugeMM2 returns the cross-section in mm² of a solid wire of a gauge number (ASTM
// B258): the diameter is 0.127 mm·92^((36 − g)/39). 1/0 has the number 0, 2/0 −1, 3/0
// −2 and 4/0 −3.
func GaugeMM2(g int) float64 {
	d := 0.127 * math.Pow(92, float64(36-g)/39)
	return math.Pi / 4 * d * d
}

// bladeRatings are the ratings in A of blade fuses of all sizes (ISO 8820-3, from
// memory: medium ones up to 40 A, large ones up to 100 A).
var bladeRatings = []float64{1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 100}

// BladeRating returns the smallest rating of a blade fuse that is not below a
// current in A; ok is false above the largest.
func BladeRating(amps float64) (rating float64, ok bool) {
	for _, r := range bladeRatings {
		if r >= amps {
			return r, true
		}
	}
	return 0, false
}

// Rest returns the shortest rest in s after a run: four times as long as the signal
// stood at full level, a minute at least (common practice, no source).
func Rest(seconds, share float64) float64 { return math.Max(60, 4*seconds*share) }
