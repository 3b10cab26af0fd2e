package ledger

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// What results rest on is sealed as a digest of a plain text: a line "key = value"
// for each key that was given or follows from the bench. Keys that only tell
// something (names, remarks, pictures, calibration dates) are no part of it:
// they change no result; some wording has digests of its own (words.go). A key that isn't there has no line, so that a key which
// is new in the schema doesn't change the digests of old records.

// facts is such a text.
type facts struct{ b []byte }

func (f *facts) text(key, value string) {
	if value != "" {
		f.b = append(f.b, key...)
		f.b = append(f.b, " = "...)
		f.b = append(record.AppendQuote(f.b, value), '\n')
	}
}

func (f *facts) flag(key string, value bool) {
	if value {
		f.bare(key, "true")
	}
}

func (f *facts) bare(key, value string) {
	f.b = append(f.b, key...)
	f.b = append(f.b, " = "...)
	f.b = append(append(f.b, value...), '\n')
}

// number is a number by its value; an absent one that something stands in for has
// that one's text.
func (f *facts) number(key string, n record.Number) {
	if n.Given() || n.Text != "" {
		f.bare(key, quantity.Float(n.Value))
	}
}

// typed is numbers as they were typed: of a reading, the last digit counts.
func (f *facts) typed(key string, list ...record.Number) {
	for i, n := range list {
		if n.Text != "" {
			f.text(key+" "+strconv.Itoa(i+1), n.Text)
		}
	}
}

func (f *facts) basis(what string) Basis {
	return Basis{What: what, Digest: DigestOf(f.b)}
}

// runNeeds names what a run's figures rest on.
func (c *collector) runNeeds(r *sheet.Run) []string {
	names := []string{"run " + r.ID, "instruments of run " + r.ID, "method " + r.Method.ID, "pool of " + r.Method.ID}
	for _, q := range record.ReadQuantities {
		if with := r.Rec.InstrumentFor(q, c.sheet.Content.Bench); with != nil && len(r.Rec.Readings(q)) > 0 {
			names = append(names, "instrument "+with.ID)
		}
	}
	for _, ch := range r.Channels {
		if ch.Load != nil {
			names = append(names, "load "+ch.Load.ID)
		}
	}
	return append(names, c.captureNeeds(r)...)
}

// basis writes down all that the results rest on, by kind and then by name.
func (c *collector) basis() {
	s, content := c.sheet, c.sheet.Content
	var list []Basis
	used := map[string]bool{}
	for _, r := range s.Runs {
		list = append(list, runBasis(r), withBasis(r, content.Bench))
		for _, name := range c.runNeeds(r) {
			used[name] = true
		}
	}
	for _, claim := range s.Claims {
		list = append(list, claimBasis(claim.Rec))
	}
	for _, spec := range s.Specs {
		list = append(list, specBasis(spec.Rec))
		for _, name := range c.specNeeds(spec) {
			used[name] = true
		}
	}
	again := &collector{state: &State{}, seen: map[string]bool{}}
	for _, t := range s.Thermals {
		list = append(list, thermalBasis(thermalName(again, t), t.Rec))
	}
	list = append(list, unitBasis(&s.Record.Unit), ruleBasis(content.Site))
	for _, name := range slices.Sorted(maps.Keys(used)) {
		kind, id, _ := strings.Cut(name, " ")
		switch kind {
		case "instrument":
			list = append(list, instrumentBasis(content.Bench.Instrument(id)))
		case "capture":
			list = append(list, c.captureBasis(id))
		case "load":
			list = append(list, loadBasis(content.Bench.Load(id)))
		case "method":
			list = append(list, methodBasis(content.Method(id)), poolBasis(content.Method(id)))
		}
	}
	list = append(list, words(s)...)
	c.state.RestsOn = append(list, c.formulaBasis()...)
}

// formulaBasis is the formulas used, in the catalogue's order. Those by which every
// uncertainty comes about are always among them.
func (c *collector) formulaBasis() (list []Basis) {
	always := []string{formula.Specification, formula.Combined, formula.Freedom, formula.Expanded}
	for _, f := range formula.Catalogue() {
		if !c.formulas[f.ID] && !slices.Contains(always, f.ID) {
			continue
		}
		list = append(list, Basis{What: "formula " + f.ID, Revision: f.Revision()})
		if slices.Contains(always, f.ID) {
			for head := range c.needs {
				c.need(head, "formula "+f.ID)
			}
		}
	}
	return list
}

func runBasis(r *sheet.Run) Basis {
	f, rec := &facts{}, r.Rec
	f.text("method", r.Method.ID)
	for i, ch := range r.Channels {
		f.text("driven "+strconv.Itoa(i+1), ch.Name)
		if ch.Load != nil {
			f.text("load "+strconv.Itoa(i+1), ch.Load.ID)
		}
		f.text("nominal "+strconv.Itoa(i+1), quantity.Float(ch.Nominal))
	}
	for _, q := range record.ReadQuantities {
		f.typed(q, rec.Readings(q)...)
	}
	if r.FreqHz > 0 {
		f.text("freq_hz", quantity.Float(r.FreqHz))
	}
	f.number("ambient_c", rec.AmbientC)
	f.number("warm_up_min", rec.WarmUpMin)
	f.number("lasted_s", rec.LastedS)
	f.text("at", rec.At.Text)
	f.text("outcome", rec.Outcome)
	f.captured(r)
	held := func(key, how string) {
		if how != "mean" && len(rec.Readings(key)) > 0 {
			f.text("read_as "+key, how)
		}
	}
	held("power_w", rec.ReadAs.PowerW)
	held("out_v", rec.ReadAs.OutV)
	held("supply_v", rec.ReadAs.SupplyV)
	held("supply_a", rec.ReadAs.SupplyA)
	b := f.basis("run " + r.ID)
	b.Invalid = !r.Valid
	return b
}

// withBasis is which instrument read what in a run, named by the run or as the
// bench's usual one.
func withBasis(r *sheet.Run, bench *record.Bench) Basis {
	f := &facts{}
	for _, q := range record.ReadQuantities {
		if with := r.Rec.InstrumentFor(q, bench); with != nil && len(r.Rec.Readings(q)) > 0 {
			f.text(q, with.ID)
		}
	}
	return f.basis("instruments of run " + r.ID)
}

func claimBasis(c *record.Claim) Basis {
	f := &facts{}
	f.text("quantity", c.Quantity)
	f.number("power_w", c.PowerW)
	f.number("load_ohm", c.LoadOhm)
	f.number("channels", c.Channels)
	f.text("of", strings.Join(c.Of, " "))
	f.number("driven", c.Driven)
	f.flag("bridged", c.Bridged)
	f.number("supply_v", c.SupplyV)
	f.number("thdn_pct", c.ThdnPct)
	for i, n := range c.FreqHz.Items {
		f.number("freq_hz "+strconv.Itoa(i+1), n)
	}
	f.text("signal", c.Signal)
	f.number("duration_s", c.DurationS)
	return f.basis("claim " + c.ID)
}

func specBasis(s *record.Spec) Basis {
	f := &facts{}
	f.text("unit", s.Unit)
	f.text("limit", s.Limit)
	f.typed("stated", s.Stated, s.StatedTo)
	f.number("tolerance", s.Tolerance)
	f.number("tolerance_pct", s.TolerancePct)
	f.typed("measured", s.Measured.Items...)
	f.number("pm", s.PM)
	f.specCapture(s)
	return f.basis("spec " + s.ID)
}

// thermalName names a temperature, which has no id, by its spot.
func thermalName(c *collector, t *sheet.Thermal) string {
	return c.path("temperature " + t.Rec.Spot)
}

func thermalBasis(name string, t *record.Thermal) Basis {
	f := &facts{}
	f.typed("temp_c", t.TempC.Items...)
	for i, n := range t.AtMin.Items {
		f.number("at_min "+strconv.Itoa(i+1), n)
	}
	f.number("ambient_c", t.AmbientC)
	f.number("emissivity", t.Emissivity)
	f.text("after", t.After.ID)
	f.number("pm", t.PM)
	return f.basis(name)
}

func unitBasis(u *record.Unit) Basis {
	f := &facts{}
	f.text("channels", strings.Join(u.Channels, " "))
	f.text("supply", u.Supply)
	for i, n := range u.SizeMM.Items {
		f.number("size_mm "+strconv.Itoa(i+1), n)
	}
	f.number("mass_kg", u.MassKG)
	return f.basis("unit")
}

func ruleBasis(s *record.Site) Basis {
	f := &facts{}
	f.number("met_from", s.Rule.MetFrom)
	f.number("short_to", s.Rule.ShortTo)
	f.number("allowance_pct", s.Rule.AllowancePct)
	f.number("thdn_pct", s.Assume.ThdnPct)
	f.number("supply_dc_v", s.Assume.SupplyDCV)
	f.number("supply_mains_v", s.Assume.SupplyMainsV)
	return f.basis("rule")
}

func instrumentBasis(i *record.Instrument) Basis {
	f := &facts{}
	f.number("bandwidth_hz", i.BandwidthHz)
	f.number("crest_factor", i.CrestFactor)
	f.number("shortest_burst_ms", i.ShortestBurstMS)
	f.text("distortion_of", i.DistortionOf)
	for n := range i.Ranges {
		r, key := &i.Ranges[n], fmt.Sprintf("range %d ", n+1)
		f.text(key+"reads", r.Reads)
		f.number(key+"to", r.To)
		f.number(key+"reading_pct", r.ReadingPct)
		f.number(key+"range_pct", r.RangePct)
		f.number(key+"digits", r.Digits)
		f.number(key+"resolution", r.Resolution)
		f.flag(key+"gain_common", r.GainCommon)
		f.beside(key, r)
		if r.DriftPctYear.Given() {
			f.text("calibrated", i.Calibrated.Text)
			f.text("due", i.Due.Text)
		}
	}
	return f.basis("instrument " + i.ID)
}

// beside is what a range has beside its specification proper.
func (f *facts) beside(key string, r *record.Range) {
	if r.Shape != "rectangular" {
		f.text(key+"shape", r.Shape)
	}
	f.number(key+"constant", r.Constant)
	f.number(key+"k", r.K)
	f.number(key+"dof", r.DoF)
	f.number(key+"drift_pct_year", r.DriftPctYear)
	f.number(key+"tempco_pct_k", r.TempcoPctK)
	f.number(key+"from_c", r.FromC)
	f.number(key+"to_c", r.ToC)
	f.number(key+"correction_pct", r.CorrectionPct)
	f.number(key+"correction", r.Correction)
	f.number(key+"correction_pm_pct", r.CorrectionPMPct)
	f.number(key+"correction_pm", r.CorrectionPM)
	if r.Corrects() {
		f.number(key+"correction_k", r.CorrectionK)
	}
}

func loadBasis(l *record.Load) Basis {
	f := &facts{}
	for _, one := range []struct {
		key string
		n   record.Number
	}{
		{"nominal_ohm", l.NominalOhm}, {"ohm", l.Ohm}, {"ohm_pct", l.OhmPct}, {"at_c", l.AtC},
		{"tempco_ppm", l.TempcoPPM}, {"tempco_pm_ppm", l.TempcoPMPPM}, {"hot_c", l.HotC}, {"hot_pm_c", l.HotPMC},
		{"lead_ohm", l.LeadOhm}, {"lead_pct", l.LeadPct},
	} {
		f.number(one.key, one.n)
	}
	f.number("ohm_k", l.OhmK)
	f.text("calibration", l.Calibration)
	return f.basis("load " + l.ID)
}

func methodBasis(m *record.Method) Basis {
	f := &facts{}
	f.text("signal", m.Signal)
	f.number("freq_hz", m.FreqHz)
	f.number("thdn_pct", m.ThdnPct)
	f.number("low_hz", m.LowHz)
	f.number("high_hz", m.HighHz)
	f.flag("into_clipping", m.IntoClipping)
	f.number("duration_s", m.DurationS)
	f.number("burst_ms", m.BurstMS)
	f.number("every_ms", m.EveryMS)
	f.flag("answers_unstated", m.AnswersUnstated)
	f.number("answers_up_to_s", m.AnswersUpToS)
	f.number("supply_ripple_pct", m.SupplyRipplePct)
	return f.basis("method " + m.ID)
}

func poolBasis(m *record.Method) Basis {
	f := &facts{}
	if m.Pool.Given() {
		f.number("rel_pct", m.Pool.RelPct)
		f.number("dof", m.Pool.DoF)
	}
	return f.basis("pool of " + m.ID)
}
