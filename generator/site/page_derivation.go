package site

import (
	"html/template"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
)

// A derivation is how one thing of a sheet came about, step by step, folded.
type derivation struct {
	Title string
	Note  string // stands beside the title, smaller
	Body  template.HTML
}

// A deriver writes derivations of one sheet for one page.
type deriver struct {
	sheet       *sheet.Sheet
	methodology string // the address of the methodology page
	runs        string // the address of the page of the runs' derivations; empty on that page itself
}

// derivationName is the folder, below a unit's, of its runs' derivations.
const derivationName = "derivation"

// stepsHref is the address of a run's derivation, on a unit's page.
func stepsHref(run string) string { return derivationName + "/index.html#run-" + run }

// claimDerivations are the ways from the runs to each verdict.
func claimDerivations(s *sheet.Sheet, methodology string) []derivation {
	d := deriver{s, methodology, derivationName + "/index.html"}
	out := make([]derivation, 0, len(s.Claims))
	for _, c := range s.Claims {
		out = append(out, derivation{
			Title: c.Label + ", " + with(c.Rec.PowerW, "W"), Note: strings.ToLower(c.Word),
			Body: d.body("derived-"+c.ID, "Claim "+c.Label+", step by step", s.DeriveClaim(c)),
		})
	}
	return out
}

// runDerivations are the ways from the readings to each run's figures.
func runDerivations(s *sheet.Sheet, methodology string) []derivation {
	d := deriver{s, methodology, ""}
	out := make([]derivation, 0, len(s.Runs))
	for _, r := range s.Runs {
		method, ended := "", r.OutcomeText
		if r.Method != nil {
			method = r.Method.Title
		}
		if !r.Valid {
			ended = "doesn't count"
		}
		out = append(out, derivation{
			Title: "Run " + r.ID, Note: join(", ", loadsOf(r), method, ended),
			Body: d.body("run-"+r.ID, "Run "+r.ID+", step by step", s.DeriveRun(r)),
		})
	}
	return out
}

// otherDerivations are the ways to what a sheet has beside claims and runs.
func otherDerivations(s *sheet.Sheet, methodology string) []derivation {
	d := deriver{s, methodology, ""}
	var out []derivation
	add := func(id, title, note string, passages []sheet.Passage) {
		if len(passages) > 0 {
			out = append(out, derivation{title, note, d.body(id, title+", step by step", passages)})
		}
	}
	for _, p := range s.Specs {
		add("derived-spec-"+p.ID, p.Rec.Name, strings.ToLower(p.Word), s.DeriveSpec(p))
	}
	if len(s.Lines) > 0 || s.Exponent != nil {
		add("derived-lines", "Load lines and supply exponent", "estimates, not measurements", s.DeriveLines())
	}
	add("derived-repeats", "Repeats", "how they scatter", s.DeriveRepeats())
	add("derived-thermals", "Temperatures", "", s.DeriveThermals())
	add("derived-ratios", "Power for money, volume and mass", "", s.DeriveRatios())
	return out
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

// body renders the passages of a derivation, word for word. Sentences are left to
// the browser to break; rows keep their columns, and where they are wider than the
// screen the box scrolls sideways under the sentences, which stay. The anchor lies
// within what is folded: an address that names it unfolds it.
func (d deriver) body(id, label string, passages []sheet.Passage) template.HTML {
	var b strings.Builder
	b.WriteString(`<section class="steps" tabindex="0"` + attribute("id", id) + attribute("aria-label", label) + ">\n")
	for i, p := range passages {
		heading := "h4"
		if i == 0 {
			heading = "h3"
		}
		b.WriteString("<" + heading + ">" + escape(p.Head) + "</" + heading + ">\n")
		d.parts(&b, p.Parts)
	}
	b.WriteString("</section>\n")
	return template.HTML(b.String())
}

func (d deriver) parts(b *strings.Builder, parts []sheet.Part) {
	for i, p := range parts {
		if !p.Row {
			b.WriteString(indents[min(p.Indent/2, len(indents)-1)] + d.linked(p.Text) + "</p>\n")
			continue
		}
		if i == 0 || !parts[i-1].Row {
			b.WriteString("<pre>")
		}
		b.WriteString(escape(p.Text) + "\n")
		if i+1 == len(parts) || !parts[i+1].Row {
			b.WriteString("</pre>\n")
		}
	}
}

// indents open a sentence that stands 0, 2, 4 or 6 columns in.
var indents = []string{"<p>", "<p>", `<p class="in">`, `<p class="in further">`}

// linked is a sentence with two kinds of links: a run that it begins with leads to
// that run's derivation, a formula that is spelled out to the catalogue.
func (d deriver) linked(text string) string {
	if said, rest, found := strings.Cut(text, ":"); found && d.runs != "" {
		if run := strings.TrimPrefix(said, "Run "); d.hasRun(run) {
			return anchored(d.runs+"#run-"+run, escape(said)) + escape(":"+rest)
		}
	}
	if id, rest, found := strings.Cut(strings.TrimPrefix(text, "["), "] "); found && strings.HasPrefix(text, "[") {
		if _, known := formula.ByID(id); known {
			return anchored(d.methodology+"#formula-"+id, "["+escape(id)+"]") + " " + escape(rest)
		}
	}
	return escape(text)
}

func (d deriver) hasRun(id string) bool {
	return slices.ContainsFunc(d.sheet.Runs, func(r *sheet.Run) bool { return r.ID == id })
}

// A derivationPage tells how every figure of a sheet's runs came about. It is a
// page of its own: a unit's page would be twice as heavy with it.
type derivationPage struct {
	head
	Name        string
	Unit        string // the address of the sheet
	Derivations []derivation
	Others      []derivation // of what the sheet has beside claims and runs
}

// derivationPage makes the page of a sheet's derivations of runs.
func (b *binder) derivationPage(s *sheet.Sheet) derivationPage {
	page := derivationPage{
		head: b.head("units/"+s.Slug+"/"+derivationName+"/", "Runs step by step: "+s.Name,
			"How every figure of the runs of "+s.Name+" comes about, from the readings on."),
		Name: s.Name, Unit: "../index.html",
	}
	page.Sheet, page.Tested = s.Number, dayOf(s.Tested)
	page.Derivations, page.Others = runDerivations(s, page.Methodology), otherDerivations(s, page.Methodology)
	return page
}
