package record

// A Spec is any other stated-and-measured pair: size, mass, a filter's corner,
// noise, idle current. It is decided by the same rule as a claim, against a lower,
// an upper or two limits.
type Spec struct {
	Place
	ID           string  `toml:"id" need:"yes" form:"id" about:"a short name, unique among the specs; it is part of an address"`
	Name         string  `toml:"name" need:"yes" form:"name" about:"what it is, as a reader would say it: width, low-pass corner at the highest mark"`
	Unit         string  `toml:"unit" form:"name" about:"the unit of both figures: mm, kg, Hz, dB, A; absent for a bare number"`
	Limit        string  `toml:"limit" need:"yes" one:"at-least|at-most|about|between" about:"how the maker's figure is meant: a lower limit, an upper one, a value, or a range"`
	Stated       Number  `toml:"stated" need:"yes" min:"-1000000000000" max:"1000000000000" about:"the maker's figure; of a range the lower end"`
	Also         Number  `toml:"also" min:"-1000000000000" max:"1000000000000" about:"that figure in a second unit, where the maker prints both"`
	AlsoUnit     string  `toml:"also_unit" one:"mm|cm|m|in|ft|g|kg|oz|lb|°C|°F" about:"the second unit"`
	StatedTo     Number  `toml:"stated_to" min:"-1000000000000" max:"1000000000000" about:"the upper end of a range"`
	Tolerance    Number  `toml:"tolerance" min:"0" max:"1000000000000" about:"the tolerance that the maker prints, in the same unit; absent: half the last digit as printed"`
	TolerancePct Number  `toml:"tolerance_pct" min:"0" max:"100" about:"that tolerance in percent of the figure"`
	Measured     Numbers `toml:"measured" min:"-1000000000000" max:"1000000000000" about:"what was measured, one number or repeats; absent: not measured"`
	PM           Number  `toml:"pm" min:"0" max:"1000000000000" about:"how well it was measured, a half-width in the same unit"`
	How          string  `toml:"how" form:"name" about:"with what, and how it was measured"`
	PrintedIn    string  `toml:"printed_in" form:"name" about:"where the maker prints it"`
	Remarks      string  `toml:"remarks" form:"prose" about:"anything else about it"`
	Video        string  `toml:"video" form:"mark" about:"where it is seen in a video: 4:12, or with several videos the video's id before it"`
	Hold         Hold    `toml:"hold" about:"until when it is kept out of what is published: until and a time, true, or the id of a [[hold]]"`

	// Where the measured figure comes from a capture.
	Capture   Ref    `toml:"capture" about:"the [[capture]] that the measured figure comes from; a typed one is compared with it"`
	FromS     Number `toml:"from_s" min:"0" max:"1000000" about:"of that capture: where the sweep, or the noise, begins, in seconds after the first sample; absent: there"`
	ToS       Number `toml:"to_s" above:"0" max:"1000000" about:"of that capture: where it ends; absent: at its end"`
	CaptureAs string `toml:"capture_as" one:"corner-low|corner-high|slope|boost-centre|boost-height|signal-to-noise" about:"what is read there: of a sweep a filter's corner below or above at_hz in Hz, how steep it falls in dB/octave, a boost's centre in Hz or its height in dB; of the silent output its signal to noise ratio in dB"`
	Of        string `toml:"of" form:"name" about:"of that capture: which channel's output; absent where it has one"`
	AtHz      Number `toml:"at_hz" above:"0" max:"10000000" about:"of a corner or a boost: the frequency whose level it is told against, where the response is flat"`
	DropDB    Number `toml:"drop_db" above:"0" max:"60" else:"3" about:"of a corner: by how much the response has fallen there"`
	LowHz     Number `toml:"low_hz" min:"0.001" max:"10000000" about:"of a slope: where the stretch begins that it is told from; of noise: the band"`
	HighHz    Number `toml:"high_hz" above:"0" max:"10000000" about:"where that ends"`
	Weighting string `toml:"weighting" one:"a|none" about:"of noise: a for A-weighted (IEC 61672-1), or none"`
	RefW      Number `toml:"ref_w" above:"0" max:"1000000" about:"of a signal to noise ratio: the power that it refers to, 1 or the rated one"`
	RefOhm    Number `toml:"ref_ohm" above:"0" max:"10000" about:"the load that this power goes into"`
	// Taken is what the capture gave; nil where there is none, or none was read.
	Taken *TakenSpec `toml:"-"`
}

// A Function is a check that has no number: a lamp, a remote control, a built-in
// meter, the protection.
type Function struct {
	Place
	Name    string `toml:"name" need:"yes" form:"name" about:"what was tried: clip lamp, remote level, protection against a short"`
	Result  string `toml:"result" need:"yes" one:"works|partly|fails|not-tried" about:"what came out"`
	How     string `toml:"how" form:"name" about:"how it was tried"`
	Remarks string `toml:"remarks" form:"prose" about:"what a reader should know"`
	Video   string `toml:"video" form:"mark" about:"where it is seen in a video: 4:12, or with several videos the video's id before it"`
	Hold    Hold   `toml:"hold" about:"until when it is kept out of what is published: until and a time, true, or the id of a [[hold]]"`
}

// A Thermal is one temperature of the unit, or a series of them.
type Thermal struct {
	Place
	Spot       string  `toml:"spot" need:"yes" form:"name" about:"where it was read: heat sink, middle fin"`
	TempC      Numbers `toml:"temp_c" need:"yes" min:"-50" max:"1000" about:"temperature, one number or a series"`
	TempF      Numbers `toml:"temp_f" min:"-58" max:"1832" about:"the same in degrees Fahrenheit, where the thermometer showed both"`
	AtMin      Numbers `toml:"at_min" min:"0" max:"100000" about:"of a series, the minutes since its start, ascending"`
	AmbientC   Number  `toml:"ambient_c" min:"-50" max:"100" about:"air temperature"`
	AmbientF   Number  `toml:"ambient_f" min:"-58" max:"212" about:"the same in degrees Fahrenheit"`
	Emissivity Number  `toml:"emissivity" min:"0.001" max:"1" about:"what the infrared thermometer was set to; absent for a contact thermometer"`
	After      Ref     `toml:"after" about:"the run before or during which it was read"`
	How        string  `toml:"how" form:"name" about:"with what it was read, and the load before"`
	PM         Number  `toml:"pm" min:"0" max:"100" about:"how well it was read, a half-width in kelvins"`
	Video      string  `toml:"video" form:"mark" about:"where it is seen in a video: 4:12, or with several videos the video's id before it"`
	Hold       Hold    `toml:"hold" about:"until when it is kept out of what is published: until and a time, true, or the id of a [[hold]]"`
}

// An Opinion is a like, a dislike, or what listening gave: marked as opinion on
// the page, and never near a verdict.
type Opinion struct {
	Place
	Kind  string `toml:"kind" need:"yes" one:"like|dislike|listening" about:"what kind of opinion"`
	Text  string `toml:"text" need:"yes" form:"prose" about:"the opinion"`
	Video string `toml:"video" form:"mark" about:"where it is seen in a video: 4:12, or with several videos the video's id before it"`
	Hold  Hold   `toml:"hold" about:"until when it is kept out of what is published: until and a time, true, or the id of a [[hold]]"`
}

// A Picture is a photograph in the unit's folder.
type Picture struct {
	Place
	File     string    `toml:"file" need:"yes" form:"file" about:"the file's name in the unit's folder: .jpg or .png"`
	Shows    string    `toml:"shows" need:"yes" form:"name" about:"what it shows, for those who can't see it"`
	Caption  string    `toml:"caption" form:"name" about:"a caption; absent: what it shows"`
	Run      Ref       `toml:"run" about:"the run that it is evidence for"`
	Video    string    `toml:"video" form:"mark" about:"where it is seen in a video: 4:12, or with several videos the video's id before it"`
	Callouts []Callout `toml:"callout" about:"a numbered place in the picture"`
	Hold     Hold      `toml:"hold" about:"until when it is kept out of what is published: until and a time, true, or the id of a [[hold]]"`
}

// A Callout is a numbered place in a picture.
type Callout struct {
	Place
	XPct Number `toml:"x_pct" need:"yes" min:"0" max:"100" about:"from the left, in percent of the width"`
	YPct Number `toml:"y_pct" need:"yes" min:"0" max:"100" about:"from the top, in percent of the height"`
	Text string `toml:"text" need:"yes" form:"name" about:"what is there"`
}

// A Feature is what the unit has, as the maker states it, without a measurement.
type Feature struct {
	Place
	Name string `toml:"name" need:"yes" form:"name" about:"what the unit has"`
	Note string `toml:"note" form:"name" about:"in a few words"`
}

// A Shop is where the unit can be had.
type Shop struct {
	Place
	Name  string `toml:"name" need:"yes" form:"name" about:"the shop's name"`
	Link  string `toml:"link" need:"yes" form:"url" about:"the page there"`
	Price Number `toml:"price" min:"0.01" max:"1000000000" about:"its price, in the site's currency"`
	Date  Date   `toml:"date" about:"the day of that price"`
	Earns bool   `toml:"earns" about:"true when the tester earns from this link"`
}
