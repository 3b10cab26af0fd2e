package datafile

import "encoding/json"

// The types of this file are the format of units/<slug>/sheet.json. It is this
// project's own. Keys that carry a unit end in it, as in the records: _w, _v,
// _a, _ohm, _hz, _pct, _s, _c. A key is left out where nothing was written or
// evaluated; null stands only where a field's comment says so.
const (
	Format = "wattsheet-sheet"
	// Version goes up when the meaning of a key changes or a key goes; new
	// keys don't change it.
	Version = 1
)

// A number is written with at most 12 significant digits, and as null where it
// is not finite: JSON has neither infinity nor not-a-number.
type number float64

// MarshalJSON implements json.Marshaler.
func (n number) MarshalJSON() ([]byte, error) {
	return n.append(nil), nil
}

var _ json.Marshaler = number(0)

// A Sheet is the whole file.
type Sheet struct {
	// Format is always "wattsheet-sheet".
	Format string `json:"format"`
	// Version is the format's version, 1.
	Version int `json:"version"`
	// Slug is the unit's address below units/.
	Slug string `json:"slug"`
	// Sheet is the sheet's own number.
	Sheet string `json:"sheet"`
	// Name is the unit's maker and model.
	Name string `json:"name"`
	// Headline is the verdicts in a sentence.
	Headline string `json:"headline"`
	// Disclosure is who supplied the unit, and what the tester has from it.
	Disclosure string `json:"disclosure"`
	// Tested is the day of the last run, YYYY-MM-DD.
	Tested string `json:"tested,omitempty"`
	// Site is who publishes the sheet.
	Site dataSite `json:"site"`
	// Rule is how claims are decided.
	Rule dataRule `json:"rule"`
	// Assumptions is what is taken where a claim doesn't state its conditions.
	Assumptions dataAssumptions `json:"assumptions"`
	// Unit is the amplifier under test.
	Unit dataUnit `json:"unit"`
	// Settings is how the unit was set.
	Settings dataSettings `json:"settings"`
	// Source is how the unit came to the bench.
	Source dataSource `json:"source"`
	// Follows is the slug of the earlier model that the unit replaces.
	Follows string `json:"follows,omitempty"`
	// Contacts are the letters to the maker, and from them.
	Contacts []dataContact `json:"contacts,omitempty"`
	// Reply is the maker's answer.
	Reply *dataReply `json:"reply,omitempty"`
	// Methods are the methods that the runs name, by id.
	Methods []Method `json:"methods"`
	// Instruments are the instruments that the readings name, by id.
	Instruments []Instrument `json:"instruments"`
	// Loads are the load elements that the runs name, by id.
	Loads []Load `json:"loads"`
	// Claims are the maker's claims with their verdicts, in the record's order.
	Claims []Claim `json:"claims"`
	// Runs are all runs, invalid ones too, in the record's order.
	Runs []Run `json:"runs"`
	// Captures are the recorded waveforms that runs and stated figures were read from.
	Captures []dataCapture `json:"captures,omitempty"`
	// Specs are the maker's other stated figures with their verdicts.
	Specs []dataSpec `json:"specs,omitempty"`
	// Thermals are temperatures of the unit.
	Thermals []dataThermal `json:"thermals,omitempty"`
	// Functions are checks that have no number, in the record's order.
	Functions []dataFunction `json:"functions,omitempty"`
	// Videos are the videos about the unit that are out.
	Videos []dataVideo `json:"videos,omitempty"`
	// Ratios are the unit's power by its price, volume and mass.
	Ratios []dataRatio `json:"ratios,omitempty"`
	// LoadLines are fits to the runs of a method, a channel each.
	LoadLines []dataLoadLine `json:"load_lines,omitempty"`
	// SupplyExponent is how the unit's power goes with its supply voltage, estimated
	// from its own runs; left out where none differ enough in it.
	SupplyExponent *dataExponent `json:"supply_exponent,omitempty"`
	// Repeats are runs that repeat each other, a channel each.
	Repeats []dataRepeat `json:"repeats,omitempty"`
	// AtLoads are what the unit did or would do at loads, unbridged ones first.
	AtLoads []dataAtLoad `json:"at_loads,omitempty"`
	// Corrections tell of sealed results that were changed, in the record's order.
	Corrections []dataCorrection `json:"corrections,omitempty"`
	// Sources are the causes of error that the figures' components name, by id.
	Sources []dataCause `json:"sources"`
}

// A dataSite is who publishes a sheet.
type dataSite struct {
	// Title is the site's name.
	Title string `json:"title"`
	// Tester is who tests and publishes.
	Tester string `json:"tester"`
	// Address is the site's public address.
	Address string `json:"address,omitempty"`
	// Currency is the currency of prices, ISO 4217.
	Currency string `json:"currency,omitempty"`
	// Notice is what every page of the site says of it.
	Notice string `json:"notice,omitempty"`
	// Licence is that of the data; left out where the site states none.
	Licence *dataLicence `json:"licence,omitempty"`
}

// A dataLicence is under which terms the data may be used.
type dataLicence struct {
	// Name is the licence's name.
	Name string `json:"name"`
	// SPDX is its identifier in the SPDX list of licences, where it is in there.
	SPDX string `json:"spdx,omitempty"`
	// Address is where it can be read.
	Address string `json:"address"`
}

// A dataRule is the site's decision rule.
type dataRule struct {
	// Acceptance is the rule's name where it is a usual one: simple, guarded or
	// guarded-by-U.
	Acceptance string `json:"acceptance,omitempty"`
	// Name is the rule in words.
	Name string `json:"name"`
	// Means is what the rule asks for and how often it may be wrong.
	Means string `json:"means"`
	// Source is the standard that it rests on.
	Source string `json:"source"`
	// MetFrom is the probability from which a claim is met.
	MetFrom number `json:"met_from"`
	// ShortTo is the probability up to which a claim is short; for n channels
	// it is divided by n, unless it is 0.5.
	ShortTo number `json:"short_to"`
	// AllowancePct is how far below the claim its limit lies, in percent.
	AllowancePct number `json:"allowance_pct"`
}

// A dataAssumptions is what is taken where a claim is silent; what is left out
// is not assumed.
type dataAssumptions struct {
	// ThdnPct is the distortion of a claim that names none.
	ThdnPct *number `json:"thdn_pct,omitempty"`
	// SupplyDCV is the supply voltage of a claim that names none, for units on
	// direct current.
	SupplyDCV *number `json:"supply_dc_v,omitempty"`
	// SupplyMainsV is the supply voltage of a claim that names none, for units
	// on the mains.
	SupplyMainsV *number `json:"supply_mains_v,omitempty"`
}

// A dataUnit is the amplifier under test, as the record states it.
type dataUnit struct {
	// Maker is who makes the unit.
	Maker string `json:"maker"`
	// Model is the model's name.
	Model string `json:"model"`
	// Year is the model year.
	Year *number `json:"year,omitempty"`
	// Serial is the serial number.
	Serial string `json:"serial,omitempty"`
	// Condition is new, used, repaired: in the tester's words.
	Condition string `json:"condition,omitempty"`
	// Kind is the kind of amplifier, in the trade's words.
	Kind string `json:"kind,omitempty"`
	// Use is where the unit is used: car, marine, home or stage.
	Use string `json:"use,omitempty"`
	// Channels are the channels' names, in the order of readings.
	Channels []string `json:"channels"`
	// Class is the output stage's class.
	Class string `json:"class,omitempty"`
	// Supply is what the unit runs from: dc or mains.
	Supply string `json:"supply,omitempty"`
	// Price is the price, in the site's currency.
	Price *number `json:"price,omitempty"`
	// PriceDate is the day of that price, YYYY-MM-DD.
	PriceDate string `json:"price_date,omitempty"`
	// SizeMM is width, height and depth.
	SizeMM []number `json:"size_mm,omitempty"`
	// SizeIn is the same in inches, where the maker prints both.
	SizeIn []number `json:"size_in,omitempty"`
	// MassKG is the mass.
	MassKG *number `json:"mass_kg,omitempty"`
	// MassLb is the same in pounds, where the maker prints both.
	MassLb *number `json:"mass_lb,omitempty"`
	// FusesA are the unit's own fuses, each.
	FusesA []number `json:"fuses_a,omitempty"`
	// LowestOhm is the maker's lowest load a channel.
	LowestOhm *number `json:"lowest_ohm,omitempty"`
	// LowestBridgedOhm is the maker's lowest load of a bridged pair.
	LowestBridgedOhm *number `json:"lowest_bridged_ohm,omitempty"`
}

// A dataSettings is how the unit was set, in the tester's words.
type dataSettings struct {
	// Gain is where the gain control stood.
	Gain string `json:"gain,omitempty"`
	// Input is which input, and its level.
	Input string `json:"input,omitempty"`
	// Boost is bass boost or other equalisation.
	Boost string `json:"boost,omitempty"`
	// Filters is crossover and subsonic filters.
	Filters string `json:"filters,omitempty"`
	// Remarks is anything else about the set-up.
	Remarks string `json:"remarks,omitempty"`
	// Video is where it is seen in a video; left out where it isn't marked.
	Video *dataMark `json:"video,omitempty"`
}

// A dataSource is how the unit came to the bench and what the tester has from it.
type dataSource struct {
	// How is bought, lent, given or own.
	How string `json:"how"`
	// From is from whom.
	From string `json:"from"`
	// Date is the day it came, YYYY-MM-DD.
	Date string `json:"date,omitempty"`
	// After is what happens to the unit: kept, returned, sold or undecided.
	After string `json:"after,omitempty"`
	// LinksEarn is true when the tester earns from a link to a shop.
	LinksEarn bool `json:"links_earn"`
	// Paid is what else the tester had for this test, and from whom.
	Paid string `json:"paid,omitempty"`
	// Remarks is anything else a reader should know.
	Remarks string `json:"remarks,omitempty"`
}

// A Method is one way of making a run.
type Method struct {
	// ID is what runs name it by.
	ID string `json:"id"`
	// Place is where it stands among the site's methods, from 1: ratios are of
	// the first, and load lines are in this order.
	Place int `json:"place"`
	// Title is what the method gives, in a few words.
	Title string `json:"title"`
	// Signal is continuous or burst.
	Signal string `json:"signal"`
	// FreqHz is the signal's frequency, where a run doesn't state another.
	FreqHz *number `json:"freq_hz,omitempty"`
	// ThdnPct is the distortion up to which the unit is driven.
	ThdnPct *number `json:"thdn_pct,omitempty"`
	// LowHz is where the band of distortion and noise begins, for runs that are read
	// from captures.
	LowHz *number `json:"low_hz,omitempty"`
	// HighHz is where that band ends.
	HighHz *number `json:"high_hz,omitempty"`
	// IntoClipping is true when the unit is driven into clipping.
	IntoClipping bool `json:"into_clipping"`
	// DurationS is how long the signal is held.
	DurationS *number `json:"duration_s,omitempty"`
	// BurstMS is the length of a burst, in milliseconds.
	BurstMS *number `json:"burst_ms,omitempty"`
	// EveryMS is the time from one burst's start to the next, in milliseconds.
	EveryMS *number `json:"every_ms,omitempty"`
	// CrestFactor is the signal's, as the meters at the output see it; left out
	// where it is a sine's.
	CrestFactor *number `json:"crest_factor,omitempty"`
	// AnswersUnstated is true when it answers claims that state no duration.
	AnswersUnstated bool `json:"answers_unstated"`
	// AnswersUpToS is up to which stated duration it answers claims; left out
	// where that is duration_s.
	AnswersUpToS *number `json:"answers_up_to_s,omitempty"`
	// SupplyRipplePct is how far volts times amperes may be off the mean supply
	// power, a half-width in percent.
	SupplyRipplePct number `json:"supply_ripple_pct"`
	// Standard is the standard that it follows, where it follows one.
	Standard string `json:"standard,omitempty"`
	// Wording is how a run is made, in the site's own words.
	Wording string `json:"wording"`
	// Pool is the method's repeatability; left out where none is stated.
	Pool *dataPool `json:"pool,omitempty"`
}

// A dataPool is a method's repeatability.
type dataPool struct {
	// RelPct is the relative standard deviation of a channel's power between
	// repeats, in percent.
	RelPct number `json:"rel_pct"`
	// DoF is its degrees of freedom.
	DoF number `json:"dof"`
	// Date is the day it was computed or declared, YYYY-MM-DD.
	Date string `json:"date,omitempty"`
	// Runs are the runs that it was computed from; left out where it was declared.
	Runs []string `json:"runs,omitempty"`
}

// A Instrument is what a reading was taken with.
type Instrument struct {
	// ID is what readings name it by.
	ID string `json:"id"`
	// Name is what it is.
	Name string `json:"name"`
	// Calibrated is the day of its last calibration, YYYY-MM-DD.
	Calibrated string `json:"calibrated,omitempty"`
	// Due is the day until which that calibration holds, YYYY-MM-DD.
	Due string `json:"due,omitempty"`
	// Rough is true while its figures are guesses to begin with, not its specification.
	Rough bool `json:"rough,omitempty"`
	// BandwidthHz is up to which frequency its specification holds.
	BandwidthHz *number `json:"bandwidth_hz,omitempty"`
	// CrestFactor is up to which crest factor its specification holds.
	CrestFactor *number `json:"crest_factor,omitempty"`
	// ShortestBurstMS is the shortest burst within which it can read.
	ShortestBurstMS *number `json:"shortest_burst_ms,omitempty"`
	// DistortionOf is what its distortion reading is relative to: fundamental or
	// total.
	DistortionOf string `json:"distortion_of,omitempty"`
	// Ranges is its specification, range by range. A reading is on the smallest
	// that holds it.
	Ranges []Span `json:"ranges"`
}

// A Span is the accuracy specification of one range of an instrument:
// reading_pct percent of reading, range_pct percent of its upper end, digits
// counts of the resolution and the constant, added up, are a half-width, or where
// shape is normal an expanded uncertainty. A figure is the reading as written plus
// its correction.
type Span struct {
	// Reads is the quantity that it reads, as in readings.
	Reads string `json:"reads"`
	// To is its upper end, in that quantity's unit.
	To number `json:"to"`
	// ReadingPct is percent of reading.
	ReadingPct *number `json:"reading_pct,omitempty"`
	// RangePct is percent of range.
	RangePct *number `json:"range_pct,omitempty"`
	// Digits is counts of the last digit.
	Digits *number `json:"digits,omitempty"`
	// Resolution is what one count of the last digit is.
	Resolution *number `json:"resolution,omitempty"`
	// Constant is a constant, in that quantity's unit.
	Constant *number `json:"constant,omitempty"`
	// GainCommon is true when the percent of reading is one error common to all
	// readings on this range.
	GainCommon bool `json:"gain_common"`
	// Shape is how errors lie within that: rectangular, triangular, u-shaped or
	// normal.
	Shape string `json:"shape"`
	// K is the coverage factor of a normal one.
	K *number `json:"k,omitempty"`
	// DoF is the degrees of freedom of a normal one; left out where infinite.
	DoF *number `json:"dof,omitempty"`
	// DriftPctYear is the drift since the calibration, a half-width in percent of
	// reading a year.
	DriftPctYear *number `json:"drift_pct_year,omitempty"`
	// TempcoPctK is what each kelvin of the air's temperature outside from_c to
	// to_c does, a half-width in percent of reading.
	TempcoPctK *number `json:"tempco_pct_k,omitempty"`
	// FromC is the lowest air temperature at which the specification holds by itself.
	FromC *number `json:"from_c,omitempty"`
	// ToC is the highest one.
	ToC *number `json:"to_c,omitempty"`
	// CorrectionPct is what the certificate adds to a reading, in percent of reading.
	CorrectionPct *number `json:"correction_pct,omitempty"`
	// Correction is what the certificate adds besides, in that quantity's unit.
	Correction *number `json:"correction,omitempty"`
	// CorrectionPMPct is the expanded uncertainty of the correction, in percent of
	// reading.
	CorrectionPMPct *number `json:"correction_pm_pct,omitempty"`
	// CorrectionPM is its other part, in that quantity's unit; both are added.
	CorrectionPM *number `json:"correction_pm,omitempty"`
	// CorrectionK is the coverage factor of that uncertainty.
	CorrectionK *number `json:"correction_k,omitempty"`
}

// A Load is one load element, with the lead from the unit to it.
type Load struct {
	// ID is what runs name it by.
	ID string `json:"id"`
	// Name is what it is.
	Name string `json:"name,omitempty"`
	// NominalOhm is its nominal resistance.
	NominalOhm number `json:"nominal_ohm"`
	// Ohm is its resistance as measured.
	Ohm number `json:"ohm"`
	// OhmPct is how well that is known, a half-width in percent, or with ohm_k an
	// expanded uncertainty.
	OhmPct number `json:"ohm_pct"`
	// OhmK is the coverage factor of an expanded uncertainty.
	OhmK *number `json:"ohm_k,omitempty"`
	// LeadOhm is the resistance of its lead, both ways.
	LeadOhm number `json:"lead_ohm"`
	// LeadPct is how well that is known, a half-width in percent.
	LeadPct number `json:"lead_pct"`
	// AtC is the temperature at which the element's resistance was measured.
	AtC number `json:"at_c"`
	// TempcoPPM is its temperature coefficient, ppm a kelvin.
	TempcoPPM number `json:"tempco_ppm"`
	// TempcoPMPPM is how well that is known, a half-width.
	TempcoPMPPM number `json:"tempco_pm_ppm"`
	// HotC is its temperature in use, where a run doesn't give it; left out where
	// that is at_c.
	HotC *number `json:"hot_c,omitempty"`
	// HotPMC is how well that is known, a half-width in kelvins.
	HotPMC number `json:"hot_pm_c"`
	// Calibration is what loads measured in one go, with one ohmmeter, share.
	Calibration string `json:"calibration,omitempty"`
	// MaxW is what it can take.
	MaxW *number `json:"max_w,omitempty"`
	// Rough is true while its figures are guesses to begin with, and not measured.
	Rough bool `json:"rough,omitempty"`
}
