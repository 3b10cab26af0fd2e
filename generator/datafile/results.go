package datafile

// A Claim is one figure that the maker states, decided.
type Claim struct {
	// ID names the claim; the unit's page has the anchor claim-<id>.
	ID string `json:"id"`
	// Label is the load, channels and bridging in words.
	Label string `json:"label"`
	// Video is where it is seen in a video; left out where it isn't marked.
	Video *dataMark `json:"video,omitempty"`
	// Stated is the claim as the maker states it.
	Stated dataStated `json:"stated"`
	// Conditions is the conditions in a sentence.
	Conditions string `json:"conditions"`
	// Assumed lists, in words, what the claim doesn't state and the site assumes.
	Assumed []string `json:"assumed,omitempty"`
	// LimitW is what is decided against, a channel: the claim less the allowance.
	LimitW number `json:"limit_w"`
	// Verdict is met, short, open, untested or incomparable.
	Verdict string `json:"verdict"`
	// Word is the verdict as pages print it.
	Word string `json:"word"`
	// Reason is a code that says why a claim is open, untested or incomparable.
	Reason string `json:"reason,omitempty"`
	// Why is the verdict's reason in a sentence.
	Why string `json:"why"`
	// P is the probability that the weakest channel reaches the limit, over all
	// corners of the conditions.
	P *dataRange `json:"p,omitempty"`
	// PText is that probability for people, never rounded across the rule's bounds.
	PText string `json:"p_text,omitempty"`
	// BarW is what the rule decides by, in watts: the claim is met when the
	// bar's low end reaches the limit, short when its high end doesn't exceed it.
	BarW *dataRange `json:"bar_w,omitempty"`
	// Level is the weakest channel's mean against the claim, in dB.
	Level *Figure `json:"level,omitempty"`
	// Incomplete lists, in words, what the uncertainty behind the verdict lacks.
	Incomplete []string `json:"incomplete,omitempty"`
	// Weakest names the channel that decides.
	Weakest string `json:"weakest,omitempty"`
	// Channels are the means that were judged, in the order driven.
	Channels []dataClaimChannel `json:"channels,omitempty"`
	// Flip is the smallest change that would change the verdict.
	Flip *dataFlip `json:"flip,omitempty"`
	// Rules is what each of the usual decision rules says of the claim.
	Rules []dataRuleSays `json:"rules,omitempty"`
	// Corners are the verdicts at each corner of the conditions.
	Corners []dataCorner `json:"corners,omitempty"`
	// Estimate is what the unit may have given at the claim's supply voltage: no
	// measurement, and never a verdict. Left out where its runs stand there.
	Estimate *dataEstimate `json:"estimate,omitempty"`
	// Uses tells of every run that was looked at what became of it.
	Uses []dataUse `json:"uses,omitempty"`
}

// A dataStated is a claim as the maker states it; what is left out is not stated.
type dataStated struct {
	// Quantity is what is claimed: power.
	Quantity string `json:"quantity"`
	// PowerW is the claimed power a channel.
	PowerW number `json:"power_w"`
	// LoadOhm is the load a channel that it is claimed for.
	LoadOhm number `json:"load_ohm"`
	// Channels is how many channels are driven; bridged, how many pairs.
	Channels number `json:"channels"`
	// Of names the channels that it is for, where it isn't for any of the unit's.
	Of []string `json:"of,omitempty"`
	// Driven is how many channels are driven in all, where more are than it is for.
	Driven *number `json:"driven,omitempty"`
	// Bridged is true when the figure is for bridged channels.
	Bridged bool `json:"bridged"`
	// SupplyV is the supply voltage.
	SupplyV *number `json:"supply_v,omitempty"`
	// ThdnPct is the distortion.
	ThdnPct *number `json:"thdn_pct,omitempty"`
	// FreqHz is one frequency, or a band from the first to the second.
	FreqHz []number `json:"freq_hz,omitempty"`
	// Signal is continuous or burst.
	Signal string `json:"signal,omitempty"`
	// DurationS is for how long.
	DurationS *number `json:"duration_s,omitempty"`
	// PrintedIn is where the maker prints it.
	PrintedIn string `json:"printed_in,omitempty"`
}

// A dataRange is the two ends of a range.
type dataRange struct {
	// Low is the lower end; null where the range has none.
	Low *number `json:"low"`
	// High is the upper end; null where the range has none.
	High *number `json:"high"`
}

// A dataClaimChannel is one channel's result for a claim.
type dataClaimChannel struct {
	// Channel is the channel's name.
	Channel string `json:"channel"`
	// Class is where the runs stand to the claim's distortion: at, below or above.
	Class string `json:"class"`
	// Runs are the runs averaged.
	Runs []string `json:"runs"`
	// Mean is their mean power, as measured.
	Mean *Figure `json:"mean,omitempty"`
}

// A dataFlip is the smallest change that would change a verdict.
type dataFlip struct {
	// ShiftW is the change of all means in watts, uncertainties kept.
	ShiftW *number `json:"shift_w,omitempty"`
	// ShiftTo is the verdict beyond it.
	ShiftTo string `json:"shift_to,omitempty"`
	// ScaleU is the factor on all uncertainties, means kept.
	ScaleU *number `json:"scale_u,omitempty"`
	// ScaleTo is the verdict beyond it.
	ScaleTo string `json:"scale_to,omitempty"`
	// Text is the flip in a sentence.
	Text string `json:"text,omitempty"`
}

// A dataRuleSays is what one decision rule says of a claim.
type dataRuleSays struct {
	// Acceptance is the rule's name where it is a usual one.
	Acceptance string `json:"acceptance,omitempty"`
	// Name is the rule in words.
	Name string `json:"name"`
	// MetFrom is the probability from which a claim is met.
	MetFrom number `json:"met_from"`
	// ShortTo is the probability up to which a claim is short.
	ShortTo number `json:"short_to"`
	// Own is true for the site's own rule.
	Own bool `json:"own"`
	// Verdict is what the rule says.
	Verdict string `json:"verdict"`
}

// A dataCorner is the verdict at one corner of the conditions.
type dataCorner struct {
	// K is the exponent by which power follows the supply voltage.
	K number `json:"k"`
	// M is the exponent by which power follows the load.
	M number `json:"m"`
	// Verdict is met, short or open.
	Verdict string `json:"verdict"`
	// P is the probability that the weakest channel reaches the limit.
	P dataRange `json:"p"`
	// Channel is that channel.
	Channel string `json:"channel,omitempty"`
	// YW is its mean power carried to this corner, in watts.
	YW *number `json:"y_w,omitempty"`
	// UW is the standard uncertainty of that, in watts.
	UW *number `json:"u_w,omitempty"`
	// DoF is its effective degrees of freedom; left out when they are infinite.
	DoF *number `json:"dof,omitempty"`
}

// A dataUse is what became of a run for a claim.
type dataUse struct {
	// Run is the run's id.
	Run string `json:"run"`
	// Counts is true when the run decides.
	Counts bool `json:"counts"`
	// Why says why it does or doesn't.
	Why string `json:"why,omitempty"`
}

// A Run is one measurement at the bench.
type Run struct {
	// ID names the run; the unit's page has the anchor run-<id>.
	ID string `json:"id"`
	// At is when it was made, RFC 3339.
	At string `json:"at,omitempty"`
	// Video is where it is seen in a video; left out where it isn't marked.
	Video *dataMark `json:"video,omitempty"`
	// Method is the id of the method.
	Method string `json:"method"`
	// Valid is false for a run that doesn't count.
	Valid bool `json:"valid"`
	// Invalid is why the run doesn't count.
	Invalid string `json:"invalid,omitempty"`
	// Outcome is how the run ended: completed, protected, fuse, supply-limit or
	// stopped.
	Outcome string `json:"outcome"`
	// Bridged is true when a bridged pair was driven.
	Bridged bool `json:"bridged"`
	// NominalOhm is the nominal load a channel.
	NominalOhm number `json:"nominal_ohm"`
	// FreqHz is the signal's frequency.
	FreqHz *number `json:"freq_hz,omitempty"`
	// AmbientC is the air temperature.
	AmbientC *number `json:"ambient_c,omitempty"`
	// WarmUpMin is minutes of warm-up before the run.
	WarmUpMin *number `json:"warm_up_min,omitempty"`
	// LastedS is how long the run lasted.
	LastedS *number `json:"lasted_s,omitempty"`
	// Remarks is anything else about the run.
	Remarks string `json:"remarks,omitempty"`
	// Cautions is what stands beside the run for safety.
	Cautions []string `json:"cautions,omitempty"`
	// Readings are the numbers that the instruments showed.
	Readings []dataReading `json:"readings"`
	// Read is from which capture the run was read; left out where it was typed.
	Read *dataRead `json:"read,omitempty"`
	// Channels are the channels driven, with their figures.
	Channels []dataChannel `json:"channels"`
	// Total is the power of all driven channels.
	Total *Figure `json:"total,omitempty"`
	// SupplyV is the supply voltage at the unit's terminals.
	SupplyV *Figure `json:"supply_v,omitempty"`
	// SupplyA is the supply current.
	SupplyA *Figure `json:"supply_a,omitempty"`
	// SupplyPower is the power taken from the supply.
	SupplyPower *Figure `json:"supply_power,omitempty"`
	// Efficiency is the total power by the supply power, in percent.
	Efficiency *Figure `json:"efficiency,omitempty"`
	// Heat is the supply power less the total power.
	Heat *Figure `json:"heat,omitempty"`
}

// A dataReading is one number as an instrument showed it.
type dataReading struct {
	// Quantity is the record's key: power_w, out_v, thdn_pct, supply_v,
	// supply_a, supply_w or load_c. It carries the unit.
	Quantity string `json:"quantity"`
	// Channel is the channel read; left out for the supply.
	Channel string `json:"channel,omitempty"`
	// Text is the number as it was typed.
	Text string `json:"text"`
	// Value is the same as a number.
	Value number `json:"value"`
	// Instrument is the id of the instrument; left out where none is named.
	Instrument string `json:"instrument,omitempty"`
	// How is how it was read: mean, held-max or held-min.
	How string `json:"how"`
}

// A dataChannel is one driven channel, or bridged pair, of a run.
type dataChannel struct {
	// Channel is the channel's name, or both names with + between when bridged.
	Channel string `json:"channel"`
	// Load is the id of the load element; left out where only a nominal load is
	// known.
	Load string `json:"load,omitempty"`
	// NominalOhm is the nominal load.
	NominalOhm number `json:"nominal_ohm"`
	// Resistance is the load at the unit's terminals.
	Resistance *Figure `json:"resistance,omitempty"`
	// Volts is the voltage across the load element, as read.
	Volts *Figure `json:"volts,omitempty"`
	// OutV is the voltage at the unit's terminals.
	OutV *Figure `json:"out_v,omitempty"`
	// Power is the power at the unit's terminals.
	Power *Figure `json:"power,omitempty"`
	// Check is the watt-meter's power less that from volts and load.
	Check *Figure `json:"check,omitempty"`
	// Thdn is the distortion and noise relative to the fundamental, in percent.
	Thdn *Figure `json:"thdn,omitempty"`
}

// A Figure is one evaluated quantity.
type Figure struct {
	// Value is the estimate.
	Value number `json:"value"`
	// Unit is the unit of the value, of u, of expanded and of contributions.
	Unit string `json:"unit"`
	// U is the combined standard uncertainty: the root of the sum of the contributions'
	// squares, where those of one group that are taken as common are added up first, with
	// their signs; null where nothing is known of it.
	U *number `json:"u"`
	// DoF is its effective degrees of freedom: u⁴ by the sum of c⁴/dof (Welch and
	// Satterthwaite), where c² is the sum of the squares of contributions that one estimate's
	// degrees of freedom are behind, and what was added up as common has the fewest in it;
	// null when they are infinite.
	DoF *number `json:"dof"`
	// K is the coverage factor for 95 %; null where u is.
	K *number `json:"k"`
	// Expanded is k times u: what pages print behind ±; null where u is.
	Expanded *number `json:"expanded"`
	// Text is the figure as pages print it.
	Text string `json:"text"`
	// Formula is the id of the formula by which it came about; the methodology
	// page prints it.
	Formula string `json:"formula"`
	// Components are what the uncertainty is made of.
	Components []dataComponent `json:"components,omitempty"`
	// Incomplete lists, in words, what the uncertainty lacks.
	Incomplete []string `json:"incomplete,omitempty"`
}

// A dataComponent is what one cause of error contributes to a figure.
type dataComponent struct {
	// Source is the id of the cause, in sources.
	Source string `json:"source"`
	// Contribution is the sensitivity times the cause's standard uncertainty,
	// with its sign, in the figure's unit.
	Contribution number `json:"contribution"`
	// Sharing is how the cause's group was taken in this figure: independent,
	// where contributions add as squares, or common, where they add with their
	// signs. Left out for a cause that stands alone.
	Sharing string `json:"sharing,omitempty"`

	quoted []byte // the source as JSON has it; nil in what was read back
}

// A dataCause is one cause of error. The same id in two figures, in two files
// even, is the same error: it makes both too high, or one high and one low,
// together.
type dataCause struct {
	// ID is what components name it by.
	ID string `json:"id"`
	// Name is the cause in words.
	Name string `json:"name"`
	// Kind sorts causes: instrument, load, lead, pool, supply.
	Kind string `json:"kind,omitempty"`
	// Group names causes whose sharing is not known.
	Group string `json:"group,omitempty"`
	// Estimate names causes whose degrees of freedom are one estimate's; left
	// out where the cause is its own.
	Estimate string `json:"estimate,omitempty"`
	// Strand names causes that are one and the same error within a mean of
	// repeats.
	Strand string `json:"strand,omitempty"`
	// U is the cause's own standard uncertainty, in unit: a contribution divided
	// by it is the sensitivity. Left out where several errors were joined.
	U *number `json:"u,omitempty"`
	// Unit is u's unit; left out for a bare number.
	Unit string `json:"unit,omitempty"`
	// DoF is the degrees of freedom of the cause's standard uncertainty; null
	// when they are infinite.
	DoF *number `json:"dof"`
}
