package site

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/sheet"
)

// A badgeRow is a small drawing that another site may show, with what to copy.
type badgeRow struct {
	Path          string // below the unit's folder
	Width, Height string // in pixels; empty where the drawing doesn't say
	Says          string // its text for those who can't see it
	Of            string // what it is about
	Snippet       string // HTML to copy; empty where the site's address isn't known
}

// badges draws the badges of a sheet: one of the unit, and one of each claim.
func badges(s *sheet.Sheet, address string) ([]badgeRow, []Output) {
	folder := "units/" + s.Slug + "/"
	rows := []badgeRow{{Path: "badge.svg", Says: s.Name + ": " + s.Headline, Of: "The whole sheet"}}
	outputs := []Output{{Path: folder + "badge.svg", Bytes: charts.UnitBadge(s)}}
	for _, c := range s.Claims {
		path := "badge/" + c.ID + ".svg"
		rows = append(rows, badgeRow{Path: path, Says: s.Name + ", " + c.Label + ": " + c.Word, Of: c.Label})
		outputs = append(outputs, Output{Path: folder + path, Bytes: charts.ClaimBadge(c)})
	}
	for i := range rows {
		rows[i].Width, rows[i].Height = drawingSize(outputs[i].Bytes)
		if address == "" {
			continue
		}
		to := address
		if i > 0 {
			to += "#claim-" + s.Claims[i-1].ID
		}
		rows[i].Snippet = `<a href="` + escape(to) + `"><img src="` + escape(address+rows[i].Path) + `"` +
			attribute("width", rows[i].Width) + attribute("height", rows[i].Height) + ` alt="` + escape(oneLine(rows[i].Says)) + `"></a>`
	}
	return rows, outputs
}

// oneLine joins the blanks of a text.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

var svgWidth, svgHeight = regexp.MustCompile(`^[^>]*<svg[^>]*? width="([0-9.]+)"`), regexp.MustCompile(`^[^>]*<svg[^>]*? height="([0-9.]+)"`)

// drawingSize reads the size in pixels that an SVG drawing states.
func drawingSize(svg []byte) (width, height string) {
	if w, h := svgWidth.FindSubmatch(svg), svgHeight.FindSubmatch(svg); w != nil && h != nil {
		return wholePixels(w[1]), wholePixels(h[1])
	}
	return "", ""
}

// wholePixels rounds a size to whole pixels, which is what an img element takes.
func wholePixels(size []byte) string {
	x, err := strconv.ParseFloat(string(size), 64)
	if err != nil {
		return ""
	}
	return itoa(int(math.Round(x)))
}
