// Package plan makes a bench plan of a unit's claims, before anything is measured:
// what volts, amperes and heat to expect where, in which order to go, what the bench
// can't take, and which claims it can decide. A figure of it is never permission.
package plan

import (
	"math"

	"wattsheet/generator/quantity"
)

// Format and Version are what a plan's JSON says of itself.
const (
	Format  = "wattsheet-plan"
	Version = 1
)

// A Number is a figure that is written with at most 12 significant digits, and as
// null where it is not finite.
type Number float64

// MarshalJSON implements json.Marshaler.
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return []byte(quantity.Float(float64(n))), nil
}

// A Plan is the bench plan of one unit. All its figures are expectations.
type Plan struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	Slug    string `json:"slug"`
	Name    string `json:"name"`
	Class   string `json:"class,omitempty"`
	Day     string `json:"day"` // the day that it is for, YYYY-MM-DD

	Assumptions []Assumption `json:"assumptions"`
	Cautions    []string     `json:"cautions"`
	Flags       []Flag       `json:"flags"` // of the unit as a whole
	Order       string       `json:"order"` // the rule that the runs are in order by
	Rest        string       `json:"rest"`  // the rule of rests
	Runs        []*Run       `json:"runs"`  // from gentle to severe
	Claims      []*Claim     `json:"claims"`

	TotalS   Number   `json:"total_s"`  // of all runs and the rests between them
	Formulas []string `json:"formulas"` // ids of the catalogue that the figures come by
}

// An Assumption is what a plan takes where nothing is stated.
type Assumption struct {
	ID     string `json:"id"`
	Text   string `json:"text"`
	Source string `json:"source"`
}

// A Flag is something that a run is beyond, or that is missing.
type Flag struct {
	ID      string `json:"id"`
	Text    string `json:"text"`
	Caution string `json:"caution"`
}

// A Run is one run to be made.
type Run struct {
	Number      int    `json:"number"` // from 1
	Method      string `json:"method"`
	MethodTitle string `json:"method_title"`
	Signal      string `json:"signal"`
	FreqHz      Number `json:"freq_hz"`
	ThdnPct     Number `json:"thdn_pct,omitempty"`
	Clipping    bool   `json:"into_clipping,omitempty"`
	DurationS   Number `json:"duration_s"`
	Share       Number `json:"share_at_level"` // of the time at full level
	Bridged     bool   `json:"bridged"`

	Outputs []Output `json:"outputs"`
	TotalW  Number   `json:"total_w"`
	Supply  Supply   `json:"supply"`
	Heat    Heat     `json:"heat"`
	Meters  []Meter  `json:"meters"`
	Claims  []string `json:"claims"` // ids of those that it is for
	Flags   []Flag   `json:"flags"`
	RestS   Number   `json:"rest_s"` // after it

	claims []*Claim
	job    *job
	mains  bool
}

// An Output is one driven channel, or bridged pair, of a run, at its terminals.
type Output struct {
	Channel string `json:"channel"`
	LoadOhm Number `json:"load_ohm"` // nominal
	W       Number `json:"power_w"`
	V       Number `json:"out_v"`
	A       Number `json:"out_a"`
	Load    string `json:"load,omitempty"` // of bench.toml; empty where it has none
	// HeatW is the heat in the load element, over the run; MaxW what it can take, 0
	// where that isn't stated.
	HeatW   Number  `json:"load_heat_w"`
	MaxW    Number  `json:"load_max_w,omitempty"`
	MarginW *Number `json:"load_margin_w,omitempty"` // what is left of it; below 0 beyond it
	// Assumed tells that no claim says what this channel gives meanwhile.
	Assumed bool `json:"assumed,omitempty"`
}

// A Supply is what a run takes from the supply.
type Supply struct {
	ID            string  `json:"id,omitempty"` // of bench.toml; empty where it has none
	V             Number  `json:"supply_v"`     // at the unit's terminals
	EfficiencyPct Number  `json:"efficiency_pct"`
	W             Number  `json:"supply_w"` // while the signal is at full level
	A             Number  `json:"supply_a"`
	MeanA         Number  `json:"mean_a"` // over the run
	MaxA          Number  `json:"max_a,omitempty"`
	MarginA       *Number `json:"margin_a,omitempty"` // what is left of it; below 0 beyond it
	FusesA        Number  `json:"fuses_a,omitempty"`  // the unit's own, together
	// BladeA is the next rating of a blade fuse above 1.25 times the current, for the
	// bench's own line; 0 for bursts, the mains and where there is none.
	BladeA Number `json:"blade_fuse_a,omitempty"`

	Leads     string `json:"leads,omitempty"` // in the tester's words
	LeadOhm   Number `json:"lead_ohm,omitempty"`
	LeadDropV Number `json:"lead_drop_v,omitempty"`
	LeadHeatW Number `json:"lead_heat_w,omitempty"`
}

// Heat is where a run's energy goes.
type Heat struct {
	UnitW   Number `json:"unit_w"`      // while the signal is at full level
	MeanW   Number `json:"unit_mean_w"` // over the run
	LoadW   Number `json:"load_w"`      // in all elements, over the run
	EnergyJ Number `json:"energy_j"`    // from the supply
	UnitJ   Number `json:"unit_j"`
	LoadJ   Number `json:"load_j"`
}

// A Meter is an instrument of a run, and the range to set.
type Meter struct {
	Reads      string `json:"reads"` // a key of the record: out_v
	Channel    string `json:"channel,omitempty"`
	Instrument string `json:"instrument,omitempty"` // empty where bench.toml has none
	Name       string `json:"name,omitempty"`
	Range      Number `json:"range_to,omitempty"` // 0 where none holds the reading
	Expected   Number `json:"expected"`
	Unit       string `json:"unit"`
	Held       string `json:"read_as,omitempty"` // where it isn't the mean
	Other      bool   `json:"not_usual,omitempty"`
}

// A Claim is what the bench could say of one claim.
type Claim struct {
	ID         string `json:"id"`
	Label      string `json:"label"`
	Conditions string `json:"conditions"`
	ClaimW     Number `json:"claim_w"`
	LimitW     Number `json:"limit_w"`
	Runs       []int  `json:"runs"` // that it would be decided by
	// Can is what the bench could say: both, met, short or neither.
	Can string `json:"can_say"`
	Why string `json:"why,omitempty"` // what it can't say, and why
	// U is the expected expanded uncertainty of the mean, of a reading that just
	// gives what is claimed.
	UW   Number `json:"u_w,omitempty"`
	UPct Number `json:"u_pct,omitempty"`
	// The smallest shortfall that would be told from a pass, and the smallest margin
	// that would be met: in percent of the claim, and the mean power in W.
	ShortfallPct *Number `json:"shortfall_pct,omitempty"`
	ShortUpToW   *Number `json:"short_up_to_w,omitempty"`
	MarginPct    *Number `json:"margin_pct,omitempty"`
	MetFromW     *Number `json:"met_from_w,omitempty"`
	// The same where the supply stands too low by so many percent.
	LowPct        Number   `json:"supply_low_pct,omitempty"`
	LowShortUpToW *Number  `json:"short_up_to_w_if_low,omitempty"`
	LowMetFromW   *Number  `json:"met_from_w_if_low,omitempty"`
	Lacks         []string `json:"lacks,omitempty"` // what U lacks
	// Provided are the flags of its runs without which it holds only: "run 3: no-load".
	Provided []string `json:"provided_despite,omitempty"`

	jobs []*job
}
