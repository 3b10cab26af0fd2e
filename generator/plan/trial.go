package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
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
		SupplyV: p.number(j.supplyV), ReadAs: record.ReadAs{PowerW: "mean", OutV: "mean", SupplyV: "mean", SupplyA: "mean"},
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

// The search for the smallest shortfall and margin goes in steps of 0.01 % of the
// claim, so that it gives the same on every machine: down to half of the claim, and
// up to its double.
const (
	perStep   = 1e-4
	downSteps = 5000
	upSteps   = 10000
)

// decide finds out what the bench could say of a claim.
func (p *planner) decide(out *Claim, c *record.Claim) {
	word := func(step int) (*sheet.Claim, verdict.Word) {
		t, _ := p.trial(c, out.jobs, 1+float64(step)*perStep)
		return t, t.Verdict
	}
	t, _ := word(0)
	out.Label, out.Conditions, out.LimitW = p.label(c), t.Conditions, Number(t.LimitW)
	out.Can = "neither"
	if len(out.jobs) == 0 {
		return
	}
	if t.Weakest == nil {
		out.Why = t.Why
		if len(t.Uses) > 0 {
			out.Why = "It can't be decided: " + sentence(t.Uses[0].Why) + "."
		}
		return
	}
	u := t.Weakest.Mean
	out.UW, out.UPct, out.Lacks = Number(u.U), Number(100*u.U/u.X), u.Incomplete
	low, lowWord := word(-downSteps)
	high, highWord := word(upSteps)
	short, met := lowWord == verdict.Short, highWord == verdict.Met
	if short {
		step := turning(-downSteps, 0, func(step int) bool { _, w := word(step); return w == verdict.Short })
		out.ShortfallPct, out.ShortUpToW = pct(-step), watts(c, step)
	}
	if met {
		step := -turning(-upSteps, downSteps, func(step int) bool { _, w := word(-step); return w == verdict.Met })
		out.MarginPct, out.MetFromW = pct(step), watts(c, step)
	}
	switch {
	case short && met:
		out.Can = "both"
	case met:
		out.Can, out.Why = "met", "It can't be called short: "+sentence(low.Why)+"."+p.atTen(out, c)
	case short:
		out.Can, out.Why = "short", "It can't be called met: "+sentence(high.Why)+"."
	default:
		out.Why = "Neither half nor double the claim would decide it: " + sentence(low.Why) + "."
	}
}

// sentence is the first of a text's, to stand behind a colon: what follows it in the
// sheet's words are figures of the trial.
func sentence(text string) string {
	first, _, _ := strings.Cut(text, ". ")
	return lower(first)
}

// atTen says what is missing where a claim states no distortion, and no run is made
// at that at which it has to be short, too.
func (p *planner) atTen(out *Claim, c *record.Claim) string {
	if c.ThdnPct.Given() || slices.ContainsFunc(out.jobs, func(j *job) bool { return j.method.ThdnPct.Value >= easedThdnPct }) {
		return ""
	}
	return fmt.Sprintf(" It states no distortion, so it would have to be short at %s, too, and methods.toml has no method for that.", unit(easedThdnPct, "%"))
}

func pct(step int) *Number { n := Number(float64(step) * 100 * perStep); return &n }

func watts(c *record.Claim, step int) *Number {
	n := Number(c.PowerW.Value * (1 + float64(step)*perStep))
	return &n
}

// turning is the last whole number from from to to for which is holds, where it holds
// at from and, once it doesn't, not any more.
func turning(from, to int, is func(int) bool) int {
	if is(to) {
		return to
	}
	for to-from > 1 {
		if middle := (from + to) / 2; is(middle) {
			from = middle
		} else {
			to = middle
		}
	}
	return from
}

// label is what the sheet calls a claim among all of the unit's.
func (p *planner) label(c *record.Claim) string {
	rec := *p.rec
	rec.Runs = nil
	for _, one := range sheet.Evaluate(p.content, &rec).Claims {
		if one.ID == c.ID {
			return one.Label
		}
	}
	return c.ID
}
