package plan

import (
	"fmt"
	"strings"

	"wattsheet/generator/sheet"
)

// columns is how wide a plan's text is.
const columns = 80

// A writer writes a plan's text.
type writer struct{ lines []string }

func (w *writer) line(text string) { w.lines = append(w.lines, text) }

// par writes a text in 80 columns, with what its first line and the others begin with.
func (w *writer) par(first, others, text string) {
	for i, line := range sheet.Wrap(text, columns-len(first+others)+min(len(first), len(others))) {
		begin := first
		if i > 0 {
			begin = others
		}
		w.line(begin + line)
	}
}

// entry writes a named entry of a run; an empty name goes on with the one before.
func (w *writer) entry(name, text string) {
	const indent, wide = "  ", 9
	for i, line := range sheet.Wrap(text, columns-len(indent)-wide) {
		if i > 0 {
			name = ""
		}
		w.line(fmt.Sprintf("%s%-*s%s", indent, wide, name, line))
	}
}

// Text is the plan in 80 columns, a line each.
func (p *Plan) Text() []string {
	w := &writer{}
	w.par("", "", p.Title())
	w.par("", "", p.Summary())
	w.line("")
	w.line("Before anything is connected")
	for _, c := range p.Cautions {
		w.par("  - ", "    ", c)
	}
	if len(p.Flags) > 0 {
		w.line("")
		w.line("Of the unit")
		w.flags(p.Flags)
	}
	if len(p.Claims) == 0 {
		return w.lines
	}
	w.line("")
	w.line("What is taken, where nothing is stated")
	for _, a := range p.Assumptions {
		w.par("  - ", "    ", a.Text+" ("+a.Source+")")
	}
	w.par("  - ", "    ", p.By())
	w.line("")
	w.line("Order and rests")
	w.par("  ", "  ", p.Order)
	w.par("  ", "  ", p.Rest)
	for _, r := range p.Runs {
		w.line("")
		w.run(p, r)
	}
	w.line("")
	w.line("What this bench can say of the claims")
	for _, c := range p.Claims {
		w.claim(c)
	}
	return w.lines
}

// Title is the plan's head.
func (p *Plan) Title() string {
	class := ""
	if p.Class != "" {
		class = ", class " + p.Class
	}
	return "Bench plan for " + p.Name + class + ", " + p.Day
}

// Summary says in a sentence or two how much work the plan is.
func (p *Plan) Summary() string {
	if len(p.Claims) == 0 {
		return "The record has no claim yet, so there is nothing to plan: a [[claim]] for each figure that the maker states has the load, the watts and the conditions."
	}
	flagged := 0
	for _, r := range p.Runs {
		if len(r.Flags) > 0 {
			flagged++
		}
	}
	text := fmt.Sprintf("%s for %s, %s with the rests.", counted(len(p.Runs), "run"), counted(len(p.Claims), "claim"), clock(float64(p.TotalS)))
	if flagged > 0 {
		text += fmt.Sprintf(" Look at the flags of %s first.", counted(flagged, "run"))
	}
	return text
}

// By says by which formulas the figures come.
func (p *Plan) By() string {
	return "formulas of the methodology page: " + strings.Join(p.Formulas, ", ")
}

func (w *writer) flags(flags []Flag) {
	for _, f := range flags {
		w.par("  ! ", "    ", f.ID+": "+f.Text+". "+f.Caution)
	}
}

func (w *writer) run(p *Plan, r *Run) {
	w.par("", "  ", fmt.Sprintf("Run %d of %d: %s", r.Number, len(p.Runs), r.Head()))
	w.entry("for", strings.Join(r.For(), "; "))
	for i, line := range r.OutputLines() {
		w.entry(first(i, "output"), line)
	}
	w.entry("supply", r.SupplyLine())
	if line := r.LeadLine(); line != "" {
		w.entry("leads", line)
	}
	w.entry("heat", r.HeatLine())
	for i, m := range r.Meters {
		w.entry(first(i, "meters"), m.Line())
	}
	w.flags(r.Flags)
	if r.Number < len(p.Runs) {
		w.entry("then", "rest for "+clock(float64(r.RestS))+" at least")
	}
}

// first is a name where i is 0.
func first(i int, name string) string {
	if i > 0 {
		return ""
	}
	return name
}

func (w *writer) claim(c *Claim) {
	w.par("  ", "    ", fmt.Sprintf("%s: %s, %s; %s", c.ID, c.Label, unit(float64(c.ClaimW), "W"), c.Conditions))
	w.par("    ", "      ", capital(c.Bounds())+c.by())
	for _, text := range c.Notes() {
		w.par("    ", "      ", text)
	}
}
