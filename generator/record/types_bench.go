package record

// A Site is content/site.toml: what the whole site is and how it decides.
type Site struct {
	Place
	Title   string `toml:"title" need:"yes" form:"name" about:"the site's name"`
	Tester  string `toml:"tester" need:"yes" form:"name" about:"who tests and publishes"`
	Address string `toml:"address" form:"site" about:"the site's public address"`
	// FirstAddress keeps the ids of feeds as they were when the site moves.
	FirstAddress string `toml:"first_address" form:"site" about:"the address that the site had first, where it has another now: the ids in its feeds stay as they were"`
	Language     string `toml:"language" form:"language" else:"en" about:"the language that the prose is written in"`
	Currency     string `toml:"currency" form:"currency" about:"the currency of prices"`
	Tagline      string `toml:"tagline" form:"name" about:"a sentence under the title of the front page"`
	Notice       string `toml:"notice" form:"name" about:"a notice on every page"`
	// Theme is the name of a folder below themes, beside content, whose files stand in
	// place of the built-in ones; empty for the built-in look.
	Theme string `toml:"theme" form:"id" about:"a folder of themes that has files of your own for the pages' look"`
	// ContactRequired and WaitDays say when an unfavourable verdict may be published.
	ContactRequired bool   `toml:"contact_required" about:"true when no claim is published as short before the maker was asked and had time to answer"`
	WaitDays        Number `toml:"wait_days" min:"0" max:"366" else:"14" about:"how many days the maker gets to answer, where contact is required"`
	// Licence is that of the numbers and texts of the site, as the tester states it.
	Licence Licence `toml:"licence" about:"the licence under which the site's data may be used"`
	Moved   []Moved `toml:"moved" about:"an address that a page had once, and the one that it has now"`
	Rule    Rule    `toml:"rule" about:"the decision rule"`
	Assume  Assume  `toml:"assume" about:"what is taken where a claim doesn't state its conditions"`
}

// A Licence is under which terms the site's data may be used. A site without one states
// none; nothing is assumed.
type Licence struct {
	Place
	Name    string `toml:"name" need:"yes" form:"name" about:"the licence's name, as people know it"`
	SPDX    string `toml:"spdx" form:"spdx" about:"its short identifier in the SPDX list of licences, where it is in there"`
	Address string `toml:"address" need:"yes" form:"url" about:"where the licence can be read"`
}

// Stated reports whether the site states a licence.
func (l Licence) Stated() bool { return l.Name != "" }

// A Moved is a page, or a unit's folder with all in it, that has another address now:
// both from the site's root, as in /units/otter-20/.
type Moved struct {
	Place
	From string `toml:"from" need:"yes" form:"path" about:"the address as it was, from the site's root: /units/old-name/"`
	To   string `toml:"to" need:"yes" form:"path" about:"the address as it is now: /units/new-name/"`
}

// A Rule is the site's decision rule: a usual one by its name, or the probabilities.
// Decoded, it always has these.
type Rule struct {
	Place
	Acceptance   string `toml:"acceptance" one:"simple|guarded|guarded-by-U" about:"a usual decision rule by its name: simple acceptance, guarded for 95 %, or guarded by the expanded uncertainty U"`
	MetFrom      Number `toml:"met_from" min:"0.5" below:"1" else:"0.95" about:"a claim is met from this probability on"`
	ShortTo      Number `toml:"short_to" above:"0" max:"0.5" else:"0.05" about:"a claim is short up to this probability"`
	AllowancePct Number `toml:"allowance_pct" min:"0" below:"100" else:"0" about:"how far below the claim the limit lies"`
}

// Assume is what the site takes where a claim is silent. What is absent here is
// not assumed: such a claim stays open.
type Assume struct {
	Place
	ThdnPct      Number `toml:"thdn_pct" min:"0.000001" max:"100" about:"distortion of a claim that names none"`
	SupplyDCV    Number `toml:"supply_dc_v" min:"0.001" max:"1000" about:"supply voltage of a claim that names none, for units on direct current"`
	SupplyMainsV Number `toml:"supply_mains_v" min:"0.001" max:"1000" about:"supply voltage of a claim that names none, for units on the mains"`
}

// A Bench is content/bench.toml: what was used to measure, and how good it is.
type Bench struct {
	Place
	Supplies    []Supply     `toml:"supply" about:"what feeds the units"`
	CheckUnit   CheckUnit    `toml:"check_unit" about:"an amplifier that stays at the bench and is measured on each test day"`
	Expects     []Expect     `toml:"expect" about:"what a class of unit is expected to do, for planning"`
	Usual       Quantities   `toml:"usual" about:"which instrument usually reads what"`
	Instruments []Instrument `toml:"instrument" about:"a meter, clamp, analyser or recorder"`
	Loads       []Load       `toml:"load" about:"a load element, with its lead"`
}

// A CheckUnit is an amplifier that stays at the bench: its power on each test day
// shows the bench's own drift.
type CheckUnit struct {
	Place
	Name     string     `toml:"name" need:"yes" form:"name" about:"what it is"`
	Method   Ref        `toml:"method" need:"yes" about:"the method by which it is measured"`
	Load     Ref        `toml:"load" need:"yes" about:"the load element that it drives"`
	Readings []CheckDay `toml:"day" about:"one measurement on one test day"`
}

// A CheckDay is one measurement of the check unit.
type CheckDay struct {
	Place
	Date     Date   `toml:"date" need:"yes" about:"the test day"`
	OutV     Number `toml:"out_v" need:"yes" min:"0.001" max:"10000" about:"true-rms volts across the load element"`
	SupplyV  Number `toml:"supply_v" min:"0.001" max:"1000" about:"supply voltage at its terminals"`
	AmbientC Number `toml:"ambient_c" min:"-50" max:"100" about:"air temperature"`
	Remarks  string `toml:"remarks" form:"name" about:"anything else about that day"`
}

// A Supply is what feeds the units at the bench.
type Supply struct {
	Place
	ID    string `toml:"id" need:"yes" form:"id" about:"a short name"`
	Name  string `toml:"name" need:"yes" form:"name" about:"what it is"`
	Volts Number `toml:"volts" above:"0" max:"1000" about:"what it is set to"`
	Amps  Number `toml:"amps" above:"0" max:"100000" about:"what it can give"`
	Leads string `toml:"leads" form:"name" about:"the leads from the supply to the unit"`
	// The leads in numbers, for planning: a size, and how many such cables a pole.
	LeadMM2    Number `toml:"lead_mm2" above:"0" max:"10000" about:"copper cross-section of one cable of the leads, in mm²"`
	LeadAWG    string `toml:"lead_awg" one:"4/0|3/0|2/0|1/0|1|2|3|4|5|6|8|10|12|14|16" about:"the same as a wire gauge, where it isn't given in mm²"`
	LeadCables Number `toml:"lead_cables" min:"1" max:"100" else:"1" about:"how many such cables lie in parallel, a pole"`
	LeadM      Number `toml:"lead_m" above:"0" max:"1000" about:"length of the leads one way, in metres"`
}

// An Expect is what the tester expects of units of one class. It serves planning
// only and changes no result.
type Expect struct {
	Place
	Class         string `toml:"class" need:"yes" one:"A|AB|B|D|G|H" about:"the output stage's class"`
	EfficiencyPct Number `toml:"efficiency_pct" need:"yes" above:"0" max:"100" about:"efficiency at full output, in percent"`
}

// An Instrument is anything that shows a reading.
type Instrument struct {
	Place
	ID              string  `toml:"id" need:"yes" form:"id" about:"a short name"`
	Name            string  `toml:"name" need:"yes" form:"name" about:"what it is, as the methodology page prints it"`
	Calibrated      Date    `toml:"calibrated" about:"the day of its last calibration"`
	Due             Date    `toml:"due" about:"the day until which that calibration holds"`
	BandwidthHz     Number  `toml:"bandwidth_hz" above:"0" max:"1000000000" about:"up to which frequency its specification holds; where it reads distortion, harmonics too: the end of its band"`
	CrestFactor     Number  `toml:"crest_factor" min:"1" max:"100" about:"up to which crest factor its specification holds"`
	ShortestBurstMS Number  `toml:"shortest_burst_ms" above:"0" max:"1000000" about:"the shortest burst within which it can read"`
	Rough           bool    `toml:"rough" about:"true while its figures are guesses to begin with, not its specification; the pages say so"`
	DistortionOf    string  `toml:"distortion_of" one:"fundamental|total" else:"fundamental" about:"what its distortion reading is relative to"`
	Ranges          []Range `toml:"range" need:"yes" about:"its specification, range by range"`
}

// A Range is what is known of one range of an instrument. Its specification is
// ±(reading_pct % of reading + range_pct % of range + digits counts of resolution +
// constant): a half-width, or where shape is normal an expanded uncertainty.
type Range struct {
	Place
	Reads      string `toml:"reads" need:"yes" one:"power_w|out_v|thdn_pct|supply_v|supply_a|supply_w|load_c" about:"the quantity it reads"`
	To         Number `toml:"to" need:"yes" above:"0" max:"10000000" about:"the range's upper end, in that quantity's unit"`
	ReadingPct Number `toml:"reading_pct" min:"0" max:"100" about:"percent of reading"`
	RangePct   Number `toml:"range_pct" min:"0" max:"100" about:"percent of range"`
	Digits     Number `toml:"digits" min:"0" max:"100000" about:"counts of the last digit"`
	Resolution Number `toml:"resolution" above:"0" max:"1000000" about:"what one count of the last digit is"`
	Constant   Number `toml:"constant" min:"0" max:"1000000" about:"a constant part of the specification, in that quantity's unit"`
	GainCommon bool   `toml:"gain_common" about:"true when the percent of reading is one error common to all readings on this range"`

	Shape string `toml:"shape" one:"rectangular|triangular|u-shaped|normal" else:"rectangular" about:"how errors lie within the specification; normal where it is an expanded uncertainty"`
	K     Number `toml:"k" min:"1" max:"10" about:"of a normal one the coverage factor that it is stated with"`
	DoF   Number `toml:"dof" min:"1" max:"1000000" about:"of a normal one its degrees of freedom; absent: infinite"`

	DriftPctYear Number `toml:"drift_pct_year" min:"0" max:"100" about:"drift since the calibration, a half-width in percent of reading a year"`
	TempcoPctK   Number `toml:"tempco_pct_k" min:"0" max:"100" about:"influence of the air's temperature, a half-width in percent of reading for each kelvin outside from_c to to_c"`
	FromC        Number `toml:"from_c" min:"-50" max:"100" about:"the lowest air temperature at which the specification holds by itself"`
	ToC          Number `toml:"to_c" min:"-50" max:"100" about:"the highest air temperature at which the specification holds by itself"`

	CorrectionPct   Number `toml:"correction_pct" min:"-50" max:"50" about:"what the certificate adds to a reading, in percent of reading, with its sign"`
	Correction      Number `toml:"correction" min:"-1000000" max:"1000000" about:"what the certificate adds to a reading, in the quantity's unit, with its sign"`
	CorrectionPMPct Number `toml:"correction_pm_pct" above:"0" max:"100" about:"expanded uncertainty of the correction, in percent of reading"`
	CorrectionPM    Number `toml:"correction_pm" above:"0" max:"1000000" about:"expanded uncertainty of the correction, in the quantity's unit; both given: their sum"`
	CorrectionK     Number `toml:"correction_k" min:"1" max:"10" else:"2" about:"the coverage factor that this uncertainty is stated with"`
}

// Corrects reports whether the range has a calibration correction.
func (r *Range) Corrects() bool { return r.CorrectionPct.Given() || r.Correction.Given() }

// CorrectionTo is what the correction adds to a reading x, in the quantity's unit.
func (r *Range) CorrectionTo(x float64) float64 {
	return r.CorrectionPct.Value/100*x + r.Correction.Value
}

// A Load is one resistor of a load bank, with the lead from the unit to it.
type Load struct {
	Place
	ID          string `toml:"id" need:"yes" form:"id" about:"a short name"`
	Name        string `toml:"name" form:"name" about:"what it is"`
	NominalOhm  Number `toml:"nominal_ohm" need:"yes" min:"0.001" max:"1000" about:"its nominal resistance"`
	Ohm         Number `toml:"ohm" need:"yes" min:"0.001" max:"1000" about:"its resistance as measured"`
	OhmPct      Number `toml:"ohm_pct" need:"yes" min:"0" max:"100" about:"how well that is known, a half-width in percent; with ohm_k an expanded uncertainty"`
	OhmK        Number `toml:"ohm_k" min:"1" max:"10" about:"the coverage factor that ohm_pct is stated with, where it is an expanded uncertainty"`
	AtC         Number `toml:"at_c" min:"-50" max:"200" else:"25" about:"the temperature at which it was measured"`
	TempcoPPM   Number `toml:"tempco_ppm" min:"-10000" max:"10000" else:"0" about:"its temperature coefficient, ppm a kelvin"`
	TempcoPMPPM Number `toml:"tempco_pm_ppm" min:"0" max:"10000" else:"0" about:"how well that is known, a half-width in ppm a kelvin"`
	HotC        Number `toml:"hot_c" min:"-50" max:"1000" about:"its temperature in use, where a run doesn't give it; absent: at_c"`
	HotPMC      Number `toml:"hot_pm_c" min:"0" max:"1000" else:"0" about:"how well that is known, a half-width in kelvins"`
	Calibration string `toml:"calibration" form:"id" about:"loads measured in one go, with one ohmmeter, share this name"`
	LeadOhm     Number `toml:"lead_ohm" min:"0" max:"10" else:"0" about:"resistance of the lead between the unit's terminals and the element, both ways"`
	LeadPct     Number `toml:"lead_pct" min:"0" max:"100" else:"10" about:"how well that is known, a half-width in percent"`
	MaxW        Number `toml:"max_w" above:"0" max:"1000000" about:"what it can take"`
	Rough       bool   `toml:"rough" about:"true while its figures are guesses to begin with, and not measured; the pages say so"`
}

// Methods is content/methods.toml: how runs are made. None is built in.
type Methods struct {
	Place
	Methods []Method `toml:"method" need:"yes" about:"one way of making a run"`
}

// A Method is one way of making a run.
type Method struct {
	Place
	ID              string `toml:"id" need:"yes" form:"id" about:"a short name; it is part of an address"`
	Title           string `toml:"title" need:"yes" form:"name" about:"what the method gives, in a few words: at 1 % THD+N"`
	Signal          string `toml:"signal" one:"continuous|burst" else:"continuous" about:"continuous, or a burst"`
	FreqHz          Number `toml:"freq_hz" min:"0.001" max:"1000000" about:"the signal's frequency, where a run doesn't state another"`
	ThdnPct         Number `toml:"thdn_pct" min:"0.000001" max:"100" about:"the distortion up to which the unit is driven"`
	LowHz           Number `toml:"low_hz" min:"0.001" max:"10000000" about:"where the band of distortion and noise begins, for runs that are read from captures; absent: 20 Hz, or half the signal's frequency where that is lower"`
	HighHz          Number `toml:"high_hz" min:"0.001" max:"10000000" about:"where that band ends; absent: 20 kHz, or half the samples a second where that is lower"`
	IntoClipping    bool   `toml:"into_clipping" about:"true when the unit is driven into clipping, beyond any distortion limit of a claim"`
	DurationS       Number `toml:"duration_s" min:"0.001" max:"1000000" about:"how long the signal is held"`
	BurstMS         Number `toml:"burst_ms" min:"0.001" max:"1000000" about:"length of a burst"`
	EveryMS         Number `toml:"every_ms" above:"0" max:"1000000" about:"from one burst's start to the next"`
	CrestFactor     Number `toml:"crest_factor" min:"1" max:"1000" about:"crest factor of the signal as the meters at the output see it; absent: a sine's"`
	AnswersUnstated bool   `toml:"answers_unstated" about:"true when it answers claims that state no duration"`
	AnswersUpToS    Number `toml:"answers_up_to_s" min:"0" max:"1000000" about:"it answers claims that state a duration up to this; absent: duration_s"`
	SupplyRipplePct Number `toml:"supply_ripple_pct" min:"0" max:"100" else:"0" about:"ripple and sag of the supply: how far volts times amperes may be off the mean power, a half-width in percent"`
	Standard        string `toml:"standard" form:"name" about:"the standard that it follows, where it follows one"`
	Wording         string `toml:"wording" need:"yes" form:"prose" about:"how a run is made, in the site's own words"`
	Pool            Pool   `toml:"pool" about:"the method's repeatability"`
}

// A Pool is a method's repeatability: the relative standard deviation of a
// channel's power between repeats.
type Pool struct {
	Place
	RelPct Number   `toml:"rel_pct" need:"yes" min:"0" max:"100" about:"standard deviation in percent of power"`
	DoF    Number   `toml:"dof" min:"1" max:"1000000" else:"8" about:"its degrees of freedom"`
	Date   Date     `toml:"date" about:"the day it was computed or declared"`
	Runs   []string `toml:"runs" form:"name" about:"the runs it was computed from; absent: declared, not computed"`
}
