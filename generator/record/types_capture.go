package record

// A Capture is a recorded waveform beside the record: a WAV file, or a table of samples.
// What its columns stand for, and how well that is known, is stated here.
type Capture struct {
	Place
	ID       string `toml:"id" need:"yes" form:"id" about:"a short name, unique among the captures; it is part of an address"`
	File     string `toml:"file" need:"yes" form:"recording" about:"the file's name in the unit's folder: .wav, or .csv for a table of samples"`
	Recorder Ref    `toml:"recorder" about:"the instrument of bench.toml that recorded it"`
	ClockPct Number `toml:"clock_pct" min:"0" max:"10" about:"how well its sampling rate is known, a half-width in percent; absent: 0.01 is assumed"`

	// How a table of samples is written; what is absent is told from its first lines.
	RateHz       Number `toml:"rate_hz" above:"0" max:"100000000" about:"of a table without a column of times: samples a second"`
	TimeColumn   Number `toml:"time_column" min:"1" max:"1000" about:"of a table: the column of the times, counted from 1, in seconds or the unit in its heading; absent: a first column that is headed time, t or a unit of time"`
	Separator    string `toml:"separator" one:"comma|semicolon|tab" about:"of a table: what stands between the cells; absent: told from the first lines"`
	DecimalComma bool   `toml:"decimal_comma" about:"of a table: true where 1,5 is one and a half"`
	HeaderLines  Number `toml:"header_lines" min:"0" max:"1000" about:"of a table: how many lines stand before the first row of samples; absent: all before the first row of numbers"`

	Channels []CaptureChannel `toml:"channel" need:"yes" about:"what one column of it stands for"`
	Publish  string           `toml:"publish" one:"whole|excerpt|no" else:"excerpt" about:"what of the file is published for download: all of it, a short excerpt around what its runs were read from, or nothing"`
	Remarks  string           `toml:"remarks" form:"prose" about:"anything else about it"`
}

// A CaptureChannel is a column of a capture, and the scale that makes its samples volts
// or amperes: scale·sample + offset. Samples of integers in a WAV file lie in −1 … 1,
// those of floats and tables are as written.
type CaptureChannel struct {
	Place
	Column   Number `toml:"column" need:"yes" min:"1" max:"1000" about:"which column of samples, counted from 1; the times of a table aren't counted"`
	Role     string `toml:"role" need:"yes" one:"out|supply_v|supply_a|in" about:"what it is: volts across the load element, volts or amperes of the supply at the unit's terminals, volts at the unit's input"`
	Of       string `toml:"of" form:"name" about:"of out: which of the unit's channels, L+R for a bridged pair; absent where it has one"`
	Scale    Number `toml:"scale" need:"yes" min:"-1000000000" max:"1000000000" about:"how many volts or amperes a sample of 1 stands for; negative where the wires were crossed"`
	ScalePct Number `toml:"scale_pct" need:"yes" min:"0" max:"100" about:"how well that is known, a half-width in percent; with scale_k an expanded uncertainty"`
	ScaleK   Number `toml:"scale_k" min:"1" max:"10" about:"the coverage factor that scale_pct and offset_pm are stated with, where they are expanded uncertainties"`
	ScaleBy  string `toml:"scale_by" form:"id" about:"channels that are scaled by one and the same thing, a divider or a shunt, share this name, and its error"`
	Offset   Number `toml:"offset" min:"-1000000" max:"1000000" else:"0" about:"what a sample of 0 stands for, in volts or amperes"`
	OffsetPM Number `toml:"offset_pm" min:"0" max:"1000000" else:"0" about:"how well that is known, a half-width in volts or amperes"`
}
