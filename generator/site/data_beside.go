package site

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// besideName is the script with which a unit brings its data to the page that sets
// units beside each other: a page that was opened from a disk can load scripts, but
// no data.
const besideName = "beside.js"

// A besideUnit is all that this page shows of a unit and compares it by. Texts are
// ready for people; the script rounds nothing that was measured.
type besideUnit struct {
	Slug   string        `json:"slug"`
	Name   string        `json:"name"`
	Maker  string        `json:"maker"`
	Model  string        `json:"model"`
	Facts  []besideFact  `json:"facts"` // what the unit is, in the order of the page
	Source string        `json:"source"`
	Counts []besideCount `json:"counts"`
	Points []besidePoint `json:"points"` // the loads and methods at which it has runs
	Claims []besideClaim `json:"claims"`
}

// A besideFact is a fact with its name: units have different ones.
type besideFact struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// A besideCount is how many claims have one verdict: "2 fall short".
type besideCount struct {
	Verdict string `json:"verdict"`
	Text    string `json:"text"`
}

// A besidePoint is where a unit stands at one load and method.
type besidePoint struct {
	Key  string `json:"key"`  // names the point in an address: "4-thd1", "4-bridged-thd1"
	Load string `json:"load"` // "4 Ω bridged"
	Ohms string `json:"ohms"` // its resistance alone: "4 Ω"
	*sheet.Compact
	Supply        string  `json:"supply,omitempty"` // supply voltage, for people
	Freq          string  `json:"freq,omitempty"`   // frequency, for people
	Places        int     `json:"places,omitempty"` // decimals of the total
	EfficiencyPct float64 `json:"efficiency_pct,omitempty"`
	EfficiencyU   float64 `json:"efficiency_u_pct,omitempty"`
	// Ratios are the total by price, volume and mass.
	Ratios []besideFact `json:"ratios,omitempty"`
}

// A besideClaim is a claim as its line is drawn and written.
type besideClaim struct {
	ID      string     `json:"id"`
	What    string     `json:"what"`  // what it is for: claims for the same stand beside each other
	Label   string     `json:"label"` // as its own page names it
	Verdict string     `json:"verdict"`
	Word    string     `json:"word"`
	Figure  string     `json:"figure,omitempty"`
	Of      string     `json:"of"`
	Lacks   bool       `json:"lacks,omitempty"` // its uncertainty is incomplete
	Alt     string     `json:"alt"`             // what the line shows, in words
	Limit   float64    `json:"limit,omitempty"` // in percent of the claim, as all below
	Mean    float64    `json:"mean,omitempty"`  // absent where nothing is drawn but the limit
	U       float64    `json:"u,omitempty"`
	Value   string     `json:"value,omitempty"` // the mean for people, for where it is off the scale
	Bar     [2]float64 `json:"bar,omitzero"`
	Open    [2]bool    `json:"open,omitzero"` // the runs bound nothing on that side
}

// besideOutput makes a unit's script. JSON escapes what could end a script or a line
// of it.
func besideOutput(s *sheet.Sheet) (Output, error) {
	data, err := json.Marshal(besideOf(s))
	if err != nil {
		return Output{}, err
	}
	slug, err := json.Marshal(s.Slug)
	if err != nil {
		return Output{}, err
	}
	const begin = "window.wattsheet = window.wattsheet || {};\n(wattsheet.beside = wattsheet.beside || {})["
	return Output{Path: unitsFolder + "/" + s.Slug + "/" + besideName, Bytes: []byte(begin + string(slug) + "] = " + string(data) + ";\n")}, nil
}

func besideOf(s *sheet.Sheet) besideUnit {
	u := &s.Record.Unit
	out := besideUnit{
		Slug: s.Slug, Name: s.Name, Maker: u.Maker, Model: u.Model, Source: s.Disclosure,
		Facts: []besideFact{}, Counts: []besideCount{}, Points: []besidePoint{}, Claims: []besideClaim{},
	}
	for _, f := range []besideFact{
		{"Kind", kindOf(u)}, {"Model year", figureOf(u.Year)}, {"Tested", dayOf(s.Tested).Text}, {"Price", with(u.Price, s.Content.Site.Currency)},
		{"Size", figuresOf(u.SizeMM, " × ", "mm")}, {"Mass", with(u.MassKG, "kg")},
	} {
		if f.Text != "" {
			out.Facts = append(out.Facts, f)
		}
	}
	for _, c := range countsOf(s.Claims) {
		out.Counts = append(out.Counts, besideCount{string(c.Verdict), c.says()})
	}
	for _, at := range sheet.Points([]*sheet.Sheet{s}) {
		out.Points = append(out.Points, besidePointOf(sheet.StandingOf(s, at)))
	}
	for _, c := range s.Claims {
		claim := besideClaimOf(c)
		claim.What = claimedFor(c.Rec, u, &s.Content.Site.Assume)
		out.Claims = append(out.Claims, claim)
	}
	return out
}

func besidePointOf(st *sheet.Standing) besidePoint {
	p := besidePoint{Key: pointKey(st.At), Load: st.At.Load(), Ohms: sheet.Ohms(st.At.Ohm), Compact: st.Compact()}
	if st.Total == nil {
		return p
	}
	p.Supply, p.Freq = st.SupplyText(), st.FreqText()
	_, after, _ := strings.Cut(st.Total.ValueText, ".")
	p.Places = len(after)
	if e := st.Efficiency(); e != nil {
		p.EfficiencyPct, p.EfficiencyU = rounded(e.X), rounded(e.U)
	}
	for _, r := range st.Ratios() {
		p.Ratios = append(p.Ratios, besideFact{capital(r.Name), r.Figure.Text})
	}
	return p
}

// pointKey names a point in an address.
func pointKey(at sheet.Point) string {
	key := quantity.Float(at.Ohm) + "-"
	if at.Bridged {
		key += "bridged-"
	}
	return key + at.Method.ID
}

func besideClaimOf(c *sheet.Claim) besideClaim {
	figure, of := measuredOf(c)
	out := besideClaim{
		ID: c.ID, Label: c.Label, Verdict: string(c.Verdict), Word: c.Word, Figure: figure, Of: of, Lacks: c.Lacks() != nil,
		Alt: charts.ClaimWords(c),
	}
	if _, _, drawn := charts.PlaceClaim(c, 0, 100); !drawn {
		return out
	}
	percent := func(watts float64) float64 { return rounded(100 * watts / c.ClaimW) }
	out.Limit = percent(c.LimitW)
	if c.Weakest == nil || c.Weakest.Mean == nil {
		return out
	}
	f := c.Weakest.Mean
	out.Mean, out.U, out.Value = percent(f.X), percent(f.U), f.ValueText+nbsp+f.Unit
	if c.BarHigh > c.BarLow {
		out.Bar = [2]float64{percent(c.BarLow), percent(c.BarHigh)}
	}
	out.Open = [2]bool{c.BarLowOpen, c.BarHighOpen}
	return out
}

// rounded is a number to the digits of published files; 0 where it is none.
func rounded(x float64) float64 {
	y, err := strconv.ParseFloat(quantity.Float(x), 64)
	if err != nil || math.IsInf(y, 0) || math.IsNaN(y) {
		return 0
	}
	return y
}
