package ledger

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"wattsheet/generator/formula"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// sep stands between the parts of a result's path.
const sep = " / "

// headOf is the part of a path that says what it is a result of: run r1.
func headOf(path string) string {
	head, _, _ := strings.Cut(path, sep)
	return head
}

// StateOf lists the results of an evaluated sheet, and what they rest on. It
// leaves out what follows from a price, which changes without anything being
// measured, and the deviations of repeats, which follow from sealed powers.
func StateOf(s *sheet.Sheet) *State {
	state := collected(s, nil)
	state.needs = sync.OnceValue(func() map[string]map[string]bool {
		needs := map[string]map[string]bool{}
		collected(s, needs)
		return needs
	})
	return state
}

// needsOf are the names that a result rests on.
func (s *State) needsOf(head string) map[string]bool {
	if s.needs == nil {
		return nil
	}
	needs := s.needs()
	if is := strings.HasPrefix(head, anyRatio+" "); is && needs[head] == nil {
		head = anyRatio
	}
	return needs[head]
}

// exponentHead and anyRatio are the heads of the unit's supply exponent and, with a name
// behind it, of a ratio.
const exponentHead, anyRatio = "supply exponent", "ratio"

// lineHead is the head of a load line.
func lineHead(method, channel string) string { return part("load line " + method + " " + channel) }

// collected lists results, and into needs, where there is a map, what each rests on.
func collected(s *sheet.Sheet, needs map[string]map[string]bool) *State {
	about := 20*len(s.Runs) + 10*len(s.Claims) // as many figures
	c := &collector{state: &State{Figures: make([]Figure, 0, about)}, seen: make(map[string]bool, about), formulas: map[string]bool{}, needs: needs, sheet: s}
	for _, r := range s.Runs {
		c.run(r)
	}
	for _, claim := range s.Claims {
		c.claim(claim)
	}
	for _, spec := range s.Specs {
		c.spec(spec)
	}
	for _, t := range s.Thermals {
		c.thermal(t)
	}
	c.fitNeeds()
	for _, l := range s.Lines {
		c.line(l)
	}
	c.exponent(s.Exponent)
	for _, r := range s.Ratios {
		c.ratio(r)
	}
	c.basis()
	return c.state
}

// A collector gathers the results of one sheet.
type collector struct {
	state    *State
	sheet    *sheet.Sheet
	seen     map[string]bool // paths
	formulas map[string]bool // ids of formulas used
	needs    map[string]map[string]bool
}

// part is a name as a part of a path: it can't look like several.
func part(name string) string { return strings.ReplaceAll(name, sep, "/") }

// path makes a path that no other result has.
func (c *collector) path(parts ...string) string {
	for i := range parts {
		parts[i] = part(parts[i])
	}
	whole := strings.Join(parts, sep)
	path := whole
	for n := 2; c.seen[path]; n++ {
		path = fmt.Sprintf("%s (%d)", whole, n)
	}
	c.seen[path] = true
	return path
}

// figure adds a figure, where there is one.
func (c *collector) figure(f *sheet.Figure, parts ...string) {
	if f == nil {
		return
	}
	path := c.path(parts...)
	c.state.Figures = append(c.state.Figures, Figure{Of: path, Unit: f.Unit, X: digits(f.X), U: digits(f.U), Formula: f.Formula})
	if c.needs != nil {
		c.need(headOf(path), "formula "+f.Formula)
	}
	c.formulas[f.Formula] = true
}

// need notes what a result rests on.
func (c *collector) need(head string, names ...string) {
	if c.needs == nil {
		return
	}
	if c.needs[head] == nil {
		c.needs[head] = map[string]bool{}
	}
	for _, n := range names {
		c.needs[head][n] = true
	}
}

// needAs makes one result rest on all that another rests on.
func (c *collector) needAs(head, other string) {
	for n := range c.needs[other] {
		c.need(head, n)
	}
}

func (c *collector) run(r *sheet.Run) {
	head := "run " + r.ID
	if c.needs != nil {
		c.need(head, c.runNeeds(r)...)
	}
	for _, ch := range r.Channels {
		at := func(f *sheet.Figure, name string) { c.figure(f, head, "channel "+ch.Name, name) }
		at(ch.Resistance, "resistance")
		at(ch.Volts, "volts")
		at(ch.OutV, "out_v")
		at(ch.Power, "power")
		at(ch.Check, "check")
		at(ch.Distortion, "thdn")
	}
	c.figure(r.Total, head, "total")
	c.figure(r.SupplyV, head, "supply_v")
	c.figure(r.SupplyA, head, "supply_a")
	c.figure(r.SupplyPower, head, "supply_power")
	c.figure(r.Efficiency, head, "efficiency")
	c.figure(r.Heat, head, "heat")
}

func (c *collector) claim(claim *sheet.Claim) {
	head := "claim " + claim.ID
	v := Verdict{Of: c.path(head), Verdict: string(claim.Verdict), Reason: claim.Reason}
	if claim.HasP {
		v.P = []float64{digits(claim.PMin), digits(claim.PMax)}
	}
	v.flip(claim.Flip)
	c.state.Verdicts = append(c.state.Verdicts, v)
	c.need(head, head, "rule", "unit", "formula "+formula.Carried, "formula "+formula.Chance)
	c.formulas[formula.Carried], c.formulas[formula.Chance] = true, true
	for _, u := range claim.Uses {
		c.needAs(head, "run "+u.Run)
	}
	c.figure(claim.Level, head, "level")
	for _, ch := range claim.Channels {
		c.figure(ch.Mean, head, "channel "+ch.Name, "mean")
	}
	if claim.Estimate == nil {
		return
	}
	for _, ch := range claim.Estimate.Channels {
		c.figure(ch.Low, head, "estimate "+ch.Name, "lowest")
		c.figure(ch.High, head, "estimate "+ch.Name, "highest")
		if ch.Own != nil {
			for _, r := range c.sheet.Runs { // the unit's own exponent comes of any of them
				c.needAs(head, "run "+r.ID)
			}
		}
		c.figure(ch.Own, head, "estimate "+ch.Name, "by the unit's own exponent")
	}
}

// exponent adds the unit's supply exponent.
func (c *collector) exponent(e *sheet.SupplyExponent) {
	if e == nil {
		return
	}
	c.figure(e.K, exponentHead, "k")
}

// fitNeeds notes what load lines, the exponent and the ratios rest on: also on runs that they
// leave out now, and also where there are none any more. That they are gone then has its
// cause among these.
func (c *collector) fitNeeds() {
	if c.needs == nil {
		return
	}
	c.need(anyRatio, "unit")
	for _, r := range c.sheet.Runs {
		for _, ch := range r.Channels {
			c.needAs(lineHead(r.Method.ID, ch.Name), "run "+r.ID)
		}
		c.needAs(exponentHead, "run "+r.ID)
		c.needAs(anyRatio, "run "+r.ID)
	}
}

func (v *Verdict) flip(f *verdict.Flip) {
	if f == nil {
		return
	}
	if f.ShiftTo != "" && !math.IsInf(f.Shift, 0) {
		v.FlipW, v.FlipTo = digits(f.Shift), string(f.ShiftTo)
	}
	if f.ScaleTo != "" && !math.IsInf(f.Scale, 0) {
		v.Scale, v.ScaleTo = digits(f.Scale), string(f.ScaleTo)
	}
}

func (c *collector) spec(s *sheet.Spec) {
	head := "spec " + s.ID
	v := Verdict{Of: c.path(head), Verdict: string(s.Verdict)}
	if s.Measured != nil {
		v.P = []float64{digits(s.P)}
		c.need(head, "formula "+formula.SpecChance)
		c.formulas[formula.SpecChance] = true
	}
	c.state.Verdicts = append(c.state.Verdicts, v)
	c.need(head, append(c.specNeeds(s), head, "rule")...)
	c.figure(s.Measured, head, "measured")
}

func (c *collector) thermal(t *sheet.Thermal) {
	head := thermalName(c, t)
	c.need(head, head)
	for i, p := range t.Points {
		point := fmt.Sprintf("point %d", i+1)
		c.figure(p.TempC, head, point, "temperature")
		c.figure(p.Rise, head, point, "rise")
	}
}

func (c *collector) line(l *sheet.LoadLine) {
	head := lineHead(l.Method.ID, l.Channel)
	c.figure(l.E, head, "E")
	c.figure(l.Rs, head, "Rs")
}

func (c *collector) ratio(r sheet.Ratio) {
	head := anyRatio + " " + r.Name
	if !slices.Contains([]string{"W/l", "W/kg"}, r.Figure.Unit) {
		return
	}
	c.needAs(head, anyRatio)
	c.figure(r.Figure, head)
}
