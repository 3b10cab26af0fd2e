package datafile

import "wattsheet/generator/sheet"

// A dataExponent is the power k with which a unit's output goes with its supply
// voltage, P in proportion to Vs to the power k. It is estimated from the unit's own
// runs, and decides nothing.
type dataExponent struct {
	// K is the exponent: near 0 a regulated supply, near 2 an unregulated one.
	K *Figure `json:"k"`
	// Usable is false where the runs don't allow an estimate: k then only shows why.
	Usable bool `json:"usable"`
	// Outside is true where k lies outside 0 to 2.6 by more than its uncertainty.
	Outside bool `json:"outside"`
	// Chi2 is the weighted sum of squared residuals, each run counted once.
	Chi2 number `json:"chi2"`
	// Free is its degrees of freedom.
	Free int `json:"free"`
	// P is the probability of such a chi2 or a larger one where the runs agree with
	// one exponent; left out where free is 0.
	P *number `json:"p,omitempty"`
	// Text is the exponent in a sentence.
	Text string `json:"text"`
	// Groups are runs of a channel that differ in the supply voltage only.
	Groups []dataExponentGroup `json:"groups"`
}

// A dataExponentGroup is runs of a channel that differ in the supply voltage only.
type dataExponentGroup struct {
	// Method is the id of the method.
	Method string `json:"method"`
	// Channel is the channel's name.
	Channel string `json:"channel"`
	// NominalOhm is the channel's nominal load.
	NominalOhm number `json:"nominal_ohm"`
	// FreqHz is the signal's frequency.
	FreqHz number `json:"freq_hz"`
	// Loads are the runs' load elements, by channel, in words.
	Loads string `json:"loads"`
	// Points are the runs.
	Points []dataExponentPoint `json:"points"`
}

// A dataExponentPoint is one run of a group.
type dataExponentPoint struct {
	// Run is the run's id; its supply voltage and power stand there.
	Run string `json:"run"`
	// X is the natural logarithm of the supply voltage in volts, less the group's
	// weighted mean.
	X number `json:"x"`
	// Y is that of the power in watts.
	Y number `json:"y"`
	// Weight is the run's weight in the fit.
	Weight number `json:"weight"`
	// Residual is y less k times x.
	Residual number `json:"residual"`
}

// A dataEstimate is what a unit may have given at a claim's supply voltage, at the
// load and distortion of its runs. It is no measurement.
type dataEstimate struct {
	// ToV is the supply voltage that it is for.
	ToV number `json:"to_v"`
	// Assumed is true where the claim doesn't state that voltage.
	Assumed bool `json:"assumed"`
	// Text is the weakest channel's estimate in a sentence.
	Text string `json:"text"`
	// Channels are the channels that were judged, in the order driven.
	Channels []dataChannelEstimate `json:"channels"`
}

// A dataChannelEstimate is one channel's estimate.
type dataChannelEstimate struct {
	// Channel is the channel's name.
	Channel string `json:"channel"`
	// Class is where the runs stand to the claim's distortion: at, below or above.
	Class string `json:"class"`
	// Runs are the runs averaged.
	Runs []string `json:"runs"`
	// There are those of them that stand at to_v itself.
	There []string `json:"there,omitempty"`
	// FromV is the mean supply voltage of the runs.
	FromV number `json:"from_v"`
	// LowK and HighK are the supply exponents that give the ends.
	LowK  number `json:"low_k"`
	HighK number `json:"high_k"`
	// Low and High are the ends that any supply exponent of 0 to 2.6 gives.
	Low  *Figure `json:"low"`
	High *Figure `json:"high"`
	// Own is by the unit's own supply exponent; left out where it has none.
	Own *Figure `json:"own,omitempty"`
}

func (k *causes) exponent(s *sheet.SupplyExponent) *dataExponent {
	if s == nil {
		return nil
	}
	d := &dataExponent{K: k.figure(s.K), Usable: s.Usable, Outside: s.Outside, Chi2: number(s.Chi2), Free: s.Free, Text: s.Text}
	if s.Free > 0 {
		d.P = finite(s.P)
	}
	for _, g := range s.Groups {
		one := dataExponentGroup{Method: g.Method.ID, Channel: g.Channel, NominalOhm: number(g.Nominal), FreqHz: number(g.FreqHz), Loads: g.Loads}
		for _, p := range g.Points {
			one.Points = append(one.Points, dataExponentPoint{
				Run: p.Run, X: number(p.X), Y: number(p.Y), Weight: number(p.Weight), Residual: number(p.Residual),
			})
		}
		d.Groups = append(d.Groups, one)
	}
	return d
}

func (k *causes) estimate(s *sheet.SupplyEstimate) *dataEstimate {
	if s == nil {
		return nil
	}
	d := &dataEstimate{ToV: number(s.ToV), Assumed: s.Assumed, Text: s.Text}
	for _, c := range s.Channels {
		d.Channels = append(d.Channels, dataChannelEstimate{
			Channel: c.Name, Class: c.Class, Runs: list(c.Runs), There: c.There, FromV: number(c.FromV),
			LowK: number(c.LowK), HighK: number(c.HighK), Low: k.figure(c.Low), High: k.figure(c.High), Own: k.figure(c.Own),
		})
	}
	return d
}
