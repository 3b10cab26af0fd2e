package datafile

import (
	"wattsheet/generator/record"
)

// dataOfMethod is a method and its place in the site's list.
func dataOfMethod(m *record.Method, all *record.Methods) Method {
	d := Method{
		ID: m.ID, Title: m.Title, Signal: m.Signal, FreqHz: given(m.FreqHz), ThdnPct: given(m.ThdnPct),
		LowHz: given(m.LowHz), HighHz: given(m.HighHz), IntoClipping: m.IntoClipping, DurationS: given(m.DurationS), BurstMS: given(m.BurstMS),
		EveryMS: given(m.EveryMS), CrestFactor: given(m.CrestFactor), AnswersUnstated: m.AnswersUnstated, AnswersUpToS: given(m.AnswersUpToS),
		SupplyRipplePct: number(m.SupplyRipplePct.Value), Standard: m.Standard, Wording: m.Wording,
	}
	for i := range all.Methods {
		if all.Methods[i].ID == m.ID {
			d.Place = i + 1
		}
	}
	if m.Pool.Given() {
		d.Pool = &dataPool{
			RelPct: number(m.Pool.RelPct.Value), DoF: number(m.Pool.DoF.Value),
			Date: m.Pool.Date.Text, Runs: m.Pool.Runs,
		}
	}
	return d
}

func dataOfInstrument(i *record.Instrument) Instrument {
	d := Instrument{
		ID: i.ID, Name: i.Name, Calibrated: i.Calibrated.Text, Due: i.Due.Text, Rough: i.Rough,
		BandwidthHz: given(i.BandwidthHz), CrestFactor: given(i.CrestFactor),
		ShortestBurstMS: given(i.ShortestBurstMS), DistortionOf: i.DistortionOf, Ranges: []Span{},
	}
	for n := range i.Ranges {
		d.Ranges = append(d.Ranges, dataOfSpan(&i.Ranges[n]))
	}
	return d
}

func dataOfSpan(r *record.Range) Span {
	d := Span{
		Reads: r.Reads, To: number(r.To.Value), ReadingPct: given(r.ReadingPct), RangePct: given(r.RangePct),
		Digits: given(r.Digits), Resolution: given(r.Resolution), Constant: given(r.Constant), GainCommon: r.GainCommon,
		Shape: r.Shape, K: given(r.K), DoF: given(r.DoF),
		DriftPctYear: given(r.DriftPctYear), TempcoPctK: given(r.TempcoPctK), FromC: given(r.FromC), ToC: given(r.ToC),
		CorrectionPct: given(r.CorrectionPct), Correction: given(r.Correction),
		CorrectionPMPct: given(r.CorrectionPMPct), CorrectionPM: given(r.CorrectionPM),
	}
	if r.Corrects() {
		k := number(r.CorrectionK.Value)
		d.CorrectionK = &k
	}
	return d
}

func dataOfLoad(l *record.Load) Load {
	return Load{
		ID: l.ID, Name: l.Name, NominalOhm: number(l.NominalOhm.Value),
		Ohm: number(l.Ohm.Value), OhmPct: number(l.OhmPct.Value), OhmK: given(l.OhmK),
		LeadOhm: number(l.LeadOhm.Value), LeadPct: number(l.LeadPct.Value),
		AtC: number(l.AtC.Value), TempcoPPM: number(l.TempcoPPM.Value), TempcoPMPPM: number(l.TempcoPMPPM.Value),
		HotC: given(l.HotC), HotPMC: number(l.HotPMC.Value), Calibration: l.Calibration, MaxW: given(l.MaxW), Rough: l.Rough,
	}
}
