package site

import (
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A tabledClaim is what one row of claims.csv is about.
type tabledClaim struct {
	sheet *sheet.Sheet
	claim *sheet.Claim
}

// mean is that of the channel that decides; nil where nothing was measured.
func (r tabledClaim) mean() *sheet.Figure {
	if r.claim.Weakest == nil {
		return nil
	}
	return r.claim.Weakest.Mean
}

// claimCells are the columns of claims.csv.
var claimCells = claimCellsOf()

func claimCellsOf() []cellOf[tabledClaim] {
	type of = tabledClaim
	const asStated = "; empty where the maker doesn't say"
	cells := []cellOf[of]{
		textColumn("slug", "The unit, as in units.csv", func(r of) string { return r.sheet.Slug }).needed(),
		textColumn("sheet", "The number of the unit's sheet", func(r of) string { return r.sheet.Number }).needed(),
		textColumn("unit", "Maker and model", func(r of) string { return r.sheet.Name }).needed(),
		textColumn("claim", "The claim's id; its address is #claim-ID of the unit's page", func(r of) string { return r.claim.ID }).needed(),
		textColumn("label", "Load, channels and bridging in words", func(r of) string { return r.claim.Label }).needed(),
		textColumn("quantity", "What is claimed", func(r of) string { return r.claim.Rec.Quantity }).of("power").needed(),
		typedColumn("claimed_w", "Claimed power a channel", func(r of) record.Number { return r.claim.Rec.PowerW }).in("W").needed(),
		typedColumn("load_ohm", "The load a channel that it is claimed for", func(r of) record.Number { return r.claim.Rec.LoadOhm }).in("Ω").needed(),
		typedColumn("channels", "How many channels are driven; bridged, how many pairs", func(r of) record.Number { return r.claim.Rec.Channels }).as("integer").needed(),
		textColumn("of", "The channels that it is for, where it isn't for any of the unit's", func(r of) string { return strings.Join(r.claim.Rec.Of, "; ") }),
		typedColumn("driven", "How many channels are driven in all, where more are than it is for", func(r of) record.Number { return r.claim.Rec.Driven }).as("integer"),
		flagColumn("bridged", "True where the claim is for bridged channels", func(r of) bool { return r.claim.Rec.Bridged }),
		typedColumn("supply_v", "The supply voltage that it is claimed for"+asStated, func(r of) record.Number { return r.claim.Rec.SupplyV }).in("V"),
		typedColumn("thdn_pct", "The distortion that it is claimed for"+asStated, func(r of) record.Number { return r.claim.Rec.ThdnPct }).in("%"),
		numberColumn("freq_low_hz", "Hz", "The frequency that it is claimed for, or the low end of a band"+asStated, func(r of) (float64, bool) { return frequency(r.claim.Rec.FreqHz, 0) }),
		numberColumn("freq_high_hz", "Hz", "The high end of that band; the same for one frequency", func(r of) (float64, bool) {
			return frequency(r.claim.Rec.FreqHz, len(r.claim.Rec.FreqHz.Items)-1)
		}),
		textColumn("signal", "Continuous, or a burst", func(r of) string { return r.claim.Rec.Signal }).of("continuous", "burst"),
		typedColumn("duration_s", "For how long it is claimed"+asStated, func(r of) record.Number { return r.claim.Rec.DurationS }).in("s"),
		textColumn("printed_in", "Where the maker prints it", func(r of) string { return r.claim.Rec.PrintedIn }),
		textColumn("conditions", "The conditions in words", func(r of) string { return r.claim.Conditions }),
		textColumn("assumed", "What the claim doesn't state and the site assumes, in words", func(r of) string { return strings.Join(r.claim.Assumed, "; ") }),
		numberColumn("limit_w", "W", "What is decided against, a channel: the claim less the site's allowance", func(r of) (float64, bool) { return r.claim.LimitW, true }).needed(),
		textColumn("verdict", "What was decided", func(r of) string { return string(r.claim.Verdict) }).of(verdictWords()...).needed(),
		textColumn("reason", "A code that says why a claim is open, untested or incomparable", func(r of) string { return r.claim.Reason }),
		textColumn("why", "The verdict's reason in a sentence", func(r of) string { return r.claim.Why }),
		numberColumn("p_low", "", "Probability that the weakest channel reaches the limit: the smallest over all corners of the conditions", func(r of) (float64, bool) { return r.claim.PMin, r.claim.HasP }),
		numberColumn("p_high", "", "The largest of those probabilities", func(r of) (float64, bool) { return r.claim.PMax, r.claim.HasP }),
	}
	return append(append(cells, measuredCells()...),
		numberColumn("bar_low_w", "W", "Low end of what the rule decides by: the claim is met where it reaches the limit", func(r of) (float64, bool) {
			return r.claim.BarLow, r.claim.HasP && !r.claim.BarLowOpen
		}),
		numberColumn("bar_high_w", "W", "High end of that: the claim is short where it doesn't exceed the limit", func(r of) (float64, bool) {
			return r.claim.BarHigh, r.claim.HasP && !r.claim.BarHighOpen
		}),
		numberColumn("flip_shift_w", "W", "The smallest change of all means, uncertainties kept, that would change the verdict", func(r of) (float64, bool) {
			f := r.claim.Flip
			if f == nil || f.ShiftTo == "" {
				return 0, false
			}
			return f.Shift, true
		}),
		textColumn("flip_shift_to", "The verdict beyond it", func(r of) string {
			if r.claim.Flip == nil {
				return ""
			}
			return string(r.claim.Flip.ShiftTo)
		}),
	)
}

// measuredCells are the columns of what was measured for a claim: of the channel that
// decides.
func measuredCells() []cellOf[tabledClaim] {
	type of = tabledClaim
	weakest := func(r of, tell func(*sheet.ClaimChannel) string) string {
		if r.claim.Weakest == nil {
			return ""
		}
		return tell(r.claim.Weakest)
	}
	number := func(figure *sheet.Figure, tell func(*sheet.Figure) float64) (float64, bool) {
		if figure == nil {
			return 0, false
		}
		return tell(figure), true
	}
	uncertain := func(figure *sheet.Figure, tell func(*sheet.Figure) float64) (float64, bool) {
		if figure == nil || figure.U <= 0 {
			return 0, false
		}
		return tell(figure), true
	}
	value := func(f *sheet.Figure) float64 { return f.X }
	expanded := func(f *sheet.Figure) float64 { return f.U }
	factor := func(f *sheet.Figure) float64 { return f.K }
	freedom := func(f *sheet.Figure) float64 { return f.DoF }
	const covers = ", for a coverage probability of 95 %"
	return []cellOf[of]{
		textColumn("channel", "The channel that decides", func(r of) string { return weakest(r, func(c *sheet.ClaimChannel) string { return c.Name }) }),
		textColumn("class", "Whether its runs stand at the claim's distortion, or bound the power from below or above", func(r of) string { return weakest(r, func(c *sheet.ClaimChannel) string { return c.Class }) }).of("at", "below", "above"),
		textColumn("runs", "The runs that were averaged, as in runs.csv", func(r of) string {
			return weakest(r, func(c *sheet.ClaimChannel) string { return strings.Join(c.Runs, "; ") })
		}),
		numberColumn("measured_w", "W", "Mean power of that channel, as measured", func(r of) (float64, bool) { return number(r.mean(), value) }),
		numberColumn("measured_expanded_w", "W", "Expanded uncertainty U of measured_w"+covers, func(r of) (float64, bool) { return uncertain(r.mean(), expanded) }),
		numberColumn("measured_w_k", "", "Coverage factor k of that U", func(r of) (float64, bool) { return uncertain(r.mean(), factor) }),
		numberColumn("measured_w_dof", "", "Effective degrees of freedom of measured_w; empty where they are infinite", func(r of) (float64, bool) { return uncertain(r.mean(), freedom) }),
		textColumn("measured_w_lacks", "What that uncertainty lacks, in words; empty where it is complete", func(r of) string {
			if r.mean() == nil {
				return ""
			}
			return strings.Join(r.mean().Incomplete, "; ")
		}),
		numberColumn("level_db", "dB", "That mean against the claim", func(r of) (float64, bool) { return number(r.claim.Level, value) }),
		numberColumn("level_expanded_db", "dB", "Expanded uncertainty U of level_db"+covers, func(r of) (float64, bool) { return uncertain(r.claim.Level, expanded) }),
		numberColumn("level_db_k", "", "Coverage factor k of that U", func(r of) (float64, bool) { return uncertain(r.claim.Level, factor) }),
	}
}

// frequency is one end of what a claim states.
func frequency(f record.Numbers, i int) (float64, bool) {
	if len(f.Items) == 0 {
		return 0, false
	}
	return f.Items[i].Value, true
}
