package datafile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// content makes the content of one unit anew from what its published sheet says
// that was read, stated and used. It is written as the four files that a tester
// writes and read by the same decoders, so that every check of theirs applies.
// The places in problems are lines of these files.
func (d *Sheet) Content(name string) (*record.Content, record.Problems) {
	c := &record.Content{}
	file := func(as string, text string) *record.File {
		return &record.File{Name: name + " as " + as, Text: []byte(text)}
	}
	var problems, more record.Problems
	c.Site, problems = record.DecodeSite(file("site.toml", d.siteText()))
	c.Bench, more = record.DecodeBench(file("bench.toml", d.benchText()))
	problems = append(problems, more...)
	c.Methods, more = record.DecodeMethods(file("methods.toml", d.methodsText()))
	problems = append(problems, more...)
	rec, more := record.DecodeRecord(file("record.toml", d.recordText()), d.Slug)
	problems = append(problems, more...)
	d.takenRuns(rec)
	d.takenSpecs(rec)
	c.Records = []*record.Record{rec}
	problems = append(problems, c.Check()...)
	d.poolRuns(c)
	rec.Unit.Follows.ID = d.Follows // another unit's, which the file doesn't have
	problems.Sort()
	return c, problems
}

// poolRuns notes which runs a pool was computed from, behind the checks: they may
// be other units', which the file doesn't have.
func (d *Sheet) poolRuns(c *record.Content) {
	for _, m := range d.Methods {
		if to := c.Method(m.ID); to != nil && m.Pool != nil {
			to.Pool.Runs = m.Pool.Runs
		}
	}
}

func (d *Sheet) siteText() string {
	t := &tomlText{}
	t.text("title", d.Site.Title)
	t.text("tester", d.Site.Tester)
	t.text("address", d.Site.Address)
	t.text("currency", d.Site.Currency)
	t.text("notice", d.Site.Notice)
	if l := d.Site.Licence; l != nil {
		t.head("[licence]")
		t.text("name", l.Name)
		t.text("spdx", l.SPDX)
		t.text("address", l.Address)
	}
	t.head("[rule]")
	if d.Rule.Acceptance != "" {
		t.text("acceptance", d.Rule.Acceptance)
	} else {
		t.number("met_from", d.Rule.MetFrom)
		t.number("short_to", d.Rule.ShortTo)
	}
	t.number("allowance_pct", d.Rule.AllowancePct)
	t.head("[assume]")
	t.given("thdn_pct", d.Assumptions.ThdnPct)
	t.given("supply_dc_v", d.Assumptions.SupplyDCV)
	t.given("supply_mains_v", d.Assumptions.SupplyMainsV)
	return t.String()
}

func (d *Sheet) benchText() string {
	t := &tomlText{}
	for _, i := range d.Instruments {
		t.head("[[instrument]]")
		t.text("id", i.ID)
		t.text("name", i.Name)
		t.date("calibrated", i.Calibrated)
		t.date("due", i.Due)
		t.flag("rough", i.Rough)
		t.given("bandwidth_hz", i.BandwidthHz)
		t.given("crest_factor", i.CrestFactor)
		t.given("shortest_burst_ms", i.ShortestBurstMS)
		t.text("distortion_of", i.DistortionOf)
		for _, r := range i.Ranges {
			t.span(r)
		}
	}
	for _, l := range d.Loads {
		t.load(l)
	}
	return t.String()
}

func (t *tomlText) span(r Span) {
	t.head("[[instrument.range]]")
	t.text("reads", r.Reads)
	t.number("to", r.To)
	t.given("reading_pct", r.ReadingPct)
	t.given("range_pct", r.RangePct)
	t.given("digits", r.Digits)
	t.given("resolution", r.Resolution)
	t.given("constant", r.Constant)
	t.flag("gain_common", r.GainCommon)
	t.text("shape", r.Shape)
	t.given("k", r.K)
	t.given("dof", r.DoF)
	t.given("drift_pct_year", r.DriftPctYear)
	t.given("tempco_pct_k", r.TempcoPctK)
	t.given("from_c", r.FromC)
	t.given("to_c", r.ToC)
	t.given("correction_pct", r.CorrectionPct)
	t.given("correction", r.Correction)
	t.given("correction_pm_pct", r.CorrectionPMPct)
	t.given("correction_pm", r.CorrectionPM)
	t.given("correction_k", r.CorrectionK)
}

func (t *tomlText) load(l Load) {
	t.head("[[load]]")
	t.text("id", l.ID)
	t.text("name", l.Name)
	t.number("nominal_ohm", l.NominalOhm)
	t.number("ohm", l.Ohm)
	t.number("ohm_pct", l.OhmPct)
	t.given("ohm_k", l.OhmK)
	t.number("at_c", l.AtC)
	t.number("tempco_ppm", l.TempcoPPM)
	t.number("tempco_pm_ppm", l.TempcoPMPPM)
	t.given("hot_c", l.HotC)
	t.number("hot_pm_c", l.HotPMC)
	t.text("calibration", l.Calibration)
	t.number("lead_ohm", l.LeadOhm)
	t.number("lead_pct", l.LeadPct)
	t.given("max_w", l.MaxW)
	t.flag("rough", l.Rough)
}

// mostMethods is how many methods a site may have here: a file that claims a place
// beyond it is refused by its place being another.
const mostMethods = 1000

// methodsText keeps each method's place: the site's methods that the file doesn't
// name are there as empty ones.
func (d *Sheet) methodsText() string {
	t := &tomlText{}
	sorted := slices.Clone(d.Methods)
	slices.SortStableFunc(sorted, func(a, b Method) int { return cmp.Compare(a.Place, b.Place) })
	place := 1
	filler := func() {
		t.head("[[method]]")
		t.text("id", fmt.Sprintf("not-in-this-file-%d", place))
		t.text("title", fmt.Sprintf("not in this file, %d", place))
		t.text("wording", "None of the runs is made by it.")
		place++
	}
	for _, m := range sorted {
		for place < m.Place && place < mostMethods {
			filler()
		}
		t.method(m)
		place++
	}
	if place == 1 {
		filler()
	}
	return t.String()
}

func (t *tomlText) method(m Method) {
	t.head("[[method]]")
	t.text("id", m.ID)
	t.text("title", m.Title)
	t.text("signal", m.Signal)
	t.given("freq_hz", m.FreqHz)
	t.given("thdn_pct", m.ThdnPct)
	t.given("low_hz", m.LowHz)
	t.given("high_hz", m.HighHz)
	t.flag("into_clipping", m.IntoClipping)
	t.given("duration_s", m.DurationS)
	t.given("burst_ms", m.BurstMS)
	t.given("every_ms", m.EveryMS)
	t.given("crest_factor", m.CrestFactor)
	t.flag("answers_unstated", m.AnswersUnstated)
	t.given("answers_up_to_s", m.AnswersUpToS)
	t.number("supply_ripple_pct", m.SupplyRipplePct)
	t.text("standard", m.Standard)
	t.text("wording", m.Wording)
	if m.Pool != nil {
		t.head("[method.pool]")
		t.number("rel_pct", m.Pool.RelPct)
		t.number("dof", m.Pool.DoF)
		t.date("date", m.Pool.Date)
	}
}

// readingsOf sorts the readings of a run by quantity.
func readingsOf(r Run) map[string][]dataReading {
	by := map[string][]dataReading{}
	for _, reading := range r.Readings {
		by[reading.Quantity] = append(by[reading.Quantity], reading)
	}
	return by
}

func (t *tomlText) run(r Run) {
	t.head("[[run]]")
	t.text("id", r.ID)
	t.text("method", r.Method)
	var driven, loads []string
	for _, c := range r.Channels {
		driven = append(driven, c.Channel)
		if c.Load != "" {
			loads = append(loads, c.Load)
		}
	}
	t.texts("driven", driven)
	t.texts("load", loads)
	if len(loads) == 0 {
		t.number("load_ohm", r.NominalOhm)
	}
	by := readingsOf(r)
	for _, q := range record.ReadQuantities {
		var texts []string
		for _, reading := range by[q] {
			texts = append(texts, reading.Text)
		}
		t.typed(q, texts...)
	}
	t.given("freq_hz", r.FreqHz)
	t.given("ambient_c", r.AmbientC)
	t.given("warm_up_min", r.WarmUpMin)
	t.given("lasted_s", r.LastedS)
	t.date("at", r.At)
	t.text("outcome", r.Outcome)
	t.text("invalid", r.Invalid)
	t.text("remarks", r.Remarks)
	t.marked(r.Video)
	t.read(r.Read)
	t.taken(by)
}

// taken writes with what the readings were taken, and how.
func (t *tomlText) taken(by map[string][]dataReading) {
	t.head("[run.with]")
	for _, q := range record.ReadQuantities {
		if list := by[q]; len(list) > 0 {
			t.text(q, list[0].Instrument)
		}
	}
	t.head("[run.read_as]")
	for _, q := range []string{"power_w", "out_v", "supply_v", "supply_a"} {
		if list := by[q]; len(list) > 0 && list[0].How != "mean" {
			t.text(q, list[0].How)
		}
	}
}

func (t *tomlText) claim(c Claim) {
	s := c.Stated
	t.head("[[claim]]")
	t.text("id", c.ID)
	t.text("quantity", s.Quantity)
	t.number("power_w", s.PowerW)
	t.number("load_ohm", s.LoadOhm)
	t.number("channels", s.Channels)
	t.texts("of", s.Of)
	t.given("driven", s.Driven)
	t.flag("bridged", s.Bridged)
	t.given("supply_v", s.SupplyV)
	t.given("thdn_pct", s.ThdnPct)
	t.numbers("freq_hz", s.FreqHz)
	t.text("signal", s.Signal)
	t.given("duration_s", s.DurationS)
	t.text("printed_in", s.PrintedIn)
	t.marked(c.Video)
}

func (d *Sheet) recordText() string {
	t := &tomlText{}
	t.unit(d.Sheet, d.Unit)
	s := d.Settings
	t.head("[settings]")
	t.text("gain", s.Gain)
	t.text("input", s.Input)
	t.text("boost", s.Boost)
	t.text("filters", s.Filters)
	t.text("remarks", s.Remarks)
	t.marked(s.Video)
	from := d.Source
	t.head("[source]")
	t.text("how", from.How)
	t.text("from", from.From)
	t.date("date", from.Date)
	t.text("after", from.After)
	t.flag("links_earn", from.LinksEarn)
	t.text("paid", from.Paid)
	t.text("remarks", from.Remarks)
	for _, c := range d.Claims {
		t.claim(c)
	}
	for _, r := range d.Runs {
		t.run(r)
	}
	for _, c := range d.Captures {
		t.capture(c)
	}
	for _, s := range d.Specs {
		t.spec(s)
	}
	for _, th := range d.Thermals {
		t.thermal(th)
	}
	for _, f := range d.Functions {
		t.function(f)
	}
	for _, v := range d.Videos {
		t.video(v)
	}
	for _, c := range d.Corrections {
		t.correction(c)
	}
	t.maker(d)
	return strings.TrimLeft(t.String(), "\n")
}

func (t *tomlText) unit(sheet string, u dataUnit) {
	t.head("[unit]")
	t.text("sheet", sheet)
	t.text("maker", u.Maker)
	t.text("model", u.Model)
	t.given("year", u.Year)
	t.text("serial", u.Serial)
	t.text("condition", u.Condition)
	t.text("kind", u.Kind)
	t.text("use", u.Use)
	t.texts("channels", u.Channels)
	t.text("class", u.Class)
	t.text("supply", u.Supply)
	t.given("price", u.Price)
	t.date("price_date", u.PriceDate)
	t.numbers("size_mm", u.SizeMM)
	t.numbers("size_in", u.SizeIn)
	t.given("mass_kg", u.MassKG)
	t.given("mass_lb", u.MassLb)
	t.numbers("fuses_a", u.FusesA)
	t.given("lowest_ohm", u.LowestOhm)
	t.given("lowest_bridged_ohm", u.LowestBridgedOhm)
}

func (t *tomlText) spec(s dataSpec) {
	t.head("[[spec]]")
	t.text("id", s.ID)
	t.text("name", s.Name)
	t.text("unit", s.Unit)
	t.text("limit", s.Limit)
	t.typed("stated", s.Stated.Text)
	if s.StatedTo != nil {
		t.typed("stated_to", s.StatedTo.Text)
	}
	if s.Also != nil {
		t.typed("also", s.Also.Text)
	}
	t.text("also_unit", s.AlsoUnit)
	t.given("tolerance", s.Tolerance)
	t.given("tolerance_pct", s.TolerancePct)
	t.typed("measured", textsOf(s.Readings)...)
	t.given("pm", s.PM)
	t.text("how", s.How)
	t.text("printed_in", s.PrintedIn)
	t.text("remarks", s.Remarks)
	t.marked(s.Video)
	t.specRead(s.Read)
}

func (t *tomlText) thermal(th dataThermal) {
	t.head("[[thermal]]")
	t.text("spot", th.Spot)
	t.typed("temp_c", textsOf(th.TempC)...)
	t.typed("temp_f", textsOf(th.TempF)...)
	t.numbers("at_min", th.AtMin)
	t.given("ambient_c", th.AmbientC)
	t.given("ambient_f", th.AmbientF)
	t.given("emissivity", th.Emissivity)
	t.text("after", th.After)
	t.text("how", th.How)
	t.given("pm", th.PM)
	t.marked(th.Video)
}

func textsOf(list []dataWritten) []string {
	var out []string
	for _, w := range list {
		out = append(out, w.Text)
	}
	return out
}
