package plan

import (
	"fmt"
	"math"
	"slices"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// airC is the temperature of the air that a plan counts with.
const airC = 23

// standInPct is how well a load is taken to be known that the bench doesn't have.
const standInPct = 1

// trial evaluates a claim on one run of each job, in which the claim's channels give
// a fraction f of the claimed power: the sheet decides it as it would decide the real
// readings. It writes to nothing but the jobs' readings.
func (p *planner) trial(c *record.Claim, jobs []*job, f float64) (*sheet.Claim, []*sheet.Run) {
	content, rec := p.bare(jobs), *p.rec
	rec = record.Record{Place: rec.Place, Slug: rec.Slug, Unit: rec.Unit, Settings: rec.Settings, Source: rec.Source, Claims: []record.Claim{*c}}
	own := p.own(c)
	var s *sheet.Sheet
	for range 3 { // corrections of readings make the way from volts to power not quite square
		rec.Runs = nil
		for i, j := range jobs {
			rec.Runs = append(rec.Runs, p.made(j, fmt.Sprintf("planned-%d", i+1), j.wattsAt(c, own, f)))
		}
		s = sheet.Evaluate(content, &rec)
		if settled := p.settle(c, own, f, jobs, s.Runs); settled {
			break
		}
	}
	return s.Claims[0], s.Runs
}

// wattsAt is the power of each channel when the claim's own give a fraction f of it.
func (j *job) wattsAt(c *record.Claim, own []string, f float64) []float64 {
	watts := make([]float64, len(j.drives))
	for i, d := range j.drives {
		watts[i] = d.watts
		if slices.Contains(own, d.channel) {
			watts[i] = f * c.PowerW.Value
		}
	}
	return watts
}

// settle corrects what the meters would show, until the power is the wanted one. It
// reports whether it was.
func (p *planner) settle(c *record.Claim, own []string, f float64, jobs []*job, runs []*sheet.Run) bool {
	settled := true
	for i, j := range jobs {
		for n, want := range j.wattsAt(c, own, f) {
			got := runs[i].Channels[n].Power
			if got == nil || !(got.X > 0) {
				continue
			}
			by := want / got.X
			settled = settled && math.Abs(by-1) < 1e-11
			if p.outputMeter(j).name == "out_v" {
				by = math.Sqrt(by)
			}
			j.readings[n] *= by
		}
	}
	return settled
}

// bare is the content with a stand-in for each load that the bench lacks.
func (p *planner) bare(jobs []*job) *record.Content {
	content, bench := *p.content, *p.bench()
	bench.Loads = slices.Clone(bench.Loads)
	for _, j := range jobs {
		for i, d := range j.drives {
			if d.load == nil {
				bench.Loads = append(bench.Loads, record.Load{
					Place: p.rec.Place, ID: standIn(i), NominalOhm: p.number(d.ohm), Ohm: p.number(d.ohm), OhmPct: p.number(standInPct),
				})
			}
		}
	}
	content.Bench = &bench
	return &content
}

// standIn is the id of a load that the bench doesn't have; no load of bench.toml can
// be called so.
func standIn(i int) string { return fmt.Sprintf("stand-in %d", i+1) }

// made is a job as a run of the record: what its instruments would show.
func (p *planner) made(j *job, id string, watts []float64) record.Run {
	r := record.Run{
		Place: p.rec.Place, ID: id, Method: p.ref(j.method.ID), FreqHz: p.number(j.freqHz), AmbientC: p.number(airC),
		Outcome: "completed", At: record.Moment{Place: p.rec.Place, Text: p.day + "T12:00:00Z"},
		SupplyV: p.number(j.supplyV * (1 - p.lowPct/100)), ReadAs: record.ReadAs{PowerW: "mean", OutV: "mean", SupplyV: "mean", SupplyA: "mean"},
	}
	r.Load.Place = p.rec.Place
	output := p.outputMeter(j)
	var shown []record.Number
	for i, d := range j.drives {
		r.Driven = append(r.Driven, d.channel)
		load := standIn(i)
		if d.load != nil {
			load = d.load.ID
		}
		r.Load.Items = append(r.Load.Items, p.ref(load))
		exact := watts[i]
		if output.name == "out_v" {
			exact = math.Sqrt(watts[i])
		}
		if j.readings[i] == 0 {
			j.readings[i] = 1
			if output.name == "out_v" {
				j.readings[i] = math.Sqrt(d.ohm)
			}
		}
		shown = append(shown, p.number(exact*j.readings[i]))
		if j.method.ThdnPct.Given() {
			r.ThdnPct = record.Numbers{Place: p.rec.Place, Items: append(r.ThdnPct.Items, p.number(j.method.ThdnPct.Value))}
		}
	}
	numbers := record.Numbers{Place: p.rec.Place, Items: shown}
	if output.name == "out_v" {
		r.OutV = numbers
	} else {
		r.PowerW = numbers
	}
	if j.method.Signal == "burst" {
		r.ReadAs.SupplyV = "held-min"
	}
	for _, m := range p.metersOf(j) {
		p.use(&r.With, m)
	}
	return r
}

// use names the instrument of a quantity in a run.
func (p *planner) use(with *record.Quantities, m choice) {
	if m.instrument == nil {
		return
	}
	ref := p.ref(m.instrument.ID)
	switch m.name {
	case "power_w":
		with.PowerW = ref
	case "out_v":
		with.OutV = ref
	case "thdn_pct":
		with.ThdnPct = ref
	case "supply_v":
		with.SupplyV = ref
	}
}
