// Package datafile writes an evaluated sheet as the files that others use its numbers from,
// units/<slug>/sheet.json and runs.csv, and makes of a published sheet.json the content again
// that it came from. It knows no folder and no site beyond the sheet's own content.
package datafile

import (
	"maps"
	"math"
	"slices"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// JSON is a sheet as units/<slug>/sheet.json: UTF-8, as [laidOut] writes it.
// Findings are the tester's and not in it.
func JSON(s *sheet.Sheet) ([]byte, error) {
	causes := causeDesks.Get().(*causes)
	defer causes.clear()
	return laidOut(dataOf(s, causes)), nil
}

// dataOf is a sheet as its file has it, as long as the causes aren't cleared.
func dataOf(s *sheet.Sheet, causes *causes) *Sheet {
	site := s.Content.Site
	rule := sheet.RuleOf(site)
	d := &Sheet{
		Format: Format, Version: Version,
		Slug: s.Slug, Sheet: s.Number, Name: s.Name,
		Headline: s.Headline, Disclosure: s.Disclosure, Tested: s.Tested,
		Site: dataSite{
			Title: site.Title, Tester: site.Tester, Address: site.Address, Currency: site.Currency, Notice: site.Notice, Licence: dataOfLicence(site.Licence),
		},
		Rule: dataRule{
			Acceptance: rule.Acceptance, Name: rule.Name, Means: rule.Means, Source: rule.Source,
			MetFrom: number(site.Rule.MetFrom.Value), ShortTo: number(site.Rule.ShortTo.Value),
			AllowancePct: number(site.Rule.AllowancePct.Value),
		},
		Assumptions: dataAssumptions{
			ThdnPct: given(site.Assume.ThdnPct), SupplyDCV: given(site.Assume.SupplyDCV),
			SupplyMainsV: given(site.Assume.SupplyMainsV),
		},
		Unit:     dataOfUnit(&s.Record.Unit),
		Settings: dataOfSettings(&s.Record.Settings),
		Source:   dataOfSource(&s.Record.Source),
		Claims:   make([]Claim, 0, len(s.Claims)),
		Runs:     make([]Run, 0, len(s.Runs)),
	}
	for _, c := range s.Claims {
		d.Claims = append(d.Claims, causes.claim(c))
	}
	for _, r := range s.Runs {
		d.Runs = append(d.Runs, causes.run(r, s.Content.Bench))
	}
	d.Captures = dataOfCaptures(s.Captures)
	d.maker(s.Record)
	d.more(s, causes)
	d.Functions = dataOfFunctions(s.Record.Functions)
	d.marked(s)
	d.Corrections = dataOfCorrections(s.Record.Corrections)
	d.named(s)
	d.Sources = causes.list()
	return d
}

// named lists the methods, instruments and loads that the runs name.
func (d *Sheet) named(s *sheet.Sheet) {
	methods, instruments, loads := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, r := range d.Runs {
		methods[r.Method] = true
		for _, reading := range r.Readings {
			instruments[reading.Instrument] = true
		}
		for _, c := range r.Channels {
			loads[c.Load] = true
		}
	}
	for _, c := range d.Captures {
		instruments[c.Recorder] = true
	}
	d.Methods, d.Instruments, d.Loads = []Method{}, []Instrument{}, []Load{}
	for _, id := range slices.Sorted(maps.Keys(methods)) {
		if m := s.Content.Method(id); m != nil {
			d.Methods = append(d.Methods, dataOfMethod(m, s.Content.Methods))
		}
	}
	for _, id := range slices.Sorted(maps.Keys(instruments)) {
		if i := s.Content.Bench.Instrument(id); i != nil {
			d.Instruments = append(d.Instruments, dataOfInstrument(i))
		}
	}
	for _, id := range slices.Sorted(maps.Keys(loads)) {
		if l := s.Content.Bench.Load(id); l != nil {
			d.Loads = append(d.Loads, dataOfLoad(l))
		}
	}
}

func dataOfUnit(u *record.Unit) dataUnit {
	return dataUnit{
		Maker: u.Maker, Model: u.Model, Year: given(u.Year), Serial: u.Serial, Condition: u.Condition,
		Kind: u.Kind, Use: u.Use, Channels: list(u.Channels), Class: u.Class, Supply: u.Supply,
		Price: given(u.Price), PriceDate: u.PriceDate.Text, SizeMM: numbers(u.SizeMM), SizeIn: numbers(u.SizeIn), MassKG: given(u.MassKG), MassLb: given(u.MassLb),
		FusesA: numbers(u.FusesA), LowestOhm: given(u.LowestOhm), LowestBridgedOhm: given(u.LowestBridgedOhm),
	}
}

func dataOfSettings(s *record.Settings) dataSettings {
	return dataSettings{Gain: s.Gain, Input: s.Input, Boost: s.Boost, Filters: s.Filters, Remarks: s.Remarks}
}

func dataOfSource(s *record.Source) dataSource {
	return dataSource{
		How: s.How, From: s.From, Date: s.Date.Text, After: s.After,
		LinksEarn: s.LinksEarn, Paid: s.Paid, Remarks: s.Remarks,
	}
}

// given is a number of a record, or nil where neither it nor what is taken in
// its place is there.
func given(n record.Number) *number {
	if n.Text == "" {
		return nil
	}
	return finite(n.Value)
}

// finite is a number, or nil where it is infinite or none.
func finite(x float64) *number {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	n := number(x)
	return &n
}

// finite makes the number x and points to it; nil where x is infinite or none.
func (n *number) finite(x float64) *number {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	*n = number(x)
	return n
}

func between(low, high float64) *dataRange { return &dataRange{Low: finite(low), High: finite(high)} }

func numbers(n record.Numbers) []number {
	var out []number
	for _, item := range n.Items {
		out = append(out, number(item.Value))
	}
	return out
}

// list is a list that JSON writes as [] when it is empty.
func list(items []string) []string {
	if items == nil {
		return []string{}
	}
	return items
}

func dataOfLicence(l record.Licence) *dataLicence {
	if !l.Stated() {
		return nil
	}
	return &dataLicence{l.Name, l.SPDX, l.Address}
}
