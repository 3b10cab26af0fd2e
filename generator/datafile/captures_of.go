package datafile

import (
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

func dataOfCaptures(all []*sheet.Capture) (out []dataCapture) {
	for _, c := range all {
		d := dataCapture{
			ID: c.ID, File: c.Rec.File, SHA256: c.Digest, Frames: int(c.Frames), Columns: c.Columns, Recorder: c.Rec.Recorder.ID,
			ClockPct: given(c.Rec.ClockPct), Channels: []dataScale{}, Publish: c.Rec.Publish, Remarks: c.Rec.Remarks,
		}
		if c.Rec.Table() {
			d.Table = &dataSamples{given(c.Rec.RateHz), given(c.Rec.TimeColumn), c.Rec.Separator, c.Rec.DecimalComma, given(c.Rec.HeaderLines)}
		}
		if c.RateHz > 0 {
			d.RateHz = finite(c.RateHz)
		}
		for _, ch := range c.Rec.Channels {
			d.Channels = append(d.Channels, dataScale{
				Column: number(ch.Column.Value), Role: ch.Role, Of: ch.Of, Scale: number(ch.Scale.Value), ScalePct: number(ch.ScalePct.Value),
				ScaleK: given(ch.ScaleK), ScaleBy: ch.ScaleBy, Offset: number(ch.Offset.Value), OffsetPM: number(ch.OffsetPM.Value),
			})
		}
		out = append(out, d)
	}
	return out
}

// read is what a run has from its capture; nil where it names none.
func (k *causes) read(r *sheet.Run) *dataRead {
	rec := r.Rec
	if !rec.Capture.Given() {
		return nil
	}
	d := &dataRead{Capture: rec.Capture.ID, FromS: given(rec.FromS), ToS: given(rec.ToS), As: rec.CaptureReadAs(r.Method), Taken: dataOfTaken(rec.Taken)}
	c := r.Captured
	if c == nil {
		return d
	}
	d.Freq = k.figure(c.Freq)
	for _, ch := range c.Channels {
		d.Channels = append(d.Channels, dataReadChannel{Channel: ch.Name, Thd: k.figure(ch.THD), Onset: k.figure(ch.Onset), Most: k.figure(ch.Most), Round: k.figure(ch.Round)})
	}
	for _, one := range c.Compared {
		d.Compared = append(d.Compared, dataCompared{one.Quantity, one.Channel, k.figure(one.Typed), k.figure(one.Difference), one.Disagrees})
	}
	return d
}

func dataOfMean(m record.Mean) *dataMean {
	if !m.Given() {
		return nil
	}
	return &dataMean{number(m.X), number(m.U), number(m.DoF), m.N}
}

// mean is what dataOfMean was given.
func (d *dataMean) mean() record.Mean {
	if d == nil {
		return record.Mean{}
	}
	return record.Mean{X: float64(d.Value), U: float64(d.U), DoF: float64(d.DoF), N: d.N}.Finite()
}

func dataOfTaken(t *record.Taken) *dataTaken {
	if t == nil {
		return nil
	}
	d := &dataTaken{
		FromS: number(t.FromS), ToS: number(t.ToS), LowHz: number(t.LowHz), HighHz: number(t.HighHz), FreqHz: dataOfMean(t.FreqHz),
		SupplyV: dataOfMean(t.SupplyV), SupplyA: dataOfMean(t.SupplyA), SupplyW: dataOfMean(t.SupplyW), RoundW: dataOfMean(t.RoundW),
		RestV: number(t.RestV), LowestV: number(t.LowestV), SagV: number(t.SagV), RecoveryS: number(t.RecoveryS), Outs: []dataTakenOut{},
	}
	for _, o := range t.Outs {
		d.Outs = append(d.Outs, dataOfOut(o))
	}
	return d
}

func dataOfOut(o record.TakenOut) dataTakenOut {
	d := dataTakenOut{
		Channel: o.Channel, Column: o.Column, OffsetC: number(o.Offset), BetweenV: number(o.Interpolation), THDN: dataOfMean(o.THDN), THD: dataOfMean(o.THD),
		MeanV: number(o.MeanV), PeakV: number(o.PeakV), NoiseV: number(o.NoiseV), Crest: number(o.Crest), FlatTop: number(o.FlatTop), FlatBottom: number(o.FlatBottom),
		Clipped: o.Clipped, OnsetV: dataOfMean(o.OnsetV), OnsetBetweenV: number(o.OnsetOff), MostV: dataOfMean(o.MostV), RoundV: dataOfMean(o.RoundV),
		RestDB: number(o.RestDB), EveryS: number(o.EveryS), DroopPct: number(o.DroopPct),
	}
	if m := dataOfMean(o.RMS); m != nil {
		d.RMS = *m
	}
	for _, h := range o.Harmonics {
		d.HarmonicsV = append(d.HarmonicsV, number(h))
	}
	for _, l := range o.Levels {
		d.Levels = append(d.Levels, dataLevel{number(l.AtS), number(l.RMS), number(l.THD), number(l.THDN), l.Flat, number(l.SupplyV), number(l.SupplyA), number(l.SupplyW), l.Blocks})
	}
	for _, b := range o.Bursts {
		d.Bursts = append(d.Bursts, dataBurst{number(b.StartS), number(b.EndS), b.Cycles, number(b.RMS), number(b.RestRMS), number(b.SupplyV), number(b.SagV),
			number(b.SupplyW), number(b.OutV2S), number(b.SupplyJ)})
	}
	return d
}

// taken is what dataOfTaken was given, with what the capture says of its file.
func (d *dataTaken) taken(as string, of dataCapture) *record.Taken {
	t := &record.Taken{
		Digest: of.SHA256, Frames: int64(of.Frames), Columns: of.Columns, As: as,
		FromS: float64(d.FromS), ToS: float64(d.ToS), LowHz: float64(d.LowHz), HighHz: float64(d.HighHz), FreqHz: d.FreqHz.mean(),
		SupplyV: d.SupplyV.mean(), SupplyA: d.SupplyA.mean(), SupplyW: d.SupplyW.mean(), RoundW: d.RoundW.mean(),
		RestV: float64(d.RestV), LowestV: float64(d.LowestV), SagV: float64(d.SagV), RecoveryS: float64(d.RecoveryS),
	}
	if of.RateHz != nil {
		t.RateHz = float64(*of.RateHz)
	}
	for _, o := range d.Outs {
		t.Outs = append(t.Outs, o.out())
	}
	return t
}

func (d *dataTakenOut) out() record.TakenOut {
	o := record.TakenOut{
		Channel: d.Channel, Column: d.Column, RMS: d.RMS.mean(), Offset: float64(d.OffsetC), Interpolation: float64(d.BetweenV), THDN: d.THDN.mean(), THD: d.THD.mean(),
		MeanV: float64(d.MeanV), PeakV: float64(d.PeakV), NoiseV: float64(d.NoiseV), Crest: float64(d.Crest), FlatTop: float64(d.FlatTop), FlatBottom: float64(d.FlatBottom),
		Clipped: d.Clipped, OnsetV: d.OnsetV.mean(), OnsetOff: float64(d.OnsetBetweenV), MostV: d.MostV.mean(), RoundV: d.RoundV.mean(),
		RestDB: float64(d.RestDB), EveryS: float64(d.EveryS), DroopPct: float64(d.DroopPct),
	}
	for _, h := range d.HarmonicsV {
		o.Harmonics = append(o.Harmonics, float64(h))
	}
	for _, l := range d.Levels {
		o.Levels = append(o.Levels, record.Level{AtS: float64(l.AtS), RMS: float64(l.RMS), THD: float64(l.THD), THDN: float64(l.THDN), Flat: l.Flat,
			SupplyV: float64(l.SupplyV), SupplyA: float64(l.SupplyA), SupplyW: float64(l.SupplyW), Blocks: l.Blocks})
	}
	for _, b := range d.Bursts {
		o.Bursts = append(o.Bursts, record.Burst{StartS: float64(b.StartS), EndS: float64(b.EndS), Cycles: b.Cycles, RMS: float64(b.RMS), RestRMS: float64(b.RestRMS),
			SupplyV: float64(b.SupplyV), SagV: float64(b.SagV), SupplyW: float64(b.SupplyW), OutV2S: float64(b.OutV2S), SupplyJ: float64(b.SupplyJ)})
	}
	return o
}

// takenRuns puts beside the runs what their captures gave, which no file of a record has.
func (d *Sheet) takenRuns(rec *record.Record) {
	if rec == nil || len(rec.Runs) != len(d.Runs) {
		return
	}
	of := map[string]dataCapture{}
	for _, c := range d.Captures {
		of[c.ID] = c
	}
	for i, r := range d.Runs {
		if r.Read != nil && r.Read.Taken != nil {
			rec.Runs[i].Taken = r.Read.Taken.taken(r.Read.As, of[r.Read.Capture])
		}
	}
}

// capture writes a capture as a table of a record.
func (t *tomlText) capture(c dataCapture) {
	t.head("[[capture]]")
	t.text("id", c.ID)
	t.text("file", c.File)
	t.text("recorder", c.Recorder)
	t.given("clock_pct", c.ClockPct)
	if s := c.Table; s != nil {
		t.given("rate_hz", s.RateHz)
		t.given("time_column", s.TimeColumn)
		t.text("separator", s.Separator)
		t.flag("decimal_comma", s.DecimalComma)
		t.given("header_lines", s.HeaderLines)
	}
	t.text("publish", c.Publish)
	t.text("remarks", c.Remarks)
	for _, ch := range c.Channels {
		t.head("[[capture.channel]]")
		t.number("column", ch.Column)
		t.text("role", ch.Role)
		t.text("of", ch.Of)
		t.number("scale", ch.Scale)
		t.number("scale_pct", ch.ScalePct)
		t.given("scale_k", ch.ScaleK)
		t.text("scale_by", ch.ScaleBy)
		t.number("offset", ch.Offset)
		t.number("offset_pm", ch.OffsetPM)
	}
}

// read writes from where a run was read.
func (t *tomlText) read(r *dataRead) {
	if r == nil {
		return
	}
	t.text("capture", r.Capture)
	t.given("from_s", r.FromS)
	t.given("to_s", r.ToS)
	t.text("capture_as", r.As)
}
