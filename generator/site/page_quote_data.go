package site

import (
	"encoding/json"
	"html/template"
	"math"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A quoteData is what the script makes sentences of. {name}, {figure} and so on stand for
// what it fills in.
type quoteData struct {
	Run   string `json:"run"`   // the sentence of a run's figure
	Told  string `json:"told"`  // that of a run without one
	Chart string `json:"chart"` // that of a chart

	Name   string `json:"name"`
	Tester string `json:"tester"`
	Known  string `json:"known"` // the level of U; k follows
	Lacks  string `json:"lacks"` // in its place where there is no U
	Sheet  string `json:"sheet"`

	Once map[int][3]any `json:"once"` // columns of the first row that a run has once: what stands there, its unit, and where its k is

	At   string `json:"at"`             // the address that holds the runs
	Here string `json:"here"`           // that of the page, which has the charts
	Bare bool   `json:"bare,omitempty"` // no address is known to be written: the sheet stands in its place

	Runs map[string]quoteRun `json:"runs"`
}

// A quoteRun is what the sentence of a run's figure says beside it.
type quoteRun struct {
	Of   string   `json:"of"`             // its conditions; all there is to tell, where no figure can be quoted
	On   string   `json:"on,omitempty"`   // its day
	Load string   `json:"load,omitempty"` // of the whole run; empty where no figure can be quoted
	K    []string `json:"k,omitempty"`    // of efficiency and heat
}

// data is what the script makes the sentences of runs and charts of.
func (q quoter) data() template.HTML {
	by := " Measured by {tester}{on}; "
	if q.known {
		by += "{sheet}: "
	}
	d := quoteData{
		Run:   "{name}: {what}{figure} at {load}{channel} ({of}; {known}; run {run})." + by,
		Told:  "{name}: run {run} {of}." + by,
		Chart: "{name}: {title} (figure {figure})." + strings.Replace(by, "{on}", "", 1),
		Name:  sheet.Isolated(q.s.Name), Tester: q.tester, Known: knownTo, Lacks: notKnown, Sheet: q.number,
		Once: map[int][3]any{efficiencyColumn: {"efficiency ", "%", 0}, heatColumn: {"heat in the unit ", "W", 1}},
		At:   q.at, Here: q.here, Bare: !q.known, Runs: map[string]quoteRun{},
	}
	for _, r := range q.s.Runs {
		d.Runs[r.ID] = q.run(r)
	}
	text, err := json.Marshal(d)
	if err != nil {
		panic("site: the parts of sentences can't be written: " + err.Error()) // plain types only
	}
	return template.HTML(`<script type="application/json" class="quote-data">` + string(text) + "</script>\n")
}

// run is what the sentences of a run have in common.
func (q quoter) run(r *sheet.Run) quoteRun {
	out := quoteRun{Of: quotedConditions(r), On: onDays([]*sheet.Run{r})}
	switch {
	case !r.Valid:
		out.Of = "doesn't count: " + strings.TrimRight(r.Rec.Invalid, ". \n")
		return out
	case headFigure(r) == nil:
		out.Of = "has no power to quote (" + out.Of + ")"
		return out
	}
	if len(headFigure(r).Incomplete) > 0 {
		out.Of += ", uncertainty incomplete"
	}
	for _, f := range []*sheet.Figure{r.Efficiency, r.Heat} {
		if f == nil {
			out.K = append(out.K, "")
			continue
		}
		out.K = append(out.K, quantity.Fixed(f.K, 2))
	}
	out.Load = quotedLoads(r)
	return out
}

// headFigure is the figure that stands for a run: its power in all.
func headFigure(r *sheet.Run) *sheet.Figure {
	if r.Total != nil && len(r.Channels) > 1 {
		return r.Total
	}
	if len(r.Channels) == 0 {
		return nil
	}
	return r.Channels[0].Power
}

// quotedLoads are the nominal loads of a run's channels, each once.
func quotedLoads(r *sheet.Run) string {
	text := loadText(r.Channels[0])
	for _, c := range r.Channels[1:] {
		if math.Abs(c.Nominal-r.Nominal) > 0.01*r.Nominal {
			text += " and " + loadText(c)
		}
	}
	if len(r.Channels) > 1 {
		text += " a channel"
	}
	return text
}

// quotedConditions are a run's conditions, in words.
func quotedConditions(r *sheet.Run) string {
	var names, parts []string
	for _, c := range r.Channels {
		names = append(names, c.Name)
	}
	if r.Method != nil {
		parts = append(parts, r.Method.Title)
	}
	switch {
	case r.Bridged && len(names) == 1:
		parts = append(parts, "bridged pair "+names[0]+" driven")
	case r.Bridged:
		parts = append(parts, "bridged pairs "+strings.Join(names, ", ")+" driven")
	case len(names) == 1:
		parts = append(parts, "channel "+names[0]+" driven")
	case len(names) > 1:
		parts = append(parts, "channels "+strings.Join(names, ", ")+" driven")
	}
	if r.FreqHz > 0 {
		parts = append(parts, hertz(r.FreqHz))
	}
	if v := r.SupplyV; v != nil {
		parts = append(parts, "supply "+v.ValueText+nbsp+v.Unit)
	}
	if r.Rec.Outcome != "completed" {
		parts = append(parts, strings.ToLower(r.OutcomeText[:1])+r.OutcomeText[1:])
	}
	return strings.Join(parts, ", ")
}

func hertz(f float64) string {
	if f >= 1000 {
		return quantity.Float(f/1000) + nbsp + "kHz"
	}
	return quantity.Float(f) + nbsp + "Hz"
}
