package record

// The tags of the fields below are the schema of the files: the decoder, its
// hints and its list of keys are all driven by them.
//
//	toml:"key"       the key's name
//	need:"yes"       the key must be there
//	min:"0" max:"9"  bounds, inclusive; above:"0" and below:"9" exclude the bound
//	one:"a|b"        the words the key takes
//	form:"id"        a shape: id (a-z 0-9 and -), name (one line of text),
//	                 prose (text of any length), url (http or https), currency (ISO 4217),
//	                 language (BCP 47), clock (4:12), mark (a place in a video)
//	else:"text"      what is taken when the key is absent
//	about:"text"     what the key means, in a sentence

// A Record is the file of one unit: everything that is known about it.
type Record struct {
	Place
	// Slug is the name of the unit's folder and its address; it isn't a key.
	Slug string `toml:"-"`

	Unit     Unit     `toml:"unit" need:"yes" about:"the amplifier under test"`
	Settings Settings `toml:"settings" about:"how the unit was set"`
	Source   Source   `toml:"source" need:"yes" about:"how the unit came here"`
	Claims   []Claim  `toml:"claim" about:"one figure that the maker states"`
	Runs     []Run    `toml:"run" about:"one measurement at the bench"`
	RunsFile RunsFile `toml:"runs_file" about:"how the rows of runs.csv, beside the record, become runs"`

	Specs     []Spec     `toml:"spec" about:"any other stated-and-measured pair"`
	Functions []Function `toml:"function" about:"a check that has no number"`
	Thermals  []Thermal  `toml:"thermal" about:"a temperature of the unit, or a series"`
	Opinions  []Opinion  `toml:"opinion" about:"a like, a dislike, or what listening gave"`
	Pictures  []Picture  `toml:"picture" about:"a photograph in the unit's folder"`
	Captures  []Capture  `toml:"capture" about:"a recorded waveform in the unit's folder"`
	Features  []Feature  `toml:"feature" about:"what the unit has, without a measurement"`
	Shops     []Shop     `toml:"shop" about:"where the unit can be had"`
	Videos    []Video    `toml:"video" about:"a video about the unit"`

	Contacts    []Contact    `toml:"contact" about:"a letter to the maker, or from them, about the test"`
	Reply       Reply        `toml:"reply" about:"the maker's answer"`
	Holds       []HoldGroup  `toml:"hold" about:"a group of things that are kept out of what is published, and open at once"`
	Corrections []Correction `toml:"correction" about:"what was changed of sealed results, and why"`
}

// A Unit is the amplifier under test.
type Unit struct {
	Place
	Sheet            string   `toml:"sheet" form:"name" about:"the sheet's own number, printed on every page of it"`
	Maker            string   `toml:"maker" need:"yes" form:"name" about:"who makes the unit"`
	Model            string   `toml:"model" need:"yes" form:"name" about:"the model's name"`
	Follows          Ref      `toml:"follows" about:"the folder of the earlier model that this one replaces, where it was tested too"`
	Year             Number   `toml:"year" min:"1950" max:"2100" about:"model year"`
	Serial           string   `toml:"serial" form:"name" about:"serial number"`
	Condition        string   `toml:"condition" form:"name" about:"new, used, repaired: in the tester's words"`
	Kind             string   `toml:"kind" form:"name" about:"what kind of amplifier, in the trade's words: mono, two-channel, four-channel"`
	Use              string   `toml:"use" one:"car|marine|home|stage" else:"car" about:"where the unit is used"`
	Channels         []string `toml:"channels" need:"yes" form:"name" about:"the channels' names, in the order that readings are typed"`
	Class            string   `toml:"class" one:"A|AB|B|D|G|H" about:"the output stage's class"`
	Supply           string   `toml:"supply" one:"dc|mains" else:"dc" about:"what the unit runs from"`
	Price            Number   `toml:"price" min:"0.01" max:"1000000000" about:"price, in the site's currency"`
	PriceDate        Date     `toml:"price_date" about:"the day of that price"`
	SizeMM           Numbers  `toml:"size_mm" min:"0.1" max:"100000" about:"width, height, depth"`
	SizeIn           Numbers  `toml:"size_in" min:"0.004" max:"4000" about:"the same in inches, where the maker prints both"`
	MassKG           Number   `toml:"mass_kg" min:"0.001" max:"100000" about:"mass"`
	MassLb           Number   `toml:"mass_lb" min:"0.002" max:"220000" about:"the same in pounds, where the maker prints both"`
	FusesA           Numbers  `toml:"fuses_a" min:"0.001" max:"100000" about:"the unit's own fuses, each"`
	LowestOhm        Number   `toml:"lowest_ohm" min:"0.001" max:"1000" about:"the maker's lowest load a channel"`
	LowestBridgedOhm Number   `toml:"lowest_bridged_ohm" min:"0.001" max:"1000" about:"the maker's lowest load of a bridged pair"`
	Hold             Hold     `toml:"hold" about:"until when the whole unit is kept out of what is published: until and a time, true, or the id of a [[hold]]"`
}

// Settings is how the unit was set while it was tested, in the tester's words.
type Settings struct {
	Place
	Gain    string `toml:"gain" form:"name" about:"where the gain control stood"`
	Input   string `toml:"input" form:"name" about:"which input, and its level"`
	Boost   string `toml:"boost" form:"name" about:"bass boost or other equalisation"`
	Filters string `toml:"filters" form:"name" about:"crossover and subsonic filters"`
	Remarks string `toml:"remarks" form:"prose" about:"anything else about the set-up"`
	Video   string `toml:"video" form:"mark" about:"where it is seen in a video: 4:12, or with several videos the video's id before it"`
}

// A Source is how the unit came to the bench and what the tester has from it.
type Source struct {
	Place
	How       string `toml:"how" need:"yes" one:"bought|lent|given|own" about:"bought for the test, lent, given, or the tester's own"`
	From      string `toml:"from" need:"yes" form:"name" about:"from whom, as a reader would say it: a shop, the maker, a viewer"`
	Date      Date   `toml:"date" about:"the day it came"`
	After     string `toml:"after" one:"kept|returned|sold|undecided" about:"what happens to the unit after the test"`
	LinksEarn bool   `toml:"links_earn" about:"true when the tester earns from a link to a shop"`
	Paid      string `toml:"paid" form:"name" about:"what else the tester had for this test, and from whom; the word nothing when nobody paid"`
	Remarks   string `toml:"remarks" form:"prose" about:"anything else a reader should know"`
}

// A Claim is one figure that the maker states, with the conditions it is
// stated for. Power is per channel, as makers print it.
type Claim struct {
	Place
	ID        string   `toml:"id" need:"yes" form:"id" about:"a short name, unique among the claims; it is part of an address"`
	Quantity  string   `toml:"quantity" one:"power" else:"power" about:"what is claimed"`
	PowerW    Number   `toml:"power_w" need:"yes" min:"0.001" max:"1000000" about:"claimed power a channel"`
	LoadOhm   Number   `toml:"load_ohm" need:"yes" min:"0.001" max:"1000" about:"the load a channel that it is claimed for"`
	Channels  Number   `toml:"channels" need:"yes" min:"1" max:"64" about:"how many channels are driven (bridged: how many pairs)"`
	Of        []string `toml:"of" form:"name" about:"which channels it is for, where it isn't for any of the unit's"`
	Driven    Number   `toml:"driven" min:"1" max:"64" about:"how many channels are driven in all, where more are than it is for"`
	Bridged   bool     `toml:"bridged" about:"true when the figure is for bridged channels"`
	SupplyV   Number   `toml:"supply_v" min:"0.001" max:"1000" about:"the supply voltage it is claimed for; absent when the maker doesn't say"`
	ThdnPct   Number   `toml:"thdn_pct" min:"0.000001" max:"100" about:"the distortion it is claimed for; absent when the maker doesn't say"`
	FreqHz    Numbers  `toml:"freq_hz" min:"0.001" max:"1000000" about:"one frequency, or a band as [low, high]; absent when the maker doesn't say"`
	Signal    string   `toml:"signal" one:"continuous|burst" else:"continuous" about:"continuous, or a burst"`
	DurationS Number   `toml:"duration_s" min:"0.001" max:"1000000" about:"for how long, where the maker says"`
	PrintedIn string   `toml:"printed_in" form:"name" about:"where the maker prints it"`
	Video     string   `toml:"video" form:"mark" about:"where it is seen in a video: 4:12, or with several videos the video's id before it"`
	Hold      Hold     `toml:"hold" about:"until when it is kept out of what is published: until and a time, true, or the id of a [[hold]]"`
}

// A Run is one measurement at the bench. It is never overwritten, at most
// marked invalid with a reason.
type Run struct {
	Place
	ID        string     `toml:"id" need:"yes" form:"id" about:"a short name, unique among the runs; it is part of an address"`
	Method    Ref        `toml:"method" need:"yes" about:"a method of methods.toml"`
	Load      Refs       `toml:"load" about:"the load of bench.toml at each driven channel, in their order"`
	LoadOhm   Number     `toml:"load_ohm" min:"0.001" max:"1000" about:"the nominal load a channel, where the load is not one of bench.toml"`
	Driven    []string   `toml:"driven" form:"name" about:"the channels driven, L+R for a bridged pair; absent: all of the unit's"`
	PowerW    Numbers    `toml:"power_w" min:"0" max:"1000000" about:"power at the unit's terminals as a watt-meter shows it, a channel"`
	OutV      Numbers    `toml:"out_v" min:"0" max:"10000" about:"true-rms volts across the load element, a channel"`
	ThdnPct   Numbers    `toml:"thdn_pct" min:"0" max:"100" about:"THD+N as the analyser shows it, a channel"`
	SupplyV   Number     `toml:"supply_v" min:"0.001" max:"1000" about:"supply voltage at the unit's terminals, during the run"`
	SupplyA   Number     `toml:"supply_a" min:"0" max:"100000" about:"supply current, during the run"`
	SupplyW   Number     `toml:"supply_w" min:"0" max:"1000000" about:"supply power as a true watt-meter shows it; mains units need it"`
	FreqHz    Number     `toml:"freq_hz" min:"0.001" max:"1000000" about:"the signal's frequency; absent: the method's"`
	LoadC     Numbers    `toml:"load_c" min:"-50" max:"1000" about:"the load elements' temperature, a channel"`
	AmbientC  Number     `toml:"ambient_c" min:"-50" max:"100" about:"air temperature"`
	WarmUpMin Number     `toml:"warm_up_min" min:"0" max:"100000" about:"minutes of warm-up before the run"`
	LastedS   Number     `toml:"lasted_s" min:"0" max:"1000000" about:"how long the run lasted"`
	At        Moment     `toml:"at" about:"when it was made, with the time zone's offset"`
	Outcome   string     `toml:"outcome" one:"completed|protected|fuse|supply-limit|stopped" else:"completed" about:"how the run ended"`
	Invalid   string     `toml:"invalid" form:"prose" about:"why the run doesn't count; it stays on the page"`
	With      Quantities `toml:"with" about:"the instrument of a reading, where it isn't the bench's usual one"`
	ReadAs    ReadAs     `toml:"read_as" about:"how a reading was taken, where it isn't the mean"`
	Capture   Ref        `toml:"capture" about:"the [[capture]] that its readings come from; typed ones are compared with them"`
	FromS     Number     `toml:"from_s" min:"0" max:"1000000" about:"of that capture: where the run begins, in seconds after the first sample; absent: there"`
	ToS       Number     `toml:"to_s" above:"0" max:"1000000" about:"of that capture: where the run ends; absent: at its end"`
	CaptureAs string     `toml:"capture_as" one:"steady|steps|sweep|bursts" about:"what is heard there: a steady tone, one whose level rises in steps or evenly, or bursts; absent: bursts where the method's signal is one, else steady"`
	Remarks   string     `toml:"remarks" form:"prose" about:"anything else about the run"`
	Video     string     `toml:"video" form:"mark" about:"where it is seen in a video: 4:12, or with several videos the video's id before it"`
	Hold      Hold       `toml:"hold" about:"until when it is kept out of what is published: until and a time, true, or the id of a [[hold]]"`

	// Taken is what the run's capture gave; nil where there is none, or none was read.
	Taken *Taken `toml:"-"`
}

// Quantities names an instrument of bench.toml for each quantity that is read.
type Quantities struct {
	Place
	PowerW  Ref `toml:"power_w" about:"the watt-meter at the output"`
	OutV    Ref `toml:"out_v" about:"the voltmeter at the output"`
	ThdnPct Ref `toml:"thdn_pct" about:"the distortion analyser"`
	SupplyV Ref `toml:"supply_v" about:"the voltmeter at the supply terminals"`
	SupplyA Ref `toml:"supply_a" about:"the ammeter or clamp in the supply"`
	SupplyW Ref `toml:"supply_w" about:"the watt-meter at the mains"`
	LoadC   Ref `toml:"load_c" about:"the thermometer at the load"`
}

// ReadAs tells how a reading was taken: as a mean (absent), or held.
type ReadAs struct {
	Place
	PowerW  string `toml:"power_w" one:"mean|held-max" else:"mean" about:"mean, or the highest that the meter held"`
	OutV    string `toml:"out_v" one:"mean|held-max" else:"mean" about:"mean, or the highest that the meter held"`
	SupplyV string `toml:"supply_v" one:"mean|held-min" else:"mean" about:"mean, or the lowest that the meter held"`
	SupplyA string `toml:"supply_a" one:"mean|held-max" else:"mean" about:"mean, or the highest that the meter held"`
}
