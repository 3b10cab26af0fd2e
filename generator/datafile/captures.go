package datafile

// A dataCapture is a recorded waveform that runs or stated figures were read from.
type dataCapture struct {
	// ID is what runs name it by.
	ID string `json:"id"`
	// File is the file's name.
	File string `json:"file"`
	// SHA256 is the digest of the file's bytes.
	SHA256 string `json:"sha256,omitempty"`
	// RateHz is how many samples a second each channel has.
	RateHz *number `json:"rate_hz,omitempty"`
	// Frames is how many samples each channel has.
	Frames int `json:"frames,omitempty"`
	// Columns are the channels' names in the file.
	Columns []string `json:"columns,omitempty"`
	// Recorder is the instrument that recorded it.
	Recorder string `json:"recorder,omitempty"`
	// ClockPct is how well the sampling rate is known, a half-width in percent.
	ClockPct *number `json:"clock_pct,omitempty"`
	// Table says how a table of samples is written, as far as the record states it; left
	// out for WAV files.
	Table *dataSamples `json:"table,omitempty"`
	// Channels are its columns, and how they are scaled.
	Channels []dataScale `json:"channels"`
	// Publish says what of the file is published: whole, excerpt or no.
	Publish string `json:"publish"`
	// Remarks is anything else about it.
	Remarks string `json:"remarks,omitempty"`
}

// A dataSamples is how a table of samples is written; what is left out was told from its
// first lines.
type dataSamples struct {
	// RateHz is how many rows a second there are.
	RateHz *number `json:"rate_hz,omitempty"`
	// TimeColumn is the column of the times, from 1.
	TimeColumn *number `json:"time_column,omitempty"`
	// Separator is comma, semicolon or tab.
	Separator string `json:"separator,omitempty"`
	// DecimalComma is true where 1,5 is one and a half.
	DecimalComma bool `json:"decimal_comma"`
	// HeaderLines is how many lines stand before the first row.
	HeaderLines *number `json:"header_lines,omitempty"`
}

// A dataScale is a column of a capture: volts or amperes are scale times sample, plus
// offset.
type dataScale struct {
	// Column is its number, from 1.
	Column number `json:"column"`
	// Role is out, supply_v, supply_a or in.
	Role string `json:"role"`
	// Of is the channel of the unit that it is the output of.
	Of string `json:"of,omitempty"`
	// Scale is what a sample of 1 stands for, in volts or amperes.
	Scale number `json:"scale"`
	// ScalePct is how well that is known, a half-width in percent, or with scale_k an
	// expanded uncertainty.
	ScalePct number `json:"scale_pct"`
	// ScaleK is the coverage factor of expanded uncertainties.
	ScaleK *number `json:"scale_k,omitempty"`
	// ScaleBy names what scales: columns with one name share its error.
	ScaleBy string `json:"scale_by,omitempty"`
	// Offset is what a sample of 0 stands for, in volts or amperes.
	Offset number `json:"offset"`
	// OffsetPM is how well that is known.
	OffsetPM number `json:"offset_pm"`
}

// A dataMean is a mean over time.
type dataMean struct {
	// Value is the mean.
	Value number `json:"value"`
	// U is its standard uncertainty by the spread over time.
	U number `json:"u"`
	// DoF is the degrees of freedom of u; 0 where there is no spread, or infinitely many.
	DoF number `json:"dof"`
	// N is how many blocks, levels or bursts it is of.
	N int `json:"n"`
}

// A dataRead is what a run was read from, and what that gave before scales' errors and
// loads.
type dataRead struct {
	// Capture is the capture's id.
	Capture string `json:"capture"`
	// FromS and ToS are the interval as the record states it, in seconds.
	FromS *number `json:"from_s,omitempty"`
	// ToS is its end.
	ToS *number `json:"to_s,omitempty"`
	// As says as what it was read: steady, steps, sweep or bursts.
	As string `json:"as"`
	// Taken is what was read; left out where nothing was.
	Taken *dataTaken `json:"taken,omitempty"`
	// Freq is the signal's frequency, in Hz.
	Freq *Figure `json:"freq,omitempty"`
	// Channels are figures of the driven channels beside those of the run.
	Channels []dataReadChannel `json:"channels,omitempty"`
	// Compared are typed readings against the capture, which counts.
	Compared []dataCompared `json:"compared,omitempty"`
}

// A dataTaken is what was read from a capture. Volts are across the load element.
type dataTaken struct {
	// FromS is where the interval begins, in seconds after the first sample.
	FromS number `json:"from_s"`
	// ToS is where it ends.
	ToS number `json:"to_s"`
	// LowHz is where the band of distortion and noise begins; 0 for bursts.
	LowHz number `json:"low_hz"`
	// HighHz is where it ends.
	HighHz number `json:"high_hz"`
	// FreqHz is the signal's frequency.
	FreqHz *dataMean `json:"freq_hz,omitempty"`
	// SupplyV is the supply's voltage.
	SupplyV *dataMean `json:"supply_v,omitempty"`
	// SupplyA is the supply's current.
	SupplyA *dataMean `json:"supply_a,omitempty"`
	// SupplyW is the mean of volts times amperes.
	SupplyW *dataMean `json:"supply_w,omitempty"`
	// RoundW is that over whole repetitions of bursts.
	RoundW *dataMean `json:"round_w,omitempty"`
	// RestV is the supply's mean between bursts.
	RestV number `json:"rest_v"`
	// LowestV is its lowest mean over a period of the tone.
	LowestV number `json:"lowest_v"`
	// SagV is their difference.
	SagV number `json:"sag_v"`
	// RecoveryS is how long after a burst the supply is back within a tenth of the sag.
	RecoveryS number `json:"recovery_s"`
	// Outs are the driven channels.
	Outs []dataTakenOut `json:"outs"`
}

// A dataTakenOut is what was read of one driven channel; see the catalogue of formulas.
type dataTakenOut struct {
	// Channel is the channel's name.
	Channel string `json:"channel"`
	// Column is its column in the capture, from 1.
	Column int `json:"column"`
	// RMS is what the power is made of, in volts.
	RMS dataMean `json:"rms_v"`
	// OffsetC is the sensitivity of rms_v to an error of the offset.
	OffsetC number `json:"offset_c"`
	// BetweenV is a half-width: how far off the way between two levels may be.
	BetweenV number `json:"between_v"`
	// THDN is distortion and noise relative to the fundamental, a number.
	THDN *dataMean `json:"thdn,omitempty"`
	// THD is that of the harmonics.
	THD *dataMean `json:"thd,omitempty"`
	// MeanV is the direct voltage: of a steady tone, within bursts, at the limit of a level.
	MeanV number `json:"mean_v"`
	// PeakV is the largest sample.
	PeakV number `json:"peak_v"`
	// NoiseV is what is neither fundamental nor harmonic.
	NoiseV number `json:"noise_v"`
	// Crest is the crest factor.
	Crest number `json:"crest"`
	// HarmonicsV are the harmonics from the second.
	HarmonicsV []number `json:"harmonics_v,omitempty"`
	// FlatTop is the share of the time near the upper peak, as a multiple of a sine's.
	FlatTop number `json:"flat_top"`
	// FlatBottom is that of the lower peak.
	FlatBottom number `json:"flat_bottom"`
	// Clipped is true where a side is flat.
	Clipped bool `json:"clipped"`
	// Levels are those of a rising tone, in the order of time.
	Levels []dataLevel `json:"levels,omitempty"`
	// OnsetV is where a side becomes flat.
	OnsetV *dataMean `json:"onset_v,omitempty"`
	// OnsetBetweenV is as between_v.
	OnsetBetweenV number `json:"onset_between_v"`
	// MostV is the largest level with a flat side.
	MostV *dataMean `json:"most_v,omitempty"`
	// Bursts are the whole bursts, in the order of time.
	Bursts []dataBurst `json:"bursts,omitempty"`
	// RoundV is the rms over whole repetitions.
	RoundV *dataMean `json:"round_v,omitempty"`
	// RestDB is the level between bursts against that in them, in decibels.
	RestDB number `json:"rest_db"`
	// EveryS is the time from burst to burst.
	EveryS number `json:"every_s"`
	// DroopPct is how much less power the last burst has than the first.
	DroopPct number `json:"droop_pct"`
}

// A dataLevel is one level of a tone that rises.
type dataLevel struct {
	// AtS is its middle, in seconds after the capture's first sample.
	AtS number `json:"at_s"`
	// RMS is volts.
	RMS number `json:"rms_v"`
	// THD is harmonics relative to the fundamental, a number.
	THD number `json:"thd"`
	// THDN is distortion and noise likewise.
	THDN number `json:"thdn"`
	// Flat is true where a side of the wave is flat.
	Flat bool `json:"flat"`
	// SupplyV is the supply's voltage; 0 where not recorded.
	SupplyV number `json:"supply_v"`
	// SupplyA is its current.
	SupplyA number `json:"supply_a"`
	// SupplyW is its power.
	SupplyW number `json:"supply_w"`
	// Blocks is how many blocks it is the mean of.
	Blocks int `json:"blocks"`
}

// A dataBurst is one burst.
type dataBurst struct {
	// StartS is where it begins, in seconds after the capture's first sample.
	StartS number `json:"start_s"`
	// EndS is where it ends.
	EndS number `json:"end_s"`
	// Cycles is how many whole periods its figures are of.
	Cycles int `json:"cycles"`
	// RMS is volts in them.
	RMS number `json:"rms_v"`
	// RestRMS is volts until the next burst.
	RestRMS number `json:"rest_rms_v"`
	// SupplyV is the supply's mean in them; 0 where not recorded.
	SupplyV number `json:"supply_v"`
	// SagV is how far it dips.
	SagV number `json:"sag_v"`
	// SupplyW is its power.
	SupplyW number `json:"supply_w"`
	// OutV2S is the output's volts² times seconds until the next burst.
	OutV2S number `json:"out_v2s"`
	// SupplyJ is what the supply gave until then, in joules.
	SupplyJ number `json:"supply_j"`
}

// A dataReadChannel has figures of a driven channel beside those of the run.
type dataReadChannel struct {
	// Channel is the channel's name.
	Channel string `json:"channel"`
	// Thd is the distortion by harmonics alone, in percent.
	Thd *Figure `json:"thd,omitempty"`
	// Onset is the power at which clipping begins.
	Onset *Figure `json:"onset,omitempty"`
	// Most is the largest clipped power.
	Most *Figure `json:"most,omitempty"`
	// Round is the mean power over whole repetitions of bursts.
	Round *Figure `json:"round,omitempty"`
}

// A dataCompared is a typed reading against the capture.
type dataCompared struct {
	// Quantity is the reading's, as in readings.
	Quantity string `json:"quantity"`
	// Channel is the channel's name; left out for readings of the whole run.
	Channel string `json:"channel,omitempty"`
	// Typed is the reading's figure.
	Typed *Figure `json:"typed"`
	// Difference is how far it is above the capture's.
	Difference *Figure `json:"difference"`
	// Disagrees is true where that is more than its expanded uncertainty.
	Disagrees bool `json:"disagrees"`
}
