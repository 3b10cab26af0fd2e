package formula

// specified is what stated figures have from captures.
func specified() []Formula {
	level := Symbol{"L", "dB", "level of the response, a straight line between its points over the logarithm of the frequency"}
	reference := Symbol{"fr", "Hz", "frequency that the level is told against"}
	const points = "A point joins whole periods within 1/24 octave: the ratio of the mean squares of output and input, or of the output alone where the input's level is stated to be the same throughout. " +
		"What lies between two steps, is no tone of its frequency, or is 3 dB quieter than the same frequency at another time is noise, hum or a change, and doesn't count. " +
		"Gains of scales cancel. "
	const parts = "Parts of u: how far the points scatter about the cubic through their neighbours, within an octave; as half-widths the bend between two points, and what filters do while the sweep goes on, ω'/2·|H''/H| with an estimate of |H''/H| by slope and bend (own estimates)."
	return []Formula{
		{CaptureCorner, "A filter's corner, from a capture", "L(f) = L(fr) − D", []Symbol{{"f", "Hz", "the frequency next to fr, on the stated side, where the response has fallen by D"}, level, reference, {"D", "dB", "how far it has fallen; 3 unless the record states another"}},
			"IEC 60268-3:2018, 14.2 (gain-limited frequency response; clause from memory)", points + parts + " The sampling rate's error counts."},
		{CaptureSlope, "A filter's slope, from a capture", "S = |Σ o·L/Σ o²|", []Symbol{{"S", "dB/octave", "how steep the response falls or rises in the stated stretch"}, {"o", "octave", "log2 of the frequency of a point in the stretch, less their mean"}, {"L", "dB", "level of a point"}},
			"straight line of least squares", points + "u is that of the line, from how far the points are off it, its bend too; and as a half-width what the sweep's speed does at both ends."},
		{CaptureCentre, "A boost's centre, from a capture", "L(f) = Lm", []Symbol{{"f", "Hz", "where a parabola through the points within 0.5 dB of the highest is highest"}, {"L", "dB", "level of the response"}, {"Lm", "dB", "its highest value"}},
			"parabola of least squares", points + "Parts of u: the points' scatter over the parabola's bend; as half-widths a quarter of the points' distance, and what the sweep's speed does. The sampling rate's error counts."},
		{CaptureHeight, "A boost's height, from a capture", "h = L(f) − L(fr)", []Symbol{{"h", "dB", "how far the response is raised"}, {"f", "Hz", "the boost's centre"}, level, reference}, "definition; parabola of least squares", points + parts},
		{CaptureNoise, "Signal to noise ratio, from a capture", "SNR = 20·lg(√(Pr·Rr)/Vn)", []Symbol{{"SNR", "dB", "how far the noise lies below the power that is stated with it"}, {"Pr", "W", "that power, exact"}, {"Rr", "Ω", "the stated load that it goes into, exact"}, {"Vn", "V", "rms of the output without a signal, in the stated band, A-weighted where that is stated"}},
			"definition; A-weighting by IEC 61672-1:2013, annex E (from memory)", "What the recorder itself hisses is in it: the unit is no noisier than that. The error of the output's scale counts, and the spread over time."},
	}
}
