package site

import (
	"html/template"
	"path"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A capturesPage shows the recorded waveforms that a unit's runs were read from.
type capturesPage struct {
	head
	Name     string        // the unit: Mossfettle Brackenjar 100
	Unit     link          // the unit's page
	Captures []capturePart // in the record's order
}

// A capturePart is one capture, and what was read from it.
type capturePart struct {
	ID      string        // its id in the record
	Facts   factList      // the file, how it was recorded, its digest
	Columns template.HTML // the table of its columns and their scales
	Remarks []string      // a paragraph each
	Runs    []captureRun  // that were read from it
	Specs   []captureSpec // stated figures that were read from it
	File    *captureLink  // the whole file; nil where it isn't published whole
	Kept    string        // why there is no file to download, in a sentence; empty where there is one
}

// A captureRun is what one run was read from, and what that gave.
type captureRun struct {
	ID        string          // the run's id
	Run       link            // its row on the unit's page
	About     string          // which part was read, and as what, in a sentence
	Invalid   string          // why the run doesn't count, in a sentence; empty where it counts
	Figures   factList        // what came of it, with uncertainties
	Disagrees []string        // typed readings that disagree, a sentence each
	Agrees    string          // that typed readings agree, in a sentence; empty without any
	Charts    []template.HTML // waves, spectrum and curves
	Bursts    template.HTML   // the table of bursts; empty without any
	Excerpt   *captureLink    // nil where none is published
}

// A captureLink is a file to download.
type captureLink struct {
	Href   string // its address
	Text   string // what it has: Excerpt, 2 s to 3 s
	About  string // its kind, size and columns
	Digest string // the SHA-256 of its bytes, as hexadecimal digits
}

func hasCaptures(s *sheet.Sheet) bool {
	for _, c := range s.Captures {
		for _, r := range c.Runs {
			if r.Captured != nil {
				return true
			}
		}
		if len(specsOf(s, c)) > 0 {
			return true
		}
	}
	return false
}

// captures makes the page of a unit's captures with its files; nothing without any.
func (b *binder) captures(s *sheet.Sheet) ([]Output, record.Problems, error) {
	if !hasCaptures(s) {
		return nil, nil, nil
	}
	folder := unitsFolder + "/" + s.Slug + "/" + capturesName + "/"
	page := capturesPage{
		head: b.head(folder, "Captures of "+sheet.Isolated(s.Name)+" · "+b.site.Content.Site.Title, "The recorded waveforms behind the figures of "+sheet.Isolated(s.Name)+": waves, spectra, distortion over power, and files of samples."),
		Name: s.Name, Unit: link{"../index.html", s.Name},
	}
	page.Preview = b.unitPreview(page.Title, s)
	page.Sheet, page.Tested = s.Number, dayOf(s.Tested)
	b.uses(&page.head, "captures.css", "")
	drawn := drawnCaptures(s)
	swept := map[*sheet.Capture]map[*sheet.Spec]*charts.Chart{}
	var all []*charts.Chart
	for _, c := range s.Captures {
		for _, r := range c.Runs {
			all = append(all, drawn[r]...)
		}
		specs := specsOf(s, c)
		swept[c] = charts.OfResponse(specs)
		for _, sp := range specs {
			if chart := swept[c][sp]; chart != nil {
				all = append(all, chart)
			}
		}
	}
	data, address := chartsData(folder, all)
	if len(all) > 0 {
		b.live(&page.head)
	}
	files, number := captureFiles(s), 0
	for _, c := range s.Captures {
		part := b.capturePart(s, c, files)
		for i := range part.Runs {
			for _, chart := range drawn[c.Runs[i]] {
				number++
				part.Runs[i].Charts = append(part.Runs[i].Charts, figureOfChart(chart, number, "h4", address, false))
			}
		}
		for i, sp := range specsOf(s, c) {
			if chart := swept[c][sp]; chart != nil {
				number++
				part.Specs[i].Chart = figureOfChart(chart, number, "h4", address, false)
			}
		}
		page.Captures = append(page.Captures, part)
	}
	out, problems := b.render("captures", folder, page)
	outputs, err := b.captureOutputs(s)
	outputs = append([]Output{out}, outputs...)
	if len(all) > 0 {
		outputs = append(outputs, data)
	}
	return outputs, problems, err
}

func drawnCaptures(s *sheet.Sheet) map[*sheet.Run][]*charts.Chart {
	out := map[*sheet.Run][]*charts.Chart{}
	for _, c := range s.Captures {
		for _, r := range c.Runs {
			out[r] = charts.OfCapture(r)
		}
	}
	return out
}

func (b *binder) capturePart(s *sheet.Sheet, c *sheet.Capture, files []captureFile) capturePart {
	part := capturePart{ID: c.ID, Remarks: paragraphs(c.Rec.Remarks), Columns: scaleTable(c.Rec)}
	recorder := ""
	if i := b.site.Content.Bench.Instrument(c.Rec.Recorder.ID); i != nil {
		recorder = capital(i.Name)
	}
	sum := c.Digest
	if c.Rec.Publish == "whole" {
		sum = "" // it stands at the file
	}
	part.Facts = facts(
		fact{Name: "Recorded by", Text: recorder, Href: ifText(recorder, b.methodologyFrom(capturesDepth)+"#instrument-"+c.Rec.Recorder.ID)},
		fact{Name: "Samples a second", Text: thousandsOf(c.RateHz)},
		fact{Name: "Sampling rate known to", Text: with(c.Rec.ClockPct, "%")},
		fact{Name: "Length", Text: quantity.Significant(c.Seconds, 4) + nbsp + "s"},
		fact{Name: "File", Text: c.Rec.File},
		fact{Name: "SHA-256 of the file", Text: sum},
	)
	kept := true
	for _, r := range c.Runs {
		part.Runs = append(part.Runs, b.captureRun(r))
		run := &part.Runs[len(part.Runs)-1]
		for _, f := range files {
			if f.Capture == c.ID && f.Run == r.ID {
				run.Excerpt, kept = excerptLink(f, r), false
			}
		}
	}
	for _, sp := range specsOf(s, c) {
		part.Specs = append(part.Specs, b.captureSpec(sp))
	}
	for _, f := range files {
		if f.Capture == c.ID && f.Run == "" {
			part.File, kept = &captureLink{c.ID + "/" + c.Rec.File, "The whole capture", fileKind(f), string(f.Digest)}, false
		}
	}
	if kept {
		part.Kept = "The samples are not published; the digest above tells the file that the tester keeps."
	}
	return part
}

const capturesDepth = "../../../"

func (b *binder) methodologyFrom(root string) string { return root + methodologyName + "/index.html" }

// ifText is an address where there is a text for it.
func ifText(text, href string) string {
	if text == "" {
		return ""
	}
	return href
}

// thousandsOf writes a rate: whole numbers by thousands.
func thousandsOf(x float64) string {
	if x == float64(int(x)) {
		return thousands(int(x))
	}
	return quantity.Float(x)
}

func excerptLink(f captureFile, r *sheet.Run) *captureLink {
	t := r.Captured.Taken.Trace
	seconds := func(s float64) string { return quantity.Fixed(s, 3) }
	var columns []string
	for _, n := range t.Excerpt.Columns {
		columns = append(columns, itoa(n))
	}
	word := "column "
	if len(columns) > 1 {
		word = "columns "
	}
	return &captureLink{
		Href: strings.TrimPrefix(f.Path, capturesName+"/"), Text: "Excerpt, " + seconds(t.AroundFromS) + " to " + seconds(t.AroundToS) + nbsp + "s",
		About: fileKind(f) + ", " + word + and(columns) + " as recorded", Digest: string(f.Digest),
	}
}

// fileKind says what a file is and how large.
func fileKind(f captureFile) string {
	size := quantity.Significant(float64(f.Size)/1e6, 2) + nbsp + "MB"
	if f.Size < 1e6 {
		size = itoa((f.Size+999)/1000) + nbsp + "kB"
	}
	return strings.ToUpper(strings.TrimPrefix(path.Ext(f.Path), ".")) + ", " + size
}

// scaleTable is what the columns of a capture stand for.
func scaleTable(c *record.Capture) template.HTML {
	t := table{Caption: "Columns of capture " + c.ID, Class: "small", Head: []column{
		{Text: "Column", Numeric: true}, {Text: "Holds"}, {Text: "A sample of 1 is"}, {Text: "Known to, half-width"}, {Text: "A sample of 0 is"},
	}}
	for i := range c.Channels {
		ch := &c.Channels[i]
		unit, holds := "V", map[string]string{"out": "output", "supply_v": "supply voltage", "supply_a": "supply current", "in": "input"}[ch.Role]
		if ch.Role == "supply_a" {
			unit = "A"
		}
		if ch.Of != "" {
			holds += ", channel " + ch.Of
		}
		known := with(ch.ScalePct, "%")
		if ch.ScaleK.Given() {
			known += " (k" + nbsp + "=" + nbsp + figureOf(ch.ScaleK) + ")"
		}
		if ch.ScaleBy != "" {
			known += ", by " + ch.ScaleBy
		}
		zero := "0" + nbsp + unit
		if ch.Offset.Given() {
			zero = with(ch.Offset, unit)
		}
		if ch.OffsetPM.Given() {
			zero += nbsp + "±" + nbsp + figureOf(ch.OffsetPM) + nbsp + unit
		}
		t.Groups = append(t.Groups, []row{{Cells: []cell{
			{Text: figureOf(ch.Column), Column: 0}, {Text: holds, Column: 1}, {Text: with(ch.Scale, unit), Column: 2}, {Text: known, Column: 3}, {Text: zero, Column: 4},
		}}})
	}
	return t.html()
}
