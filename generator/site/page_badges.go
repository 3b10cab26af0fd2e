package site

import (
	"html/template"
	"math"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/sheet"
)

// badges draws the badges of a sheet: one of the unit, then one of each claim.
func badges(s *sheet.Sheet) []charts.Badge {
	drawn := []charts.Badge{charts.UnitBadge(s)}
	for _, c := range s.Claims {
		drawn = append(drawn, charts.ClaimBadge(c))
	}
	return drawn
}

// badgesOf draws the badges of a sheet; once, where the binder is that of one unit.
func (b *binder) badgesOf(s *sheet.Sheet) []charts.Badge {
	if b.badges != nil {
		return b.badges()
	}
	return badges(s)
}

// badgePath is where the n-th badge of a sheet stands, below the unit's folder.
func badgePath(s *sheet.Sheet, n int) string {
	if n == 0 {
		return "badge.svg"
	}
	return "badge/" + s.Claims[n-1].ID + ".svg"
}

// badgeOutputs are the badges as files.
func badgeOutputs(s *sheet.Sheet, drawn []charts.Badge) []Output {
	outputs := make([]Output, len(drawn))
	for i := range drawn {
		outputs[i] = Output{Path: unitsFolder + "/" + s.Slug + "/" + badgePath(s, i), Bytes: drawn[i].SVG}
	}
	return outputs
}

// badgeList is the list of the badges on the unit's page, each with what to copy where
// the page's address is known.
func badgeList(s *sheet.Sheet, drawn []charts.Badge, address string) template.HTML {
	return drafted(func(d *draft) {
		d.raw("<ul class=\"badges\">\n")
		for i, badge := range drawn {
			path, of, anchor := badgePath(s, i), "The whole sheet", ""
			says := sheet.Isolated(s.Name) + ": " + s.Headline
			if i > 0 {
				c := s.Claims[i-1]
				of, anchor = c.Label, "#claim-"+c.ID
				says = sheet.Isolated(s.Name) + ", " + c.Label + ": " + c.Word
			}
			width, height := itoa(int(math.Round(badge.Width))), itoa(int(math.Round(badge.Height)))
			d.raw(`<li><a href="`).words(path).raw(`"><img src="`).words(path).raw(`" width="`).raw(width).raw(`" height="`).raw(height)
			d.raw(`" alt="`).words(says).raw("\" loading=\"lazy\"></a>\n")
			if address != "" {
				d.raw(`<details><summary>HTML to copy<span class="hidden">: `).words(of).raw("</span></summary>\n<pre><code>")
				d.words(`<a href="` + escape(address+anchor) + `"><img src="` + escape(address+path) +
					`" width="` + width + `" height="` + height + `" alt="` + escape(oneLine(says)) + `"></a>`)
				d.raw("</code></pre></details>\n")
			}
			d.raw("</li>\n")
		}
		d.raw("</ul>\n")
	})
}

// oneLine joins the blanks of a text.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
