package site

import (
	"html/template"
	"strings"
)

// A table is a table of a page, rendered here and not in a template: a page has
// thousands of cells, and an action of a template costs far more than one of these.
type table struct {
	Caption string
	Class   string
	Head    []column
	Groups  [][]row // each group is a tbody
}

// A column is the head of one column.
type column struct {
	Text    string
	Href    string
	Numeric bool // aligned at the decimal point
}

// A row is one row of cells; cells that an earlier row spans are left out.
type row struct {
	ID    string
	Cells []cell
}

// A cell is one cell of a table.
type cell struct {
	Text, Href string
	Column     int           // which column it stands in, from 0
	Head       string        // the scope of a head cell: row or rowgroup; empty for data
	Span       int           // how many rows it spans, where more than one
	Markup     template.HTML // stands before the text; made by this program
	Quote      string        // a run that a sign behind the text quotes
	Note       string        // stands under the text, smaller
	Notes      []link        // links under the text
	Seen       template.HTML // stands under those: where it is seen in a video
	Struck     bool          // the figure doesn't count
	Class      string
}

// html renders the table within the box that scrolls sideways.
func (t table) html() template.HTML { return drafted(t.write) }

func (t table) write(d *draft) {
	pads := t.pads()
	t.begin(d)
	for _, group := range t.Groups {
		d.raw("<tbody>\n")
		for i := range group {
			t.row(d, &group[i], pads)
		}
		d.raw("</tbody>\n")
	}
	t.end(d)
}

// begin writes the table up to its first group, and end what follows the last.
func (t table) begin(d *draft) {
	d.raw(`<section class="table-box" tabindex="0" aria-label="`).text(t.Caption).raw(`"><table`).attribute("class", t.Class)
	d.raw("><caption>").text(t.Caption).raw("</caption>\n<thead><tr>")
	for _, c := range t.Head {
		d.raw(`<th scope="col"`)
		if c.Numeric {
			d.raw(` class="n"`)
		}
		d.raw(">").link(c.Href, c.Text).raw("</th>")
	}
	d.raw("</tr></thead>\n")
}

func (t table) end(d *draft) { d.raw("</table></section>\n") }

// row writes a row, padded to the decimals of its columns.
func (t table) row(d *draft, r *row, pads []int) {
	d.raw("<tr").attribute("id", r.ID).raw(">")
	for i := range r.Cells {
		c := &r.Cells[i]
		if c.Head != "" {
			d.raw("<th").attribute("scope", c.Head)
		} else {
			d.raw("<td")
		}
		if c.Span > 1 {
			d.raw(` rowspan="`).number(c.Span).raw(`"`)
		}
		switch numeric := t.Head[c.Column].Numeric; {
		case numeric && c.Class != "":
			d.raw(` class="n `).text(c.Class).raw(`"`)
		case numeric:
			d.raw(` class="n"`)
		default:
			d.attribute("class", c.Class)
		}
		d.raw(">")
		c.write(d, pads[c.Column])
		if c.Head != "" {
			d.raw("</th>")
		} else {
			d.raw("</td>")
		}
	}
	d.raw("</tr>\n")
}

// write adds the cell's content, padded to so many decimals, and what stands under it.
func (c *cell) write(d *draft, pad int) {
	d.raw(string(c.Markup))
	if c.Struck && c.Text != "" {
		d.raw("<s>").link(c.Href, c.Text).raw("</s>")
	} else {
		d.link(c.Href, c.Text)
	}
	d.pad(c.Text, pad)
	if c.Quote != "" {
		d.raw(` <a class="quote" href="#run-`).text(c.Quote).raw(`" aria-label="Quote `).text(c.Quote).raw(`">“”</a>`)
	}
	if c.Note != "" {
		d.raw(`<span class="note">`).text(c.Note).raw("</span>")
	}
	for _, l := range c.Notes {
		d.raw(`<span class="note">`).link(l.Href, l.Text).raw("</span>")
	}
	if c.Seen != "" {
		d.raw(`<span class="note">`).raw(string(c.Seen)).raw("</span>")
	}
}

// pads gives the most decimals of each numeric column, -1 for other columns.
func (t table) pads() []int {
	pads := make([]int, len(t.Head))
	for i, c := range t.Head {
		if !c.Numeric {
			pads[i] = -1
		}
	}
	for _, group := range t.Groups {
		for _, r := range group {
			for _, c := range r.Cells {
				if pads[c.Column] >= 0 {
					pads[c.Column] = max(pads[c.Column], decimals(c.Text))
				}
			}
		}
	}
	return pads
}

// decimals counts the digits after a number's decimal point; -1 for what is not
// a plain number.
func decimals(text string) int {
	point := -1
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c >= '0' && c <= '9':
		case c == '.' && point < 0:
			point = i
		case c != '.':
			if !strings.HasPrefix(text[i:], "−") {
				return -1
			}
			i += len("−") - 1
		}
	}
	switch {
	case text == "":
		return -1
	case point < 0:
		return 0
	}
	return len(text) - point - 1
}

// pad adds the blanks that stand for a number's missing decimals, so that figures
// that end at the same edge have their decimal points under each other: a figure
// space (U+2007) is as wide as a digit, a punctuation space (U+2008) as a point.
func (d *draft) pad(text string, to int) {
	have := decimals(text)
	if have < 0 || to <= have {
		return
	}
	if have == 0 {
		d.raw("\u2008")
	}
	for range to - have {
		d.raw("\u2007")
	}
}

// attribute writes an attribute with a blank before it; nothing where the value
// is empty.
func attribute(name, value string) string {
	if value == "" {
		return ""
	}
	return " " + name + `="` + escape(value) + `"`
}

// anchored puts markup into a link; without an address it stays as it is.
func anchored(href, markup string) string {
	if href == "" || markup == "" {
		return markup
	}
	return "<a" + attribute("href", href) + ">" + markup + "</a>"
}
