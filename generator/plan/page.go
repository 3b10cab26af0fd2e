package plan

import (
	"bytes"
	_ "embed"
	"html/template"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"wattsheet/generator/sheet"
)

//go:embed page.html
var pageText string

// PageMark is how every checklist begins: a file that begins so may be replaced by
// another checklist.
const PageMark = "<!doctype html>\n<!-- wattsheet checklist -->\n"

// page is the checklist's template. Its styles stand in it, so that it is one file.
var page = template.Must(template.New("page").Funcs(template.FuncMap{
	"ohms":  func(n Number) string { return sheet.Ohms(float64(n)) },
	"fig":   func(n Number, of string) string { return figure(float64(n), of) },
	"time":  func(n Number) string { return clock(float64(n)) },
	"cap":   capital,
	"plain": func(n Number, of string) string { return unit(float64(n), of) },
	// readings are the columns to write in: what is read of each channel, or once.
	"readings": func(r *Run, each bool) []string {
		var out []string
		for _, m := range r.Meters {
			ofChannel := m.Reads == "out_v" || m.Reads == "power_w" || m.Reads == "thdn_pct"
			if ofChannel == each && !slices.Contains(out, m.Reads) {
				out = append(out, m.Reads)
			}
		}
		return out
	},
}).Parse(pageText))

// Page is the plan as a checklist to print: one HTML file by itself, A4, black on
// white, without script.
func (p *Plan) Page() []byte {
	var out bytes.Buffer
	out.WriteString(PageMark)
	if err := page.Execute(&out, p); err != nil {
		panic(err) // the template is checked against the types by tests
	}
	return []byte(strings.Map(straight, out.String()))
}

// straight replaces what turns the direction of the text behind it around, and
// control characters: names keep their own direction without either.
func straight(r rune) rune {
	if r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r != '\n' && unicode.IsControl(r) {
		return utf8.RuneError
	}
	return r
}
