package site

import (
	"html/template"
	"strconv"
	"strings"
)

// A table is a table of a page, rendered here and not in a template: a page has
// thousands of cells, and a template action costs a microsecond.
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
	Note       string        // stands under the text, smaller
	Notes      []link        // links under the text
	Struck     bool          // the figure doesn't count
	Class      string
}

// html renders the table within the box that scrolls sideways.
func (t table) html() template.HTML {
	var b strings.Builder
	pads := t.pads()
	b.WriteString(`<section class="table-box" tabindex="0" aria-label="` + escape(t.Caption) + `">`)
	b.WriteString("<table" + attribute("class", t.Class) + "><caption>" + escape(t.Caption) + "</caption>\n<thead><tr>")
	for _, c := range t.Head {
		class := ""
		if c.Numeric {
			class = "n"
		}
		b.WriteString(`<th scope="col"` + attribute("class", class) + ">" + anchored(c.Href, escape(c.Text)) + "</th>")
	}
	b.WriteString("</tr></thead>\n")
	for _, group := range t.Groups {
		b.WriteString("<tbody>\n")
		for _, r := range group {
			t.row(&b, r, pads)
		}
		b.WriteString("</tbody>\n")
	}
	b.WriteString("</table></section>\n")
	return template.HTML(b.String())
}

func (t table) row(b *strings.Builder, r row, pads []int) {
	b.WriteString("<tr" + attribute("id", r.ID) + ">")
	for _, c := range r.Cells {
		name, attributes := "td", ""
		if c.Head != "" {
			name, attributes = "th", attribute("scope", c.Head)
		}
		if c.Span > 1 {
			attributes += attribute("rowspan", strconv.Itoa(c.Span))
		}
		class := c.Class
		if t.Head[c.Column].Numeric {
			class = strings.TrimSpace("n " + class)
		}
		b.WriteString("<" + name + attributes + attribute("class", class) + ">")
		b.WriteString(c.html(pads[c.Column]))
		b.WriteString("</" + name + ">")
	}
	b.WriteString("</tr>\n")
}

// html is the cell's content, padded to so many decimals.
func (c cell) html(pad int) string {
	text := anchored(c.Href, escape(c.Text))
	if c.Struck && c.Text != "" {
		text = "<s>" + text + "</s>"
	}
	return string(c.Markup) + text + padding(c.Text, pad) + c.below()
}

// below is what stands under a cell's text.
func (c cell) below() string {
	out := ""
	if c.Note != "" {
		out = `<span class="note">` + escape(c.Note) + "</span>"
	}
	for _, l := range c.Notes {
		out += `<span class="note">` + anchored(l.Href, escape(l.Text)) + "</span>"
	}
	return out
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
	if text == "" || strings.Trim(text, "−0123456789.") != "" {
		return -1
	}
	if _, after, found := strings.Cut(text, "."); found {
		return len(after)
	}
	return 0
}

// padding gives the blanks that stand for missing decimals, so that figures
// that end at the same edge have their decimal points under each other: a
// figure space (U+2007) is as wide as a digit, a punctuation space (U+2008) as
// a point.
func padding(text string, to int) string {
	have := decimals(text)
	if have < 0 || to <= have {
		return ""
	}
	if have == 0 {
		return "\u2008" + strings.Repeat("\u2007", to)
	}
	return strings.Repeat("\u2007", to-have)
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
