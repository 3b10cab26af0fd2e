package site

import (
	"html/template"

	"wattsheet/charts"
	"wattsheet/generator/formula"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// The columns of the table of stated figures.
const (
	specColumn = iota
	specVerdictColumn
	specMeasuredColumn
	specStatedColumn
	specChanceColumn
	specHowColumn
)

// specTable lists the maker's other figures with what was measured; empty where
// the record has none.
func specTable(specs []*sheet.Spec, methodology string, w watching) template.HTML {
	if len(specs) == 0 {
		return ""
	}
	t := table{Caption: "Figures that the maker states beside power, and what was measured", Class: "small specs", Head: []column{
		{Text: "What"}, {Text: "Verdict", Href: methodology + "#spec-rule"}, {Text: "Measured ± U", Href: methodology + "#uncertainty"},
		{Text: "Stated"}, {Text: "p", Href: methodology + "#formula-" + formula.SpecChance}, {Text: "How it was measured"},
	}}
	rows := make([]row, 0, len(specs))
	for _, s := range specs {
		rows = append(rows, specRow(s, methodology, w))
	}
	t.Groups = [][]row{rows}
	return t.html()
}

func specRow(s *sheet.Spec, methodology string, w watching) row {
	measured := cell{Text: "–", Column: specMeasuredColumn}
	chance := cell{Text: "–", Column: specChanceColumn}
	if s.Measured != nil {
		measured = cell{Text: s.Measured.Text, Href: formulaHref(methodology, s.Measured), Column: specMeasuredColumn, Class: "strong figure-cell"}
		chance = cell{Text: s.PText, Href: methodology + "#formula-" + formula.SpecChance, Column: specChanceColumn, Class: "figure-cell"}
		if s.Coarse {
			chance.Note = "too coarse for these limits"
		}
	}
	how := cell{Text: dash(s.Rec.How), Note: s.Rec.Remarks, Column: specHowColumn}
	if s.Captured != nil {
		if s.Rec.How == "" {
			how.Text = "from a recording"
		}
		how.Notes = []link{{capturesName + "/index.html#spec-" + s.ID, "capture"}}
	}
	limits := join("; ", "limits: "+s.Limits, printedIn(s.Rec.PrintedIn))
	return row{ID: "spec-" + s.ID, Cells: []cell{
		{Text: s.Rec.Name, Seen: w.seen(s.Rec.Video, s.Rec.Name, ""), Column: specColumn, Head: "row"},
		{Markup: verdictMarkup(s.Verdict, s.Word), Column: specVerdictColumn},
		measured, {Text: s.Stated, Note: limits, Column: specStatedColumn}, chance,
		how,
	}}
}

func printedIn(where string) string {
	if where == "" {
		return ""
	}
	return "printed in " + where
}

// classOf is the class of a verdict's colour: a missed figure has that of a claim
// that falls short.
func classOf(w verdict.Word) string {
	if w == verdict.Missed {
		w = verdict.Short
	}
	return string(w)
}

// markOf is the shape of a verdict: the same for a missed figure and a claim that
// falls short.
func markOf(w verdict.Word) template.HTML {
	return template.HTML(charts.Mark(verdict.Word(classOf(w))))
}

// verdictMarkup is a verdict within a table: its shape and its word.
func verdictMarkup(w verdict.Word, word string) template.HTML {
	return template.HTML(`<span class="verdict `+classOf(w)+`">`) + markOf(w) + template.HTML(" <span>"+escape(word)+"</span></span>")
}

// A functionRow is a check that has no number.
type functionRow struct {
	Name    string        // what was tried: the clip lamp
	Word    string        // the result: works
	How     string        // how it was tried
	Mark    template.HTML // the shape of the result, drawn
	Remarks []string      // further remarks, a paragraph each
	Seen    template.HTML // leads to where it is seen in a video; empty where it isn't marked
}

// results say what came out of a check, and with which shape.
var results = map[string]struct{ word, shape string }{
	"works":     {"Works", `<path d="M2.5 8.5l3.6 3.8 7.4-8.6"/>`},
	"partly":    {"Works in part", `<circle cx="8" cy="8" r="5.4"/><path fill="currentColor" d="M8 2.6a5.4 5.4 0 0 1 0 10.8z"/>`},
	"fails":     {"Fails", `<path d="M3.2 3.2l9.6 9.6M12.8 3.2l-9.6 9.6"/>`},
	"not-tried": {"Not tried", `<path d="M4 8h8"/>`},
}

// functionRows are the checks of a record.
func functionRows(functions []record.Function, w watching) []functionRow {
	rows := make([]functionRow, 0, len(functions))
	for i, f := range functions {
		r := results[f.Result]
		rows = append(rows, functionRow{
			Name: f.Name, Word: r.word, How: f.How, Remarks: paragraphs(f.Remarks),
			Seen: w.seen(f.Video, f.Name, functionID(i)),
			Mark: template.HTML(`<svg class="mark" viewBox="0 0 16 16" width="16" height="16" aria-hidden="true" fill="none" stroke="currentColor" stroke-width="2.4">` + r.shape + `</svg>`),
		})
	}
	return rows
}

// The columns of the table of temperatures.
const (
	spotColumn = iota
	minuteColumn
	temperatureColumn
	temperatureUColumn
	riseColumn
	riseUColumn
	ambientColumn
	emissivityColumn
	afterColumn
)

// thermalTable lists the temperatures of a unit; empty where there are none.
func thermalTable(thermals []*sheet.Thermal, methodology string, w watching) template.HTML {
	if len(thermals) == 0 {
		return ""
	}
	expanded := methodology + "#formula-" + formula.Expanded
	t := table{Caption: "Temperatures of the unit", Class: "thermals", Head: []column{
		{Text: "Spot"}, {Text: "After / min", Numeric: true}, {Text: "Temperature / °C", Numeric: true}, {Text: "U / °C", Numeric: true, Href: expanded},
		{Text: "Above the air / K", Numeric: true}, {Text: "U / K", Numeric: true, Href: expanded},
		{Text: "Air / °C", Numeric: true}, {Text: "Emissivity set", Numeric: true}, {Text: "Load before, and how it was read"},
	}}
	for i, th := range thermals {
		t.Groups = append(t.Groups, thermalRows(th, i+1, methodology, w))
	}
	return t.html()
}

// thermalRows are the rows of one spot, the n-th.
func thermalRows(th *sheet.Thermal, n int, methodology string, w watching) []row {
	rows := make([]row, 0, len(th.Points))
	span := len(th.Points)
	for i, p := range th.Points {
		line := row{}
		if i == 0 {
			line.ID = "thermal-" + itoa(n)
			line.Cells = append(line.Cells, cell{Text: th.Rec.Spot, Seen: w.seen(th.Rec.Video, th.Rec.Spot, ""), Column: spotColumn, Head: "rowgroup", Span: span})
		}
		minute := cell{Text: "–", Column: minuteColumn}
		if i < len(th.Rec.AtMin.Items) {
			minute.Text = figureOf(th.Rec.AtMin.Items[i])
			if minute.Text == "" {
				minute.Text = "0"
			}
		}
		line.Cells = append(line.Cells, minute)
		line.Cells = append(line.Cells, valueAndU(p.TempC, temperatureColumn, methodology)...)
		line.Cells = append(line.Cells, valueAndU(p.Rise, riseColumn, methodology)...)
		if i == 0 {
			line.Cells = append(line.Cells, thermalConditions(th, span)...)
		}
		rows = append(rows, line)
	}
	return rows
}

// thermalConditions are the cells that a series has once.
func thermalConditions(th *sheet.Thermal, span int) []cell {
	emissivity := dash(figureOf(th.Rec.Emissivity))
	after := cell{Text: dash(th.Rec.How), Column: afterColumn, Span: span, Class: "reason"}
	if th.After != nil {
		after.Text = "run " + th.After.ID
		after.Href, after.Note = "#run-"+th.After.ID, th.Rec.How
	}
	return []cell{
		{Text: dash(figureOf(th.Rec.AmbientC)), Column: ambientColumn, Span: span},
		{Text: emissivity, Column: emissivityColumn, Span: span}, after,
	}
}

// valueAndU are a figure's value and its expanded uncertainty, in two columns.
func valueAndU(f *sheet.Figure, column int, methodology string) []cell {
	if f == nil {
		return []cell{{Text: "–", Column: column}, {Text: "–", Column: column + 1}}
	}
	return []cell{
		{Text: f.ValueText, Href: formulaHref(methodology, f), Column: column, Class: "strong"},
		{Text: dash(f.UText), Column: column + 1},
	}
}

// ratioFacts are a unit's power by its price, volume and mass.
func ratioFacts(ratios []sheet.Ratio, methodology string) factList {
	out := make(factList, 0, len(ratios))
	for _, r := range ratios {
		out = append(out, fact{Name: capital(r.Name), Text: r.Figure.Text, Href: formulaHref(methodology, r.Figure), Note: r.Of})
	}
	return out
}

// A shopRow is a place where the unit can be had.
type shopRow struct {
	Link  link   // the shop
	Rel   string // how the link is marked for search engines: sponsored, nofollow
	Price string // the price there, with its currency; empty where not known
	Date  day    // when the price was seen
	Earns bool   // the link earns the tester money: say so beside it
}

// shopRows are the shops of a record. A link that earns says so to readers and
// to machines.
func shopRows(shops []record.Shop, currency string) []shopRow {
	rows := make([]shopRow, 0, len(shops))
	for _, s := range shops {
		r := shopRow{Link: link{s.Link, s.Name}, Rel: "nofollow noopener", Price: with(s.Price, currency), Date: dayOf(s.Date.Text), Earns: s.Earns}
		if s.Earns {
			r.Rel = "sponsored noopener"
		}
		rows = append(rows, r)
	}
	return rows
}

// An opinionGroup is the opinions of one kind.
type opinionGroup struct {
	Title string          // what kind: Liked
	Texts [][]string      // each a list of paragraphs
	Seen  []template.HTML // for each of them, leads to where it is said in a video; empty where it isn't marked
}

// opinionTitles are the kinds of opinions.
var opinionTitles = map[string]string{"like": "Liked", "dislike": "Disliked", "listening": "Heard while listening"}

// opinionGroups sort the opinions of a record by their kind.
func opinionGroups(opinions []record.Opinion, w watching) []opinionGroup {
	var groups []opinionGroup
	for _, kind := range []string{"like", "dislike", "listening"} {
		g := opinionGroup{Title: opinionTitles[kind]}
		for i, o := range opinions {
			if o.Kind == kind {
				g.Texts = append(g.Texts, paragraphs(o.Text))
				g.Seen = append(g.Seen, w.seen(o.Video, opinionTitles[kind]+", an opinion", opinionID(i)))
			}
		}
		if len(g.Texts) > 0 {
			groups = append(groups, g)
		}
	}
	return groups
}

// featureFacts are what a unit has, as its maker states it.
func featureFacts(features []record.Feature) []fact {
	out := make([]fact, 0, len(features))
	for _, f := range features {
		out = append(out, fact{Name: f.Name, Note: f.Note})
	}
	return out
}
