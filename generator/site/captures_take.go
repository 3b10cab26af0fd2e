package site

import (
	"math"
	"strings"

	"wattsheet/generator/capture"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// steady takes the i-th driven channel from a steady tone; of the first one the supply
// and the frequency too.
func (r *captureReading) steady(i int, o captureOut) error {
	s, file, err := r.interval()
	if err != nil {
		return err
	}
	defer file.Close()
	f, err := capture.Steady(s, r.wiring(o), r.tone())
	if err != nil {
		return err
	}
	n := f.Blocks
	r.taken.Outs = append(r.taken.Outs, record.TakenOut{
		Channel: o.channel, Column: int(o.column.Column.Value), RMS: meanOf(f.RMS, n), Offset: f.Mean.X / f.RMS.X,
		THDN: meanOf(f.THDN, n), THD: meanOf(f.THD, n), MeanV: f.Mean.X, PeakV: f.Peak.X, NoiseV: f.Noise.X, Crest: f.Crest.X,
		Harmonics: f.Harmonics, FlatTop: f.FlatTop, FlatBottom: f.FlatBottom, Clipped: f.Clipped(),
	})
	if i > 0 {
		return nil
	}
	r.taken.FreqHz = meanOf(f.Freq, n)
	if r.v != nil {
		r.taken.SupplyV = meanOf(f.SupplyV, n)
	}
	if r.a != nil {
		r.taken.SupplyA = meanOf(f.SupplyA, n)
	}
	if r.v != nil && r.a != nil {
		r.taken.SupplyW = meanOf(f.SupplyPower, n)
	}
	return nil
}

// levels takes the i-th driven channel from a level that rises: the volts where THD+N
// reaches the method's limit, and there, for the first channel, the supply.
func (r *captureReading) levels(i int, o captureOut) error {
	s, file, err := r.interval()
	if err != nil {
		return err
	}
	defer file.Close()
	tone := r.tone()
	tone.Freq = r.freq
	curve, err := capture.Levels(s, r.wiring(o), tone, r.as == "steps")
	if err != nil {
		return err
	}
	limit, err := curve.PowerAtTHDN(r.limit)
	if err != nil {
		return err
	}
	n := len(curve.Points)
	out := record.TakenOut{Channel: o.channel, Column: int(o.column.Column.Value), THDN: record.Mean{X: r.limit, N: n}}
	out.RMS, out.Interpolation = voltsBetween(limit, n)
	out.MeanV = curve.MeanAtTHDN(r.limit)
	if onset, err := curve.Onset(); err == nil {
		out.OnsetV, out.OnsetOff = voltsBetween(onset, n)
	}
	if most, flat := curve.Clipped(); flat {
		out.MostV = rootOf(most, n)
	}
	for _, p := range curve.Points {
		out.Levels = append(out.Levels, record.Level{AtS: r.from + p.Seconds, RMS: p.RMS, THD: p.THD, THDN: p.THDN, Flat: p.Flat(),
			SupplyV: p.SupplyV, SupplyA: p.SupplyA, SupplyW: p.SupplyPower, Blocks: p.Blocks})
	}
	r.taken.Outs = append(r.taken.Outs, out)
	if at, ok := curve.SupplyAtTHDN(r.limit); ok && i == 0 {
		mean := func(x, off float64) record.Mean {
			return record.Mean{X: x, U: quantity.Rectangular(off), DoF: math.Inf(1), N: n}.Finite()
		}
		if r.v != nil {
			r.taken.SupplyV = mean(at.V, at.OffV)
		}
		if r.a != nil {
			r.taken.SupplyA = mean(at.A, at.OffA)
		}
		if r.v != nil && r.a != nil {
			r.taken.SupplyW = mean(at.W, at.OffW)
		}
	}
	return nil
}

// voltsBetween is the root of a power between two levels, in volts²: its scatter is the
// mean's, and how far the way between may be off is a half-width.
func voltsBetween(v quantity.Value, n int) (m record.Mean, off float64) {
	m = record.Mean{X: math.Sqrt(v.X), N: n}
	for _, p := range v.Parts {
		u := math.Abs(p.C) / (2 * m.X)
		if strings.Contains(p.Source.ID, "/interpolation/") {
			off = u * math.Sqrt(3)
		} else {
			m.U, m.DoF = u, p.Source.DoF
		}
	}
	return m.Finite(), off
}

// bursts takes the i-th driven channel from bursts.
func (r *captureReading) bursts(i int, o captureOut) error {
	m, _, err := r.stretch(r.from, r.to)
	if err != nil {
		return err
	}
	b, err := capture.BurstsOf(m, r.wiring(o), r.freq)
	if err != nil {
		return err
	}
	n := len(b.Each)
	out := record.TakenOut{Channel: o.channel, Column: int(o.column.Column.Value), RMS: rootOf(b.Power, n).Finite()}
	var volts, rounds, drawn, rest, lowest, sags, recoveries []float64
	for k, one := range b.Each {
		out.Bursts = append(out.Bursts, record.Burst{StartS: r.from + one.Start, EndS: r.from + one.End, Cycles: one.Cycles, RMS: one.RMS, RestRMS: one.RestRMS,
			SupplyV: one.MeanV, SagV: one.Sag, SupplyW: one.SupplyPower, OutV2S: one.OutEnergy, SupplyJ: one.SupplyEnergy})
		out.MeanV += one.Mean / float64(n)
		volts, rest, lowest, sags = append(volts, one.MeanV), append(rest, one.RestV), append(lowest, one.LowestV), append(sags, one.Sag)
		if one.Recovery == one.Recovery {
			recoveries = append(recoveries, one.Recovery)
		}
		if k+1 < n {
			seconds := b.Each[k+1].Start - one.Start
			rounds, drawn = append(rounds, one.OutEnergy/seconds), append(drawn, one.SupplyEnergy/seconds)
		}
	}
	if len(rounds) > 0 {
		round := spreadMean(rounds)
		round.X = math.Sqrt(round.X)
		round.U /= 2 * round.X
		out.RoundV = round
	}
	out.RestDB, out.EveryS, out.DroopPct = finite0(b.Rest), finite0(b.Repetition), 100*finite0(b.Droop)
	r.taken.Outs = append(r.taken.Outs, out)
	if i > 0 || r.v == nil {
		return nil
	}
	t := r.taken
	t.SupplyV, t.RestV, t.LowestV, t.SagV = spreadMean(volts), spreadMean(rest).X, spreadMean(lowest).X, spreadMean(sags).X
	if len(recoveries) == n {
		t.RecoveryS = spreadMean(recoveries).X
	}
	if r.a != nil && len(drawn) > 0 {
		t.RoundW = spreadMean(drawn)
	}
	return nil
}

// spreadMean is the mean of values that follow one another, with their spread.
func spreadMean(values []float64) record.Mean {
	m := record.Mean{N: len(values)}
	for _, v := range values {
		m.X += v / float64(len(values))
	}
	if len(values) > 1 {
		s := capture.SpreadOf(values)
		m.U, m.DoF = s.U, s.DoF
	}
	return m.Finite()
}

// finite0 is a number, or 0 where it isn't finite.
func finite0(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}
