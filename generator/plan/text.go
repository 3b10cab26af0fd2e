package plan

import (
	"fmt"
	"strings"

	"wattsheet/generator/quantity"
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
	w.line("")
	w.line("What is taken, where nothing is stated")
	for _, a := range p.Assumptions {
		w.par("  - ", "    ", a.Text+" ("+a.Source+")")
	}
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
		return "The record has no claim yet, so there is nothing to plan."
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

func (w *writer) flags(flags []Flag) {
	for _, f := range flags {
		w.par("  ! ", "    ", f.ID+": "+f.Text+". "+f.Caution)
	}
}

func (w *writer) run(p *Plan, r *Run) {
	w.par("", "  ", fmt.Sprintf("Run %d of %d: %s", r.Number, len(p.Runs), r.Head()))
	w.entry("for", strings.Join(r.For(), "; "))
	for i, o := range r.Outputs {
		w.entry(first(i, "output"), o.Line(r))
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

// Head says what a run is: the load, the channels and the method.
func (r *Run) Head() string {
	var loads []string
	for i, o := range r.Outputs {
		if i == 0 || o.LoadOhm != r.Outputs[i-1].LoadOhm {
			loads = append(loads, sheet.Ohms(float64(o.LoadOhm)))
		}
	}
	text := strings.Join(loads, " and ")
	if r.Bridged {
		text += " bridged"
	}
	if n := len(r.Outputs); n > 1 && r.Bridged {
		text += ", " + counted(n, "pair") + " driven"
	} else if n > 1 {
		text += ", " + counted(n, "channel") + " driven"
	}
	return text + ", " + r.MethodTitle + ", " + hertz(float64(r.FreqHz)) + ", " + clock(float64(r.DurationS))
}

// For says which claims a run is for, and what could be said of each.
func (r *Run) For() []string {
	var out []string
	for _, c := range r.claims {
		out = append(out, c.ID+", "+unit(float64(c.ClaimW), "W")+": "+c.Bounds())
	}
	return out
}

// Bounds says from where to where a claim would be short, open and met.
func (c *Claim) Bounds() string {
	var parts []string
	if c.ShortUpToW != nil {
		parts = append(parts, fmt.Sprintf("short up to %s (−%s)", bounded(*c.ShortUpToW, c.ClaimW, false), change(*c.ShortfallPct)))
	}
	if c.MetFromW != nil {
		sign := "+"
		if *c.MarginPct < 0 {
			sign = ""
		}
		parts = append(parts, fmt.Sprintf("met from %s (%s%s)", bounded(*c.MetFromW, c.ClaimW, true), sign, change(*c.MarginPct)))
	}
	if len(parts) == 0 {
		return "this bench can't decide it"
	}
	return strings.Join(parts, ", ")
}

// bounded writes a power that something holds up to, or from, with so many decimals
// that a tenth of a percent of the claim is seen; rounded to the side that is true.
func bounded(w, claim Number, up bool) string {
	decimals := 0
	for scale := 1000.0; float64(claim) < scale && decimals < 4; scale /= 10 {
		decimals++
	}
	step := 1.0
	for range decimals {
		step /= 10
	}
	text := quantity.Fixed(float64(w), decimals)
	switch x := parse(text); {
	case up && x < float64(w)*(1-1e-12):
		text = quantity.Fixed(x+step, decimals)
	case !up && x > float64(w)*(1+1e-12):
		text = quantity.Fixed(x-step, decimals)
	}
	return text + nbsp + "W"
}

func change(pct Number) string { return quantity.Fixed(float64(pct), 1) + nbsp + "%" }

// Line says what one channel is expected to give.
func (o Output) Line(r *Run) string {
	load := "a load that bench.toml doesn't have"
	if o.Load != "" {
		load = o.Load
	}
	text := fmt.Sprintf("%s into %s: %s, %s, %s", o.Channel, load, figure(float64(o.V), "V"), figure(float64(o.A), "A"), unit(float64(o.W), "W"))
	switch {
	case o.MaxW > 0:
		text += fmt.Sprintf("; %s in the element, rated %s", figure(float64(o.HeatW), "W"), unit(float64(o.MaxW), "W"))
	case r.Share < 1:
		text += fmt.Sprintf("; %s in the element on average", figure(float64(o.HeatW), "W"))
	}
	if o.Assumed {
		text += " (no claim says what it gives meanwhile)"
	}
	return text
}

// SupplyLine says what is expected from the supply.
func (r *Run) SupplyLine() string {
	s := &r.Supply
	text := fmt.Sprintf("%s at %s at the unit's terminals: %s", figure(float64(s.A), "A"), unit(float64(s.V), "V"), figure(float64(s.W), "W"))
	if r.Share < 1 {
		text += fmt.Sprintf(", in bursts; %s on average", figure(float64(s.MeanA), "A"))
	}
	switch {
	case s.ID == "":
		text += "; no supply of bench.toml is near that voltage"
	case s.MaxA == 0:
		text += "; from " + s.ID
	case s.MaxA >= s.A:
		text += fmt.Sprintf("; %s gives %s, so %s are left", s.ID, unit(float64(s.MaxA), "A"), figure(float64(s.MaxA-s.A), "A"))
	default:
		text += fmt.Sprintf("; %s gives only %s", s.ID, unit(float64(s.MaxA), "A"))
	}
	if s.FusesA > 0 {
		text += fmt.Sprintf("; the unit's fuses are for %s", unit(float64(s.FusesA), "A"))
	}
	if s.BladeA > 0 {
		text += fmt.Sprintf("; a fuse of the bench's own in this line: the next blade rating is %s", unit(float64(s.BladeA), "A"))
	}
	return text
}

// LeadLine says what is lost in the supply's leads; empty where nothing is known.
func (r *Run) LeadLine() string {
	s := &r.Supply
	switch {
	case s.LeadOhm > 0:
		text := fmt.Sprintf("%s%smΩ: %s and %s are lost in them", three(1000*float64(s.LeadOhm)), nbsp, figure(float64(s.LeadDropV), "V"), figure(float64(s.LeadHeatW), "W"))
		if !r.mains {
			text += fmt.Sprintf(", so %s at the supply", quantity.Fixed(float64(s.V+s.LeadDropV), 2)+nbsp+"V")
		}
		if s.Leads != "" {
			text += " (" + s.Leads + ")"
		}
		return text
	case s.Leads != "":
		return s.Leads + "; without lead_mm2 and lead_m in bench.toml the drop isn't known"
	}
	return ""
}

// HeatLine says where the energy goes.
func (r *Run) HeatLine() string {
	h := &r.Heat
	average := ""
	if r.Share < 1 {
		average = fmt.Sprintf(" in a burst, %s on average", figure(float64(h.MeanW), "W"))
	}
	return fmt.Sprintf("%s in the unit%s, %s in the load; %s from the supply in the run, %s of it stay in the unit", figure(float64(h.UnitW), "W"), average, figure(float64(h.LoadW), "W"), joules(float64(h.EnergyJ)), joules(float64(h.UnitJ)))
}

// Line says which instrument to set to what.
func (m Meter) Line() string {
	name := m.Reads
	if m.Channel != "" {
		name += " of " + m.Channel
	}
	expected := figure(float64(m.Expected), m.Unit)
	if m.Reads == "thdn_pct" || m.Reads == "supply_v" { // these are set
		expected = unit(float64(m.Expected), m.Unit)
	}
	if m.Instrument == "" {
		return fmt.Sprintf("%s: about %s, and no instrument for it", name, expected)
	}
	text := fmt.Sprintf("%s: %s on its range to %s, about %s", name, m.Instrument, unit(float64(m.Range), m.Unit), expected)
	if m.Range == 0 {
		text = fmt.Sprintf("%s: %s has no range for about %s", name, m.Instrument, expected)
	}
	if m.Held == "held-min" {
		text += ", the lowest within a burst"
	}
	if m.Other {
		text += " (not the usual instrument)"
	}
	return text
}

func (w *writer) claim(c *Claim) {
	w.par("  ", "    ", fmt.Sprintf("%s: %s, %s; %s", c.ID, c.Label, unit(float64(c.ClaimW), "W"), c.Conditions))
	w.par("    ", "      ", capital(c.Bounds())+c.by())
	for _, text := range c.Notes() {
		w.par("    ", "      ", text)
	}
}

// by says by which runs a claim is decided, and with what uncertainty.
func (c *Claim) by() string {
	text := ""
	if c.UW > 0 {
		text = fmt.Sprintf("; U = %s, %s", figure(float64(c.UW), "W"), percent(float64(c.UPct)))
	}
	if len(c.Runs) == 0 {
		return text
	}
	runs := make([]string, len(c.Runs))
	for i, n := range c.Runs {
		runs[i] = fmt.Sprint(n)
	}
	word := "run "
	if len(runs) > 1 {
		word = "runs "
	}
	return text + "; by " + word + strings.Join(runs, " and ")
}

// Notes says what a claim's bounds leave out.
func (c *Claim) Notes() []string {
	var out []string
	if c.Why != "" {
		out = append(out, c.Why)
	}
	if len(c.Lacks) > 0 {
		out = append(out, "U lacks something: "+strings.Join(c.Lacks, "; ")+".")
	}
	return out
}
