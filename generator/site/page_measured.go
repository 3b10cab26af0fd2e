package site

import (
	"slices"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A circumstance is the conditions of the runs that a claim's means are made of.
type circumstance struct {
	methods     []string // titles, in the order of the runs
	frequencies []float64
	volts, ohms []*sheet.Figure
}

// runsUnder gathers the conditions of a claim's runs.
func runsUnder(s *sheet.Sheet, c *sheet.Claim) circumstance {
	var under circumstance
	for _, ch := range c.Channels {
		for _, id := range ch.Runs {
			r := runOf(s, id)
			if r == nil {
				continue
			}
			if r.Method != nil {
				if title := sheet.Isolated(r.Method.Title); !slices.Contains(under.methods, title) {
					under.methods = append(under.methods, title)
				}
			}
			if r.FreqHz > 0 && !slices.Contains(under.frequencies, r.FreqHz) {
				under.frequencies = append(under.frequencies, r.FreqHz)
			}
			under.volts = append(under.volts, r.SupplyV)
			for _, of := range r.Channels {
				if of.Name == ch.Name {
					under.ohms = append(under.ohms, of.Resistance)
				}
			}
		}
	}
	slices.Sort(under.frequencies)
	return under
}

// stood says at which supply voltage and load the runs stood; each is empty where the
// readings don't tell.
func (u circumstance) stood() (volts, ohms string) { return fromTo(u.volts), fromTo(u.ohms) }

// measured writes how the runs of a claim were made, beside what it is claimed for.
func (e evidence) measured(s *sheet.Sheet, c *sheet.Claim) {
	under := runsUnder(s, c)
	if len(under.methods) == 0 {
		return
	}
	parts := []string{and(under.methods)}
	if n := len(under.frequencies); n > 0 {
		text := hertz(under.frequencies[0])
		if n > 1 {
			text += " to " + hertz(under.frequencies[n-1])
		}
		parts = append(parts, text)
	}
	volts, ohms := under.stood()
	if volts != "" {
		parts = append(parts, volts+" supply")
	}
	if ohms != "" {
		parts = append(parts, ohms+" at the unit's terminals")
	}
	e.begin("Conditions of its runs").words(join(", ", parts...))
	e.end()
}

// shares writes what the uncertainty of the mean that decides is made of.
func (e evidence) shares(ch *sheet.ClaimChannel) {
	if ch == nil || ch.Mean == nil {
		return
	}
	var parts []string
	for _, s := range ch.Mean.Shares() {
		if percent := quantity.Fixed(100*s.Of, 0); percent != "0" {
			parts = append(parts, s.What+" "+percent+nbsp+"%")
		}
	}
	if len(parts) == 0 {
		return
	}
	e.begin("What its ± is made of").words(join(", ", parts...)).raw(` <a class="soft" href="`).words(e.methodology)
	e.raw("#formula-" + formula.Combined + "\">Shares of u²</a>")
	e.end()
}
