package capture

import (
	"math"

	"wattsheet/generator/quantity"
)

// A Burst is one burst of a tone.
type Burst struct {
	Start, End float64 // seconds after the first sample, to a quarter of a period
	Cycles     int     // whole periods that the figures are means of, away from its ends
	RMS, Power float64 // over these periods; watts into the load
	Mean       float64 // over them, which is in RMS and Power
	// RestRMS is the rms between this burst and the next, or the end.
	RestRMS float64
	// What the supply did, where it was recorded; else 0. RestV is the mean in the last
	// quarter of the rest before, LowestV the lowest mean over a period of the tone from
	// the burst's start to the next one's, Sag the difference. MeanV is the mean
	// in the whole periods.
	RestV, MeanV, LowestV, Sag float64
	// Recovery is how many seconds after its end the supply, as means over a period, is
	// back within a tenth of the sag; NaN where it isn't before the next burst or the end.
	Recovery    float64
	SupplyPower float64 // watts, the mean in the whole periods
	// What the output got and the supply gave from its start to the next one's, in
	// joules; 0 for the last burst.
	OutEnergy, SupplyEnergy float64
}

// Bursts are those of a capture, in their order, and what they have in common.
type Bursts struct {
	Each  []Burst
	Power quantity.Value // mean over the bursts, with their spread
	// Repetition is the mean time from start to start in seconds; NaN for one burst.
	Repetition float64
	// Rest is the level between bursts against that in them, in decibels.
	Rest float64
	// Droop is how much of the mean power the last burst has less than the first, along
	// the straight line of least squares through all; NaN for fewer than three.
	Droop float64
	// EfficiencyWithin is the mean power in bursts over the supply's power at the same
	// time: capacitors behind the supply's meter can bring it above 1. Efficiency is
	// energy over energy from start to start, which they can't. The zero Value where
	// not recorded; for Efficiency also with one burst.
	EfficiencyWithin, Efficiency quantity.Value
}

// onLevel is the part of the highest power from which the tone counts as a burst:
// half of the voltage.
const onLevel = 0.25

// BurstsOf finds the bursts in a stretch of a tone whose frequency is stated. A burst
// is where the mean square over a period is above a quarter of its highest value; the
// level between has to be below a tenth.
func BurstsOf(m *Memory, w Wiring, freq float64) (Bursts, error) {
	f := m.Format()
	if err := w.check(f, Tone{Freq: freq, Low: f.Rate / 8, High: f.Rate / 4}); err != nil {
		return Bursts{}, err
	}
	if freq <= 0 || w.Load.X == 0 {
		return Bursts{}, atFrame(-1, "state the frequency of the tone, and the load's resistance in ohms", "the power of bursts needs a frequency and a load")
	}
	if float64(f.Frames)*freq/f.Rate < 4 {
		return Bursts{}, atFrame(m.first+f.Frames, "state a longer interval", "%d samples are too short for bursts of %g Hz", f.Frames, freq)
	}
	guard := newGuard(f)
	for _, c := range w.channels() {
		if p := guard.look(c.Index, m.channels[c.Index], m.first); p != nil {
			return Bursts{}, p
		}
	}
	b := newBursting(m, w, freq)
	spans, err := b.find()
	if err != nil {
		return Bursts{}, err
	}
	out := Bursts{}
	for i, s := range spans {
		next := float64(f.Frames - 1)
		if i+1 < len(spans) {
			next = spans[i+1][0]
		}
		before := 0.0
		if i > 0 {
			before = spans[i-1][1]
		}
		one, err := b.burst(before, s[0], s[1], next, i+1 < len(spans))
		if err != nil {
			return Bursts{}, err
		}
		out.Each = append(out.Each, one)
	}
	out.sum(w)
	return out, nil
}

// bursting holds a stretch for looking.
type bursting struct {
	first        int64   // frames of the capture before the stretch
	rate, period float64 // period of the tone in samples
	frames       int
	load         float64
	x            []float64 // the output, scaled
	out          integral  // of its squares
	line         integral  // of itself
	volts        *integral // nil where the supply wasn't recorded
	watts        *integral
}

func newBursting(m *Memory, w Wiring, freq float64) *bursting {
	f := m.Format()
	scaled := blockOf(len(w.channels()), int(f.Frames))
	for i, c := range w.channels() {
		c.Scale.apply(scaled[i], m.channels[c.Index])
	}
	b := &bursting{first: m.first, rate: f.Rate, period: f.Rate / freq, frames: int(f.Frames), load: w.Load.X, x: scaled[0], out: squares(scaled[0]), line: integralOf(scaled[0])}
	if len(scaled) == 3 {
		volts := integralOf(scaled[1])
		for i, v := range scaled[1] {
			scaled[2][i] *= v
		}
		watts := integralOf(scaled[2])
		b.volts, b.watts = &volts, &watts
	}
	return b
}

// find gives start and end of each burst in samples. The mean square over a period is
// a quarter of the burst's when a quarter of it lies within.
func (b *bursting) find() ([][2]float64, error) {
	half := b.period / 2
	level := make([]float64, 0, b.frames)
	first, most, least := math.Ceil(half), 0.0, math.Inf(1)
	for at := first; at+half <= float64(b.frames-1); at++ {
		v := b.out.mean(at-half, at+half)
		level = append(level, v)
		most, least = math.Max(most, v), math.Min(least, v)
	}
	if most == 0 {
		return nil, atFrame(b.first, "state an interval with bursts, and the channel that they are on", "there is only silence here")
	}
	if least > most/10 {
		return nil, atFrame(b.first, "state an interval with some of the rest before and after", "no burst stands out: the power is never below %.2g of its highest", least/most)
	}
	var spans [][2]float64
	for i := 0; i < len(level); i++ {
		if level[i] < onLevel*most {
			continue
		}
		j := i
		for j < len(level) && level[j] >= onLevel*most {
			j++
		}
		// A burst that is cut by the stretch's ends isn't whole.
		if i > 0 && j < len(level) {
			spans = append(spans, [2]float64{first + float64(i) + b.period/4, first + float64(j-1) - b.period/4})
		}
		i = j
	}
	if len(spans) == 0 {
		return nil, atFrame(b.first, "state an interval with some of the rest before and after", "no burst is whole within the interval")
	}
	return spans, nil
}

// periodIn is the tone's own period between two places, from its first rise through zero to
// its last: whole periods of a frequency that is stated 1 % off would miss the power of
// twenty cycles by up to 0.8 %. It is the stated one where there are too few rises, or where
// they tell something else than the tone.
func (b *bursting) periodIn(start, end float64) float64 {
	from, to := max(0, int(start)), min(len(b.x), int(end)+1)
	centred := append([]float64(nil), b.x[from:to]...)
	withoutMean(centred)
	places := rises(centred)
	if len(places) < 4 {
		return b.period
	}
	period := (places[len(places)-1] - places[0]) / float64(len(places)-1)
	if math.Abs(period/b.period-1) > 0.05 {
		return b.period
	}
	return period
}

// burst gives the figures of the burst from start to end, in samples; before is where
// the last one ended, next where the next one begins, or the stretch ends.
func (b *bursting) burst(before, start, end, next float64, follows bool) (Burst, error) {
	period := b.periodIn(start, end)
	n := math.Floor((end-start)/period - 0.5)
	if n < 1 {
		return Burst{}, atFrame(b.first+int64(start), "bursts need two periods at least; or state the tone's true frequency", "this burst has no whole period of the tone within")
	}
	middle := (start + end) / 2
	from, to := middle-n*period/2, middle+n*period/2
	square := b.out.mean(from, to)
	one := Burst{Start: start / b.rate, End: end / b.rate, Cycles: int(n), RMS: math.Sqrt(square), Power: square / b.load, Mean: b.line.mean(from, to), Recovery: math.NaN()}
	if next-b.period > end+b.period {
		one.RestRMS = math.Sqrt(b.out.mean(end+b.period, next-b.period))
	}
	if follows {
		one.OutEnergy = (b.out.to(next) - b.out.to(start)) / b.load / b.rate
	}
	if b.volts == nil {
		return one, nil
	}
	one.RestV = b.volts.mean(math.Min(start-1, before+0.75*(start-before)), start)
	one.MeanV, one.SupplyPower = b.volts.mean(from, to), b.watts.mean(from, to)
	if follows {
		one.SupplyEnergy = (b.watts.to(next) - b.watts.to(start)) / b.rate
	}
	one.LowestV = math.Inf(1)
	for at := start; at+b.period <= next; at++ {
		one.LowestV = math.Min(one.LowestV, b.volts.mean(at, at+b.period))
	}
	one.Sag = one.RestV - one.LowestV
	for at := end; at+b.period <= next; at++ {
		if b.volts.mean(at, at+b.period) >= one.RestV-one.Sag/10 {
			one.Recovery = (at + b.period/2 - end) / b.rate
			break
		}
	}
	return one, nil
}

// sum fills in what the bursts have in common.
func (b *Bursts) sum(w Wiring) {
	n := len(b.Each)
	var powers, rests, within, over []float64
	var drawn, out, given float64
	for _, one := range b.Each {
		powers = append(powers, one.Power)
		if one.RestRMS > 0 {
			rests = append(rests, one.RestRMS*one.RestRMS)
		}
		if one.SupplyPower != 0 {
			within = append(within, one.Power/one.SupplyPower)
			drawn += one.SupplyPower
		}
		if one.SupplyEnergy != 0 {
			over = append(over, one.OutEnergy/one.SupplyEnergy)
			out, given = out+one.OutEnergy, given+one.SupplyEnergy
		}
	}
	mean := meanOf(powers)
	power := func(watts float64) quantity.Value { return Curve{wiring: w}.power(watts) }
	b.Power = SpreadOf(powers).onto(power(mean), w.Capture, "power in bursts")
	b.Repetition, b.Droop, b.Rest = math.NaN(), math.NaN(), math.Inf(-1)
	if n > 1 {
		b.Repetition = (b.Each[n-1].Start - b.Each[0].Start) / float64(n-1)
	}
	if len(rests) > 0 {
		b.Rest = 10 * math.Log10(meanOf(rests)/(mean*w.Load.X))
	}
	if n > 2 {
		var products, squares float64
		for i, p := range powers {
			d := float64(i) - float64(n-1)/2
			products, squares = products+d*p, squares+d*d
		}
		b.Droop = -products / squares * float64(n-1) / mean
	}
	if len(within) == n && drawn > 0 {
		b.EfficiencyWithin = SpreadOf(within).onto(w.quotient(power(mean), drawn/float64(n)), w.Capture, "efficiency in bursts")
	}
	if len(over) == n-1 && given > 0 {
		b.Efficiency = SpreadOf(over).onto(w.quotient(power(out), given), w.Capture, "efficiency from burst to burst")
	}
}

// quotient divides a power by what the supply gave, with the errors of its scales' gains;
// those of the offsets are taken relative to the product without them.
func (w Wiring) quotient(power quantity.Value, drawn float64) quantity.Value {
	v, a := w.SupplyV.Scale, w.SupplyA.Scale
	supply := quantity.Combine(drawn, "W",
		quantity.Term{Value: v.gain(), Sensitivity: drawn},
		quantity.Term{Value: a.gain(), Sensitivity: drawn})
	return power.Div(supply, "1")
}
