package capture

import (
	"math"

	"wattsheet/generator/quantity"
)

// A rule makes a figure of the readings' means.
type rule func(r reading) float64

func rms(r reading) float64         { return math.Sqrt(r.square) }
func fundamental(r reading) float64 { return math.Sqrt(r.fundamental) }
func noise(r reading) float64       { return math.Sqrt(r.noise) }
func thd(r reading) float64         { return math.Sqrt(r.harmonics / r.fundamental) }
func thdTotal(r reading) float64    { return math.Sqrt(r.harmonics / (r.fundamental + r.harmonics)) }
func thdn(r reading) float64        { return math.Sqrt(r.residual / r.fundamental) }
func thdnTotal(r reading) float64   { return math.Sqrt(r.residual / (r.fundamental + r.residual)) }

// average is the mean of the readings.
func average(readings []reading) reading {
	var sum reading
	sum.high, sum.low = math.Inf(-1), math.Inf(1)
	f := 1 / float64(len(readings))
	for _, r := range readings {
		sum.freq += f * r.freq
		sum.mean, sum.square = sum.mean+f*r.mean, sum.square+f*r.square
		sum.fundamental, sum.residual = sum.fundamental+f*r.fundamental, sum.residual+f*r.residual
		sum.harmonics, sum.noise = sum.harmonics+f*r.harmonics, sum.noise+f*r.noise
		sum.top, sum.bottom, sum.blur = sum.top+f*r.top, sum.bottom+f*r.bottom, sum.blur+f*r.blur
		sum.supplyV, sum.supplyA, sum.supplyPower = sum.supplyV+f*r.supplyV, sum.supplyA+f*r.supplyA, sum.supplyPower+f*r.supplyPower
		sum.high, sum.low = math.Max(sum.high, r.high), math.Min(sum.low, r.low)
	}
	return sum
}

// tally makes figures of readings.
type tally struct {
	readings []reading
	mean     reading
	wiring   Wiring
}

// spread is that of a figure over the blocks.
func (t tally) spread(f rule) Spread {
	values := make([]float64, len(t.readings))
	for i, r := range t.readings {
		values[i] = f(r)
	}
	return SpreadOf(values)
}

// ratio is a figure that no scale bears on.
func (t tally) ratio(f rule, id string) quantity.Value {
	return t.spread(f).onto(quantity.Exact(f(t.mean), "1"), t.wiring.Capture, id)
}

// volts is a figure that goes with the gain, without the offset.
func (t tally) volts(f rule, id string) quantity.Value {
	s := t.wiring.Out.Scale
	return t.spread(f).onto(s.propagate(f(t.mean), s.Unit, 1, 0), t.wiring.Capture, id)
}

func (st *steady) figures() Figures {
	t := tally{st.readings, average(st.readings), st.wiring}
	m, s, out := t.mean, st.wiring.Out.Scale, Figures{}
	clock := quantity.New(1, "1", st.wiring.ClockRel, quantity.Source{ID: "clock/" + st.wiring.Recorder, Name: "sampling rate of " + st.wiring.Recorder, Kind: "instrument", DoF: math.Inf(1)})
	freq := func(r reading) float64 { return r.freq }
	out.Freq = t.spread(freq).onto(clock.Scale(m.freq).In("Hz"), t.wiring.Capture, "frequency")
	mean := func(r reading) float64 { return r.mean }
	out.Mean = t.spread(mean).onto(s.propagate(m.mean, s.Unit, 1, 1), t.wiring.Capture, "mean")
	peak := math.Max(math.Abs(m.high), math.Abs(m.low))
	side := 1.0
	if -m.low > m.high {
		side = -1
	}
	out.Peak = s.propagate(peak, s.Unit, 1, side)
	out.Crest = quantity.Exact(peak/rms(m), "1")
	out.RMS = t.rms()
	out.Fundamental, out.Noise = t.volts(fundamental, "fundamental"), t.volts(noise, "noise")
	out.THD, out.THDOfTotal = t.ratio(thd, "THD"), t.ratio(thdTotal, "THD of total")
	out.THDN, out.THDNOfTotal = t.ratio(thdn, "THD+N"), t.ratio(thdnTotal, "THD+N of total")
	for _, sum := range st.harmonics {
		out.Harmonics = append(out.Harmonics, math.Sqrt(sum/float64(len(st.readings))))
	}
	t.powers(&out)
	out.FlatTop, out.FlatBottom = m.top/sineShare, m.bottom/sineShare
	out.Blocks, out.Seconds = len(st.readings), float64((len(st.readings)+1)*(st.n/2))/st.format.Rate
	return out
}

// rms has the offset's error through the mean: ∂√(mean square)/∂offset = mean/rms.
func (t tally) rms() quantity.Value {
	s := t.wiring.Out.Scale
	return t.spread(rms).onto(s.propagate(rms(t.mean), s.Unit, 1, t.mean.mean/rms(t.mean)), t.wiring.Capture, "rms")
}

// powers fills in what needs a load, or the supply. The spread of a quotient is told
// from the quotients of the blocks, so that what both share counts once.
func (t tally) powers(out *Figures) {
	s, m := t.wiring.Out.Scale, t.mean
	var power quantity.Value
	watts := func(r reading) float64 { return r.square / t.wiring.Load.X }
	if t.wiring.Load.X > 0 {
		square := s.propagate(m.square, s.Unit+"²", 2, 2*m.mean)
		power = square.Div(t.wiring.Load, "W")
		out.Power = t.spread(watts).onto(power, t.wiring.Capture, "power")
	}
	if t.wiring.SupplyV == nil {
		return
	}
	v, a := t.wiring.SupplyV.Scale, t.wiring.SupplyA.Scale
	volts, amperes := v.propagate(m.supplyV, v.Unit, 1, 1), a.propagate(m.supplyA, a.Unit, 1, 1)
	drawn := quantity.Combine(m.supplyPower, "W",
		quantity.Term{Value: v.propagate(1, "1", m.supplyPower-v.Offset*m.supplyA, 0), Sensitivity: 1},
		quantity.Term{Value: v.offset(), Sensitivity: m.supplyA},
		quantity.Term{Value: a.propagate(1, "1", m.supplyPower-a.Offset*m.supplyV, 0), Sensitivity: 1},
		quantity.Term{Value: a.offset(), Sensitivity: m.supplyV})
	out.SupplyV = t.spread(func(r reading) float64 { return r.supplyV }).onto(volts, t.wiring.Capture, "supply volts")
	out.SupplyA = t.spread(func(r reading) float64 { return r.supplyA }).onto(amperes, t.wiring.Capture, "supply amperes")
	out.SupplyPower = t.spread(func(r reading) float64 { return r.supplyPower }).onto(drawn, t.wiring.Capture, "supply power")
	if t.wiring.Load.X > 0 && m.supplyPower != 0 {
		eta := t.spread(func(r reading) float64 { return watts(r) / r.supplyPower })
		out.Efficiency = eta.onto(power.Div(drawn, "1"), t.wiring.Capture, "efficiency")
	}
}
