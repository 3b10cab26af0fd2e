package site

import (
	"html/template"

	"wattsheet/charts"
	"wattsheet/generator/sheet"
)

// A unitRow is one unit in a list.
type unitRow struct {
	Slug   string    // its folder, which is also its address below units
	Link   link      // the unit
	Kind   string    // kind and class of the unit: mono, class AB
	Tested day       // when it was tested
	Lacks  string    // that verdicts rest on an incomplete uncertainty, in a sentence
	List   listing   // what else the list tells, and is searched by
	Claim  *claimRow `json:"-"` // the claim that stands for the unit; nil without claims
	Beside string    `json:"-"` // where it stands beside other units
}

// unitRows are units as a page lists them.
type unitRows []unitRow

// rowsOf are the rows of units on a page from which root leads to the site's root, with
// their claim lines on a given scale.
func rowsOf(units []*brief, root, methodology string, low, high int) unitRows {
	rows := make(unitRows, len(units))
	var claims []*sheet.Claim
	var of []int
	for i, one := range units {
		rows[i] = one.Row
		rows[i].Link.Href = root + rows[i].Link.Href
		rows[i].Beside = besideHref(root, nil, rows[i].Slug)
		if one.Leading != nil {
			claims, of = append(claims, one.Leading.claim()), append(of, i)
		}
	}
	drawn := claimRowsOn(claims, charts.ClaimLinesOn(claims, low, high), methodology)
	for i, at := range of {
		if drawn[i].InWords {
			drawn[i].Href = rows[at].Link.Href + drawn[i].Href
		}
		rows[at].Claim = &drawn[i]
	}
	return rows
}

// List is the whole list, as markup; a theme may also range over the rows. Script draws
// the same rows of what it finds (script/front.js): a test compares them.
func (rows unitRows) List() template.HTML {
	return drafted(func(d *draft) {
		d.raw("<ol class=\"units\">\n")
		for i := range rows {
			d.unit(&rows[i])
		}
		d.raw("</ol>")
	})
}

// unit adds a row.
func (d *draft) unit(r *unitRow) {
	d.raw(`<li class="unit" id="unit-`).words(r.Slug).raw(`"><h3><a href="`).words(r.Link.Href).raw(`"><bdi>`).words(r.Link.Text).raw(`</bdi></a></h3>`)
	d.raw(`<p class="unit-is">`).words(r.Kind)
	if r.Tested.Text != "" {
		if r.Kind != "" {
			d.raw(", ")
		}
		d.raw("<span>tested ").day(r.Tested).raw("</span>")
	}
	d.raw("</p>")
	if c := r.Claim; c != nil {
		d.raw(`<p class="verdict `).words(c.Class).raw(`">`).raw(string(c.Mark)).raw("<span>").words(c.Word).raw("</span></p>")
		d.raw(`<div class="claim-drawing `).words(c.Class).raw(`">`).raw(string(c.Line)).raw("</div>")
		d.raw(`<p class="figures"><span class="claim-label">`).words(c.Label).raw("</span> ")
		if c.Figure != "" {
			d.raw(`<strong class="figure`)
			if c.InWords {
				d.raw(" in-words")
			}
			d.raw(`">`).anchor(c.Href, c.Figure).raw("</strong> ")
		}
		d.raw(`<span class="of">`).words(c.Of).raw("</span>")
		if c.Lacks {
			d.raw(` <span class="lacks">uncertainty incomplete</span>`)
		}
		d.raw("</p>")
	}
	d.raw(`<p class="unit-claims"><span>`).words(r.List.counts()).raw("</span> ")
	d.raw(`<a href="`).words(r.Beside).raw(`" aria-label="`).words("Set beside others: " + r.Link.Text).raw(`">Set beside others</a></p>`)
	if r.Lacks != "" {
		d.raw(`<p class="lacking">`).words(r.Lacks).raw("</p>")
	}
	d.raw(`<dl class="unit-facts">`)
	for _, f := range r.List.facts() {
		d.raw("<div><dt>").words(f.Name).raw("</dt><dd>").words(f.Text)
		if f.Note != "" {
			d.raw(" <span>").words(f.Note).raw("</span>")
		}
		d.raw("</dd></div>")
	}
	d.raw("</dl></li>\n")
}
