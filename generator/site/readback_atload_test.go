package site

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/net/html"
)

// A fileAtLoad is a load and what is said of it in sheet.json.
type fileAtLoad struct {
	Ohm     json.Number
	Bridged bool
	Results []struct {
		Estimate bool
		Channels []struct {
			Channel string
			Power   *fileFigure
		}
		Total, Heat *fileFigure
		SupplyA     *fileFigure `json:"supply_a"`
		Expected    *struct {
			SupplyA json.Number `json:"supply_a"`
			HeatW   json.Number `json:"heat_w"`
		}
		FuseA json.Number `json:"fuse_a"`
		Leads []struct {
			AreaMM2 json.Number `json:"area_mm2"`
			AWG     string
			DropV   json.Number `json:"drop_v"`
		}
	}
}

// readAtLoads compares the tables of "at my load", row by row, in the file's order.
func (r *readback) readAtLoads(page *html.Node) {
	const place = "at loads"
	var rows [][]*html.Node
	var head []string
	for _, table := range queryAll(page, "table.at-results") {
		g := gridOf(table)
		rows, head = g.rows, g.head
	}
	leads := map[string]bool{}
	for _, table := range queryAll(page, "table.at-leads") {
		for _, row := range gridOf(table).rows {
			var cells []string
			for _, c := range row[1:] {
				cells = append(cells, figureText(c))
			}
			leads[strings.Join(cells, "|")] = true
		}
	}
	at, seen := 0, map[string]bool{}
	for _, a := range r.sheet.AtLoads {
		for i, result := range a.Results {
			if at >= len(rows) {
				r.complain("%s: there are only %d rows", place, len(rows))
				return
			}
			row := rows[at]
			at++
			what := fmt.Sprintf("%s Ω, result %d, ", a.Ohm, i+1)
			cell := func(name string) string { return figureText(row[slices.Index(head, name)]) }
			r.valueAndU(place, what+"power", row[slices.Index(head, "Power / W"):], result.Total)
			if (cell("Measured in") == "estimate") != result.Estimate {
				r.complain("%s: %sis an estimate on one side only", place, what)
			}
			amps, heat := json.Number(""), json.Number("")
			if result.Expected != nil {
				amps, heat = result.Expected.SupplyA, result.Expected.HeatW
			}
			r.expectation(place, what+"current", cell("Supply / A"), result.SupplyA, amps)
			r.expectation(place, what+"heat", cell("Heat / W"), result.Heat, heat)
			if fuse := cell("Fuse"); fuse != "none" && strings.TrimSuffix(fuse, " A") != string(result.FuseA) {
				r.complain("%s: %sa fuse of %q, sheet.json gives %s", place, what, fuse, result.FuseA)
			}
			if c := slices.Index(head, "A channel, at least / W"); c >= 0 && len(result.Channels) > 1 {
				least := slices.MinFunc(result.Channels, func(a, b struct {
					Channel string
					Power   *fileFigure
				}) int {
					return ratOf(a.Power.Value).Cmp(ratOf(b.Power.Value))
				})
				value, u := least.Power.printed()
				r.same(place, what+"the weakest channel", figureText(row[c]), oneBlank(least.Channel+" "+value))
				r.same(place, what+"its U", figureText(row[c+1]), u)
			}
			if len(result.Leads) > 0 {
				var cells []string
				for _, l := range result.Leads {
					cells = append(cells, leadPrinted(l.AreaMM2, l.AWG, l.DropV))
				}
				seen[strings.Join(cells, "|")] = true
			}
		}
	}
	if at != len(rows) {
		r.complain("%s: there are %d rows, sheet.json has %d results", place, len(rows), at)
	}
	r.count[place] += len(seen)
	for row := range leads {
		if !seen[row] {
			r.complain("%s: sheet.json has no leads %q", place, row)
		}
		delete(seen, row)
	}
	for row := range seen {
		r.complain("%s: the page lacks the leads %q", place, row)
	}
}

// leadPrinted is how a page has to print a lead.
func leadPrinted(area json.Number, gauge string, drop json.Number) string {
	var sizes []string
	if area != "" {
		sizes = append(sizes, string(area)+" mm²")
	}
	if gauge != "" {
		sizes = append(sizes, "AWG "+gauge)
	}
	if sizes == nil {
		return "no single one"
	}
	return strings.Join(sizes, " or ") + ", " + ratOf(drop).FloatString(2) + " V lost"
}

// valueAndU compares two cells that follow each other.
func (r *readback) valueAndU(place, what string, cells []*html.Node, f *fileFigure) {
	value, u := "", ""
	if f != nil {
		value, u = f.printed()
	}
	r.same(place, what, figureText(cells[0]), value)
	r.same(place, what+", U", figureText(cells[1]), u)
}

// expectation compares a measured figure with its U, or an expectation.
func (r *readback) expectation(place, what, text string, f *fileFigure, expected json.Number) {
	switch {
	case f != nil:
		value, u := f.printed()
		r.same(place, what, text, value+" ± "+u)
	case expected != "":
		about, is := strings.CutPrefix(text, "about ")
		if !is {
			r.complain("%s: %s is expected, and not said to be: %q", place, what, text)
		}
		r.count[place]++
		r.rounds(place, what, about, floatOf(expected), 2)
	default:
		r.same(place, what, text, "")
	}
}
