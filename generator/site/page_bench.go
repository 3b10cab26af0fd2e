package site

import (
	"html/template"
	"strings"

	"wattsheet/generator/record"
)

// An instrumentText is one instrument as the methodology page prints it.
type instrumentText struct {
	ID     string        // its id in bench.toml
	Name   string        // what it is
	Facts  factList      // what bench.toml says of it
	Ranges template.HTML // the table of its ranges and their accuracy
}

func instrumentTextOf(i *record.Instrument) instrumentText {
	t := instrumentText{ID: i.ID, Name: capital(i.Name), Ranges: rangeTable(i)}
	calibrated := fact{Name: "Calibrated", Day: dayOf(i.Calibrated.Text)}
	due := fact{Name: "Calibration holds until", Day: dayOf(i.Due.Text)}
	if calibrated.Day.Text == "" {
		calibrated.Text = uncalibrated
	}
	rough := fact{Name: "Specification"}
	if i.Rough {
		rough.Text = roughly
	}
	t.Facts = facts(calibrated, due, rough,
		fact{Name: "Bandwidth", Text: with(i.BandwidthHz, "Hz")},
		fact{Name: "Crest factor up to", Text: figureOf(i.CrestFactor)},
		fact{Name: "Shortest burst", Text: with(i.ShortestBurstMS, "ms")},
		fact{Name: "Distortion relative to", Text: distortionOf(i)},
	)
	return t
}

// distortionOf says what an analyser's distortion is relative to; "" for other
// instruments.
func distortionOf(i *record.Instrument) string {
	for _, r := range i.Ranges {
		if r.Reads == "thdn_pct" {
			return map[string]string{"fundamental": "the fundamental", "total": "the whole signal"}[i.DistortionOf]
		}
	}
	return ""
}

// readUnits are the units of what is read, by the keys of readings.
var readUnits = map[string]string{
	"power_w": "W", "out_v": "V", "thdn_pct": "%", "supply_v": "V", "supply_a": "A", "supply_w": "W", "load_c": "°C",
}

// rangeTable is an instrument's specification. The last column stands only where
// there is more than a specification.
func rangeTable(i *record.Instrument) template.HTML {
	t := table{Caption: "Specification of " + i.Name, Class: "small",
		Head: []column{{Text: "Reads"}, {Text: "Range up to"}, {Text: "Specification, half-width"}, {Text: "Percent of reading is"}}}
	more := false
	for n := range i.Ranges {
		more = more || besides(&i.Ranges[n]) != ""
	}
	if more {
		t.Head = append(t.Head, column{Text: "Besides"})
	}
	var rows []row
	for n := range i.Ranges {
		r := &i.Ranges[n]
		unit := readUnits[r.Reads]
		shared := "not known to be common"
		if r.GainCommon {
			shared = "one error, common to all readings"
		}
		if figureOf(r.ReadingPct) == "" {
			shared = "–"
		}
		cells := []cell{
			{Text: readNames[r.Reads], Column: 0, Head: "row"}, {Text: with(r.To, unit), Column: 1},
			{Text: specification(r, unit), Column: 2}, {Text: shared, Column: 3},
		}
		if more {
			cells = append(cells, cell{Text: dash(besides(r)), Column: 4})
		}
		rows = append(rows, row{Cells: cells})
	}
	t.Groups = [][]row{rows}
	return t.html()
}

// specification writes a range's accuracy: ±(0.5 % of reading + 3 digits of 0.01 V).
func specification(r *record.Range, unit string) string {
	var parts []string
	if figureOf(r.ReadingPct) != "" {
		parts = append(parts, with(r.ReadingPct, "%")+" of reading")
	}
	if figureOf(r.RangePct) != "" {
		parts = append(parts, with(r.RangePct, "%")+" of range")
	}
	if figureOf(r.Digits) != "" {
		digits := " digits of "
		if r.Digits.Value == 1 {
			digits = " digit of "
		}
		parts = append(parts, figureOf(r.Digits)+digits+with(r.Resolution, unit))
	}
	if figureOf(r.Constant) != "" {
		parts = append(parts, with(r.Constant, unit))
	}
	if len(parts) == 0 {
		return "not stated"
	}
	return "±(" + strings.Join(parts, " + ") + ")" + shapeOf(r)
}

// shapeOf says how errors lie within a specification, where that isn't a
// rectangle.
func shapeOf(r *record.Range) string {
	switch r.Shape {
	case "triangular":
		return ", triangular"
	case "u-shaped":
		return ", U-shaped"
	case "normal":
		text := ": no half-width but expanded, k" + nbsp + "=" + nbsp + figureOf(r.K)
		if dof := figureOf(r.DoF); dof != "" {
			text += ", " + dof + " degrees of freedom"
		}
		return text
	}
	return ""
}

// besides says what a range has beside its specification: a correction, a drift,
// an influence of temperature; "" where it has none.
func besides(r *record.Range) string {
	var texts []string
	unit := readUnits[r.Reads]
	sum := func(pct, constant record.Number) string {
		return strings.Join(nonEmpty(with(pct, "% of reading"), with(constant, unit)), " + ")
	}
	if r.Corrects() {
		texts = append(texts, "corrected by "+sum(r.CorrectionPct, r.Correction)+
			" with an expanded uncertainty of "+sum(r.CorrectionPMPct, r.CorrectionPM)+", k"+nbsp+"="+nbsp+figureOf(r.CorrectionK)+", one error in all readings")
	}
	if r.DriftPctYear.Value > 0 {
		texts = append(texts, "drift of ±"+with(r.DriftPctYear, "% of reading a year"))
	}
	if r.TempcoPctK.Value > 0 {
		texts = append(texts, "±"+with(r.TempcoPctK, "% of reading for each kelvin of the air outside ")+figureOf(r.FromC)+" to "+with(r.ToC, "°C"))
	}
	return strings.Join(texts, "; ")
}

// loadTable is what is known of the loads; empty when there are none.
func loadTable(loads []record.Load) template.HTML {
	if len(loads) == 0 {
		return ""
	}
	t := table{Caption: "Load elements and their leads", Class: "small", Head: []column{
		{Text: "Load"}, {Text: "Nominal / Ω", Numeric: true}, {Text: "Measured / Ω", Numeric: true}, {Text: "± / %", Numeric: true},
		{Text: "at / °C", Numeric: true}, {Text: "Drift / ppm a kelvin"}, {Text: "In use / °C"}, {Text: "Lead / Ω", Numeric: true}, {Text: "Measured together"}, {Text: "Takes / W", Numeric: true},
	}}
	var rows []row
	for i := range loads {
		rows = append(rows, loadRow(&loads[i]))
	}
	t.Groups = [][]row{rows}
	return t.html()
}

func loadRow(l *record.Load) row {
	texts := []string{
		loadName(l), figureOf(l.NominalOhm), figureOf(l.Ohm), figureOf(l.OhmPct), figureOf(l.AtC),
		withHalf(l.TempcoPPM, l.TempcoPMPPM), withHalf(l.HotC, l.HotPMC), figureOf(l.LeadOhm), l.Calibration, figureOf(l.MaxW),
	}
	r := row{ID: "load-" + l.ID}
	for i, text := range texts {
		c := cell{Text: dash(text), Column: i}
		if i == 0 {
			c.Head = "row"
		}
		if i == 0 && l.Rough {
			c.Note = roughly
		}
		if i == 3 && l.OhmK.Given() {
			c.Note = "expanded, k" + nbsp + "=" + nbsp + figureOf(l.OhmK)
		}
		r.Cells = append(r.Cells, c)
	}
	return r
}

// withHalf writes a number with its half-width.
func withHalf(n, half record.Number) string {
	text := figureOf(n)
	if h := figureOf(half); text != "" && h != "" {
		return text + nbsp + "±" + nbsp + h
	}
	return text
}

func dash(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

// A supplyText is a supply as the methodology page prints it.
type supplyText struct {
	Name  string   // what it is
	Facts factList // what bench.toml says of it
}

func supplyTextOf(s *record.Supply) supplyText {
	return supplyText{Name: capital(s.Name), Facts: facts(
		fact{Name: "Set to", Text: with(s.Volts, "V")}, fact{Name: "Gives up to", Text: with(s.Amps, "A")},
		fact{Name: "Leads to the unit", Text: s.Leads},
	)}
}
