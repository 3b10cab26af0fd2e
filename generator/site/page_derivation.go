package site

import (
	"bytes"
	"html/template"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// A derivation is how one thing of a sheet came about, step by step, folded.
type derivation struct {
	Title string        // what came about: a claim, a run or a figure
	Note  string        // stands beside the title, smaller
	Seen  template.HTML // leads to where it is seen in a video; empty where it isn't marked
	Body  template.HTML // the mark of what is put there late
}

// A deriver writes derivations of one sheet for one page.
type deriver struct {
	*sheet.Deriver
	methodology string          // the address of the methodology page
	turning     []string        // names that could turn what stands beside them in a head: the unit's, channels', methods'
	linked      map[string]bool // the runs that a sentence may begin with as a link to their derivation
	longest     int             // of their ids
	to          *late           // what is written
	copy        []byte
	begun       bool // the derivation at hand has a head already
	rows        bool // a box of rows is open
}

func newDeriver(s *sheet.Sheet, methodology string, to *late) *deriver {
	d := &deriver{Deriver: s.Deriver(), methodology: methodology, linked: map[string]bool{}, to: to}
	turns := func(name string) {
		if sheet.Isolated(name) != name && !slices.Contains(d.turning, name) {
			d.turning = append(d.turning, name)
		}
	}
	turns(s.Name)
	for _, r := range s.Runs {
		for _, c := range r.Channels {
			turns(c.Name)
		}
		if r.Method != nil {
			turns(r.Method.Title)
		}
		d.linked[r.ID], d.longest = true, max(d.longest, len(r.ID))
	}
	return d
}

// derivationName is the folder, below a unit's, of its derivations.
const derivationName = "derivation"

// stepsHref is the address of a run's derivation, on a unit's page, and decidedHref of
// a claim's.
func stepsHref(run string) string     { return derivationName + "/index.html#run-" + run }
func decidedHref(claim string) string { return derivationName + "/index.html#derived-" + claim }

// claims are the ways from the runs to each verdict.
func (d *deriver) claims(s *sheet.Sheet) []derivation {
	out, w := make([]derivation, 0, len(s.Claims)), watchingOf(s.Record)
	for _, c := range s.Claims {
		out = append(out, derivation{
			Title: c.Label + ", " + with(c.Rec.PowerW, "W"), Note: strings.ToLower(c.Word), Seen: w.seen(c.Rec.Video, c.Label, ""),
			Body: d.section("derived-"+c.ID, "Claim "+c.Label+", step by step", func(b []byte, by sheet.Markup) []byte { return d.AppendClaim(append(b, toCommon...), c, by) }),
		})
	}
	return out
}

// runs are the ways from the readings to each run's figures.
func (d *deriver) runs(s *sheet.Sheet) []derivation {
	out, w := make([]derivation, 0, len(s.Runs)), watchingOf(s.Record)
	for _, r := range s.Runs {
		method, ended := "", r.OutcomeText
		if r.Method != nil {
			method = r.Method.Title
		}
		if !r.Valid {
			ended = "doesn't count"
		}
		out = append(out, derivation{
			Title: "Run " + r.ID, Note: join(", ", loadsOf(r), method, ended), Seen: w.seen(r.Rec.Video, "run "+r.ID, ""),
			Body: d.section("run-"+r.ID, "Run "+r.ID+", step by step", func(b []byte, by sheet.Markup) []byte { return d.AppendRun(append(b, toCommon...), r, by) }),
		})
	}
	return out
}

// others are the ways to what a sheet has beside claims and runs.
func (d *deriver) others(s *sheet.Sheet) []derivation {
	var out []derivation
	add := func(id, title, note string, passages []sheet.Passage) {
		if len(passages) > 0 {
			out = append(out, derivation{Title: title, Note: note, Body: d.body(id, title+", step by step", passages)})
		}
	}
	w := watchingOf(s.Record)
	for _, p := range s.Specs {
		add("derived-spec-"+p.ID, p.Rec.Name, strings.ToLower(p.Word), s.DeriveSpec(p))
		if len(out) > 0 {
			out[len(out)-1].Seen = w.seen(p.Rec.Video, p.Rec.Name, "")
		}
	}
	if len(s.Lines) > 0 || s.Exponent != nil {
		add("derived-lines", "Load lines and supply exponent", "estimates, not measurements", s.DeriveLines())
	}
	add("derived-repeats", "Repeats", "how they scatter", s.DeriveRepeats())
	add("derived-thermals", "Temperatures", "", s.DeriveThermals())
	add("derived-ratios", "Power for money, volume and mass", "", s.DeriveRatios())
	return out
}

// toCommon leads from a derivation to what it has in common with others.
const toCommon = `<p class="to-common"><a href="#common">Instruments, loads, methods and formulas</a></p>` + "\n"

// common is what the derivations before it have in common.
func (d *deriver) common() derivation {
	return derivation{
		Title: "What they have in common", Note: "uncertainties, instruments, loads, methods, formulas",
		Body: d.section("common", "What the derivations have in common", d.AppendCommon),
	}
}

// loadsOf are the nominal loads that a run's channels drive, each once.
func loadsOf(r *sheet.Run) string {
	var out []string
	for _, c := range r.Channels {
		if text := loadText(c); !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return and(out)
}

// body renders the passages of a derivation, word for word.
func (d *deriver) body(id, label string, passages []sheet.Passage) template.HTML {
	return d.section(id, label, func(b []byte, by sheet.Markup) []byte {
		for _, p := range passages {
			b = by.Head(b, p.Head)
			for _, part := range p.Parts {
				b = by.Begin(b, part.Indent, part.Row)
				from := len(b)
				b = by.End(append(b, part.Text...), from, part.Row, part.Plain)
			}
		}
		return by.Close(b)
	})
}

// section holds what write appends; it is put where its mark stands. Sentences are left to the browser to break; rows keep
// their columns, and where they are wider than the screen the box scrolls sideways
// under the sentences, which stay. The anchor lies within what is folded: an address
// that names it unfolds it.
func (d *deriver) section(id, label string, write func(b []byte, by sheet.Markup) []byte) template.HTML {
	d.begun, d.rows = false, false
	b := append(*d.to.desk, `<section class="steps" tabindex="0"`+attribute("id", id)+attribute("aria-label", label)+">\n"...)
	*d.to.desk = append(write(b, d), "</section>\n"...)
	return d.to.marked()
}

// Head appends the head of a passage.
func (d *deriver) Head(b []byte, text string) []byte {
	b = d.Close(b)
	open, end := "<h3>", "</h3>\n"
	if d.begun {
		open, end = "<h4>", "</h4>\n"
	}
	d.begun = true
	b = append(b, open...)
	for {
		name, at := d.nextTurning(text)
		if name == "" {
			break
		}
		b = append(appendEscaped(b, text[:at]), "<bdi>"...)
		b = append(appendEscaped(b, name), "</bdi>"...)
		text = text[at+len(name):]
	}
	return append(appendEscaped(b, text), end...)
}

// nextTurning finds the first name in a head that could turn what stands beside it, of those
// that begin alike the longest; none where it is empty.
func (d *deriver) nextTurning(text string) (name string, at int) {
	for _, one := range d.turning {
		switch i := strings.Index(text, one); {
		case i < 0:
		case name == "" || i < at || i == at && len(one) > len(name):
			name, at = one, i
		}
	}
	return name, at
}

// Begin appends what stands before a part: rows that follow each other have one box.
func (d *deriver) Begin(b []byte, indent int, row bool) []byte {
	if row {
		if !d.rows {
			d.rows, b = true, append(b, "<pre>"...)
		}
		return b
	}
	return append(d.Close(b), indents[min(indent/2, len(indents)-1)]...)
}

// Close ends a box of rows.
func (d *deriver) Close(b []byte) []byte {
	if d.rows {
		d.rows, b = false, append(b, "</pre>\n"...)
	}
	return b
}

// indents open a sentence that stands 0, 2, 4 or 6 columns in.
var indents = []string{"<p>", "<p>", `<p class="in">`, `<p class="in further">`}

// End escapes what a part needs escaped, and makes its links.
func (d *deriver) End(b []byte, from int, row, plain bool) []byte {
	if row {
		if !plain {
			b = appendEscaped(b[:from], d.copied(b[from:]))
		}
		return append(b, '\n')
	}
	if !plain || d.links(b[from:]) {
		b = d.sentence(b[:from], d.copied(b[from:]), plain)
	}
	return append(b, "</p>\n"...)
}

// copied is a text out of the way of what is about to be written there.
func (d *deriver) copied(text []byte) []byte {
	d.copy = append(d.copy[:0], text...)
	return d.copy
}

// links tells the sentences that may have a link.
func (d *deriver) links(text []byte) bool {
	if len(text) > 0 && text[0] == '[' {
		return true
	}
	return bytes.IndexByte(text[:min(len(text), len("Run :")+d.longest)], ':') >= 0
}

// sentence appends a sentence with two kinds of links: a run that it begins with leads
// to that run's derivation, a formula that is spelled out to the catalogue.
func (d *deriver) sentence(b, text []byte, plain bool) []byte {
	if said, _, found := bytes.Cut(text[:min(len(text), len("Run :")+d.longest)], []byte(":")); found {
		if run := bytes.TrimPrefix(said, []byte("Run ")); d.linked[string(run)] {
			b = appendLink(b, "", "#run-", run, said)
			return appendPart(b, text[len(said):], plain)
		}
	}
	if len(text) > 0 && text[0] == '[' {
		if id, rest, found := bytes.Cut(text[1:], []byte("] ")); found {
			if _, known := formula.ByID(string(id)); known {
				b = appendLink(b, d.methodology, "#formula-", id, text[:len(id)+2])
				return appendPart(append(b, ' '), rest, plain)
			}
		}
	}
	return appendPart(b, text, plain)
}

// appendPart appends the text of a part, or of the end of one.
func appendPart(b, text []byte, plain bool) []byte {
	if plain {
		return append(b, text...)
	}
	return appendEscaped(b, text)
}

// appendLink appends a link to a part of a page.
func appendLink(b []byte, page, kind string, id, text []byte) []byte {
	b = appendEscaped(append(b, `<a href="`...), page)
	b = appendEscaped(append(b, kind...), id)
	b = appendEscaped(append(b, `">`...), text)
	return append(b, "</a>"...)
}

// appendEscaped appends what [escape] writes.
func appendEscaped[T string | []byte](b []byte, text T) []byte {
	done := 0
	for i := 0; i < len(text); i++ {
		if as := escapedAs[text[i]]; as != "" {
			b = append(append(b, text[done:i]...), as...)
			done = i + 1
		}
	}
	return append(b, text[done:]...)
}

// escapedAs is what stands for a byte of text in HTML; empty where it stands for itself.
var escapedAs = func() (as [256]string) {
	for c := range 0x80 {
		if text := string(rune(c)); escape(text) != text {
			as[c] = escape(text)
		}
	}
	return as
}()

// A derivationPage tells how every verdict and figure of a sheet came about. It is a
// page of its own: a unit's page would be many times as heavy with it.
type derivationPage struct {
	head
	Name   string         // the unit: Mossfettle Brackenjar 100
	Unit   string         // the address of the sheet
	Common derivationList // what the others refer to
	Claims derivationList // one for each verdict
	Runs   derivationList // one for each run
	Others derivationList // of what the sheet has beside claims and runs
}

// derivationPage makes the page of a sheet's derivations.
func (b *binder) derivationPage(s *sheet.Sheet) derivationPage {
	page := derivationPage{
		head: b.head("units/"+s.Slug+"/"+derivationName+"/", "Step by step: "+sheet.Isolated(s.Name),
			"How every verdict on "+sheet.Isolated(s.Name)+" and every figure comes about, from the readings on."),
		Name: s.Name, Unit: "../index.html",
	}
	page.Preview = b.unitPreview(page.Title, s)
	page.late = newLate()
	if len(watchingOf(s.Record).out) > 0 {
		b.uses(&page.head, "video.css", "")
	}
	page.Sheet, page.Tested = s.Number, dayOf(s.Tested)
	d := newDeriver(s, page.Methodology, page.late)
	page.Claims, page.Runs, page.Others = d.claims(s), d.runs(s), d.others(s)
	page.Common = derivationList{d.common()}
	return page
}
