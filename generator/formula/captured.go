package formula

// The ids of what is read from captures.
const (
	CaptureScale  = "capture-scale"
	CaptureSpread = "capture-spread"
	CaptureVolts  = "capture-volts"
	CaptureMean   = "capture-supply-mean"
	CaptureWatts  = "capture-supply-power"
	CaptureThdn   = "capture-thdn"
	CaptureThd    = "capture-thd"
	CaptureFreq   = "capture-frequency"
	CaptureLimit  = "capture-volts-at-limit"
	CaptureOnset  = "capture-clipping-onset"
	CaptureMost   = "capture-clipped-power"
	CaptureBursts = "capture-burst-volts"
	CaptureRound  = "capture-burst-efficiency"
	CaptureCheck  = "capture-against-reading"
	CaptureCorner = "capture-corner"
	CaptureSlope  = "capture-slope"
	CaptureCentre = "capture-boost-centre"
	CaptureHeight = "capture-boost-height"
	CaptureNoise  = "capture-signal-to-noise"
)

// captured is what runs have from captures.
func captured() []Formula {
	sample := Symbol{"v", "V", "a sample, scaled"}
	weight := Symbol{"w", "1", "the window's weight of a sample: the 4-term Blackman–Harris window, block by block"}
	fundamental := Symbol{"V1", "V", "rms of the fundamental, a sine fitted by least squares"}
	return append([]Formula{
		{CaptureScale, "A capture's scale", "y = G·x + O, u = √((x·a)² + b²)", []Symbol{{"y", "V, A", "volts or amperes"}, {"x", "as recorded", "a sample"}, {"G", "V, A", "scale: what a sample of 1 stands for"}, {"O", "V, A", "offset: what a sample of 0 stands for"}, {"u", "V, A", "what the scale brings to the standard uncertainty of y"}, {"a, b", "V, A", "standard uncertainties of G and of O: the half-width by √3, or the expanded one by k"}},
			"JCGM 100:2008, 4.3.7 and 5.1.2", "G and O have one error in all that is read from a column, and G in all columns that are stated to be scaled by one thing. Of other columns of one recorder the sharing isn't known."},
		{CaptureSpread, "Spread of a capture's parts", "u = s/√K·√((1 + r)/(1 − r)), ν = (K − 1)·(1 − r)/(1 + r)", []Symbol{{"u, ν", "as the figure", "standard uncertainty of a mean over time, and its degrees of freedom"}, {"s", "as the figure", "standard deviation of the parts' means"}, {"K", "1", "number of parts that follow one another, 32 at most"}, {"r", "1", "their correlation with the part before; 0 unless it is above 1.645/√K"}},
			"JCGM 100:2008, 4.2.3; the factor with r is that of a first-order autoregressive sequence (common practice, no source)", "Two figures' spreads are taken as independent."},
		{CaptureVolts, "Output volts, from a capture", "V = √(Σ w²·v²/Σ w²)", []Symbol{volts, sample, weight},
			"definition of the rms value; Harris, Proc. IEEE 66 (1978), 51 (window; from memory)", "The mean of the blocks, which overlap by half. Direct voltage counts."},
		{CaptureMean, "Supply volts or current, from a capture", "y = Σ w²·y/Σ w²", []Symbol{{"y", "V, A", "on the right samples, scaled; on the left their mean"}, weight}, "definition of the mean value", "While the output's tone sounds; of bursts within their whole periods, of a rising level where the distortion is at the limit."},
		{CaptureWatts, "Supply power, from a capture", "Ps = Σ w²·vs·is/Σ w²", []Symbol{{"Ps", "W", "power that the unit takes"}, {"vs, is", "V, A", "samples of the supply's voltage and current at one time"}, weight},
			"definition of active power as the mean of v·i (IEC 60050-131, 131-11-42; number from memory)", "True power whatever ripples: no component for ripple and sag. Of bursts from one's start to the next one's."},
		{CaptureThdn, "Distortion and noise, from a capture", "d = 100 %·√(Σ Vr²)/V1", []Symbol{{"d", "%", "THD+N relative to the fundamental"}, {"Vr", "V", "rms of a line of the spectrum of what is left without mean and fundamental, within the method's band"}, fundamental},
			"IEC 60268-3:2018, 14.12 (clause from memory); IEEE Std 1057-2017, annex A (sine fit; clause from memory)", "No scale bears on it. What the recorder itself distorts is in it, and is stated by its specification for distortion in bench.toml, if any."},
		{CaptureThd, "Harmonic distortion, from a capture", "dh = 100 %·√(V2² + V3² + …)/V1", []Symbol{{"dh", "%", "THD relative to the fundamental"}, {"V2, V3", "V", "rms of the harmonics within the method's band"}, fundamental},
			"IEC 60268-3:2018, 14.12 (clause from memory)", "Each harmonic holds the noise of two lines of the spectrum. What the recorder itself distorts is in it, as in THD+N."},
		{CaptureFreq, "Frequency, from a capture", "f = 1/p", []Symbol{{"f", "Hz", "the signal's frequency"}, {"p", "s", "period of the sine, with a constant beside it, that leaves the least mean square of the samples, by the recorder's clock"}},
			"least squares, weighted by the window; IEEE Std 1057-2017, annex A.2 (without weights; clause from memory)", ""},
		{CaptureLimit, "Output volts at the distortion limit, from a capture", "ln V² = H(ln d)", []Symbol{volts, {"d", "%", "the method's limit of distortion"}, {"H", "", "a monotone cubic through the levels beside the limit"}},
			"Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984), 300 (from memory)", "Where the curve first rises through the limit and stays above. Its uncertainty has the scatter of d within a level, and by how much a straight line in logarithms would be off, as a half-width."},
		{CaptureOnset, "Where clipping begins", "Pc = Vf²/R·(1 + Rlead/R)", []Symbol{{"Pc", "W", "power at the unit's terminals at which a side of the wave becomes flat"}, {"Vf", "V", "rms volts at which it is within 1 % of the peak for 1.5 times as long as a sine is"}, ohms, lead},
			"own definition: a sine that is cut at 0.988 of its peak, some 0.3 % of harmonics", "Between levels as the volts at the limit."},
		{CaptureMost, "Clipped power", "Pm = Vm²/R·(1 + Rlead/R)", []Symbol{{"Pm", "W", "largest power at the unit's terminals of a level with a flat side"}, {"Vm", "V", "rms of that level"}, ohms, lead}, "Joule's and Ohm's laws", "As far as the unit was driven."},
		{CaptureBursts, "Output volts in bursts, from a capture", "V = √(Σ Vb²/n)", []Symbol{volts, {"Vb", "V", "rms of the samples over the whole periods within a burst, as its own rises through zero tell them, its ends left out"}, {"n", "1", "number of bursts"}}, "definition of the rms value", ""},
		{CaptureRound, "Efficiency of bursts", "η = 100 %·ΣPr/Ps", []Symbol{{"η", "%", "efficiency, by energy"}, {"ΣPr", "W", "mean power of all driven channels from a burst's start to the next one's"}, {"Ps", "W", "mean supply power over the same time"}}, "definition; conservation of energy", "Over whole repetitions, so that what the unit stores counts for nothing."},
		{CaptureCheck, "A typed reading against the capture", "Δ = xm − xc", []Symbol{{"Δ", "as read", "difference of the two ways to the same quantity"}, {"xm", "as read", "by the meter, as typed"}, {"xc", "as read", "from the capture"}}, "own check", "The capture counts; beyond its U the difference is a finding."},
	}, specified()...)
}
