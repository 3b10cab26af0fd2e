package sheet

import (
	"fmt"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// beyondBandwidth reports whether a signal is above what an instrument at the
// output is specified for.
func beyondBandwidth(i *record.Instrument, name string, freqHz float64) bool {
	output := name == "power_w" || name == "out_v" || name == "thdn_pct"
	return output && i.BandwidthHz.Given() && freqHz > i.BandwidthHz.Value
}

// harmonicsNeeded is up to which harmonic of a signal a distortion meter has to read. A
// waveform that is clipped alike on both sides has odd harmonics only (its half-waves are
// each other's negative, so the Fourier series has no even terms): the third is its first.
// That more of them should be read is common practice; that this one has to be is not a matter
// of practice.
const harmonicsNeeded = 3

// harmonicsBeyond reports whether an instrument that reads distortion is specified for the
// signal but not for the harmonics that its distortion is made of: it reads too little.
func harmonicsBeyond(i *record.Instrument, name string, freqHz float64) bool {
	return name == "thdn_pct" && i.BandwidthHz.Given() && freqHz <= i.BandwidthHz.Value && harmonicsCut(i.BandwidthHz.Value, freqHz)
}

// harmonicsCut reports whether a band ends below the harmonics that a signal's distortion
// is made of.
func harmonicsCut(highHz, freqHz float64) bool { return highHz < harmonicsNeeded*freqHz }

// harmonicsText says which harmonic of a signal lies beyond the end of a band.
func harmonicsText(freqHz float64) string {
	return "the third harmonic of " + hertz(freqHz) + " is at " + hertz(harmonicsNeeded*freqHz)
}

// cutCause is what usually makes a distortion meter's band end too low.
const cutCause = "a low-pass that ends below the signal's harmonics: there is more distortion than was read; where the instrument reads further, its bandwidth_hz is to say so"

// beyondBurst reports whether a quantity is read in bursts by an instrument that
// isn't stated to.
func beyondBurst(m *record.Method, i *record.Instrument, name string) bool {
	return m.Signal == "burst" && name != "load_c" && m.BurstMS.Given() && !readsBursts(m, i)
}

// beyondCrest reports whether a signal has a larger crest factor than an instrument
// at the output is specified for.
func beyondCrest(m *record.Method, i *record.Instrument, name string) bool {
	output := name == "power_w" || name == "out_v"
	return output && i.CrestFactor.Given() && crestOf(m, i) > crestReach*i.CrestFactor.Value
}

// A Misfit is a reason why an instrument doesn't suit a signal; its id is that of
// the finding which a run read with it would have.
type Misfit struct{ ID, Text string }

// Misfits says why an instrument doesn't suit a quantity of a method's signal at a
// frequency in Hz; nil where it does.
func Misfits(m *record.Method, i *record.Instrument, name string, freqHz float64) []Misfit {
	var out []Misfit
	add := func(id, format string, args ...any) { out = append(out, Misfit{id, fmt.Sprintf(format, args...)}) }
	if beyondBandwidth(i, name, freqHz) {
		add("beyond-bandwidth", "%s is specified up to %s, the signal is at %s", i.ID, hertz(i.BandwidthHz.Value), hertz(freqHz))
	}
	if harmonicsBeyond(i, name, freqHz) {
		add("harmonics-beyond-band", "%s is specified up to %s: %s", i.ID, hertz(i.BandwidthHz.Value), harmonicsText(freqHz))
	}
	if beyondBurst(m, i, name) {
		add("beyond-shortest-burst", "%s is not stated to read bursts of %s%sms", i.ID, plain(m.BurstMS.Value), nbsp)
	}
	if beyondCrest(m, i, name) {
		add("beyond-crest-factor", "%s is specified up to a crest factor of %s, the signal has %s", i.ID, plain(i.CrestFactor.Value), quantity.Significant(crestOf(m, i), 2))
	}
	return out
}
