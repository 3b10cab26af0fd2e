package site

import (
	"html/template"
	"math"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A budgetText is one figure's uncertainty, worked through.
type budgetText struct {
	Unit    link          // the sheet
	Run     link          // the run in it
	Channel string        // the channel's name: A
	Method  string        // the method's title
	Figure  string        // the figure: (109.4 ± 1.9) W
	Formula link          // its formula
	Lines   template.HTML // the table of components
	Std     string        // u
	DoF     string        // ν
	K       string        // the coverage factor k
	U       string        // the expanded uncertainty, with its unit
	Lacks   []string      // what the uncertainty lacks, in words
}

// budget works through the first completed run that decides a claim of a sheet, in
// the order of claims and channels; nil when there is none.
func (b *binder) budget(s *sheet.Sheet, methodology string) *budgetText {
	if s == nil {
		return nil
	}
	if r, ch := decidingRun(s); ch != nil {
		return budgetOf(s, r, ch, methodology)
	}
	return nil
}

// decidingRun is the first completed run of a sheet that decides a claim, and the
// channel by which it does; nil when there is none with a budget.
func decidingRun(s *sheet.Sheet) (*sheet.Run, *sheet.Channel) {
	for _, c := range s.Claims {
		if c.Weakest == nil || len(c.Weakest.Runs) == 0 {
			continue
		}
		r := runOf(s, c.Weakest.Runs[0])
		if r == nil || !r.Completed {
			continue
		}
		for _, ch := range r.Channels {
			if ch.Name == c.Weakest.Name && ch.Power != nil && len(ch.Power.Lines) > 0 {
				return r, ch
			}
		}
	}
	return nil, nil
}

func budgetOf(s *sheet.Sheet, r *sheet.Run, ch *sheet.Channel, methodology string) *budgetText {
	page := "../units/" + s.Slug + "/index.html"
	f := ch.Power
	t := &budgetText{
		Unit: link{page, s.Name}, Run: link{page + "#run-" + r.ID, r.ID}, Channel: ch.Name, Method: r.Rec.Method.ID,
		Figure: f.Text, Lines: budgetTable(f, methodology),
		Std: quantity.Significant(f.Std, 3), DoF: freedom(f.DoF), K: quantity.Fixed(f.K, 2), U: f.UText, Lacks: f.Incomplete,
	}
	if r.Method != nil {
		t.Method = r.Method.Title
	}
	if entry, ok := formula.ByID(f.Formula); ok {
		t.Formula = link{"#formula-" + entry.ID, entry.Expression}
	}
	return t
}

// sharings say how a component was taken within its group.
var sharings = map[quantity.Sharing]string{
	quantity.Own:         "its own",
	quantity.Independent: "not known; independent gives the larger u",
	quantity.Common:      "not known; common gives the larger u",
}

// budgetTable lists the components of a figure's uncertainty.
func budgetTable(f *sheet.Figure, methodology string) template.HTML {
	t := table{Caption: "Components of the uncertainty", Class: "small", Head: []column{
		{Text: "Source"}, {Text: "Contribution / " + f.Unit, Numeric: true}, {Text: "Shared with others of its kind"}, {Text: "Degrees of freedom", Numeric: true},
	}}
	var rows []row
	for _, l := range f.Lines {
		rows = append(rows, row{Cells: []cell{
			{Text: l.Source.Name, Column: 0, Head: "row"}, {Text: quantity.Significant(l.C, 2), Column: 1},
			{Text: sharings[l.Sharing], Column: 2}, {Text: freedom(l.Source.DoF), Column: 3},
		}})
	}
	t.Groups = [][]row{rows}
	return t.html()
}

// freedom writes degrees of freedom.
func freedom(dof float64) string {
	if math.IsInf(dof, 1) || dof == 0 {
		return "∞"
	}
	return quantity.Significant(dof, 3)
}
