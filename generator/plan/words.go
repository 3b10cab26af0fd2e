package plan

import (
	"math"
	"strconv"
	"strings"

	"wattsheet/generator/quantity"
)

const nbsp = "\u00a0"

// unit writes a stated number with its unit.
func unit(x float64, of string) string { return quantity.Float(x) + nbsp + of }

// figure writes an expected figure with its unit, with three digits: it is no
// better known.
func figure(x float64, of string) string { return three(x) + nbsp + of }

// three writes a number with three significant digits, whole ones with all of theirs.
func three(x float64) string {
	if x >= 100 {
		return quantity.Fixed(x, 0)
	}
	return quantity.Significant(x, 3)
}

func percent(x float64) string { return three(x) + nbsp + "%" }

// figureOf rounds to so many significant digits.
func figureOf(x float64, digits int) float64 {
	f, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64)
	return f
}

// cautions are those of every bench plan.
func (p *planner) cautions() {
	p.plan.Cautions = []string{
		"All figures are expected from what the maker claims. A figure is never permission: the maker's instructions, local codes and qualified persons go before this plan.",
		"Load banks burn: keep them on stone or metal, clear of anything that burns, with a fan, and never alone.",
		"Batteries vent gas that explodes, and a short across them melts tools: ventilate, cover the terminals, wear eye protection, fuse at the battery.",
		"Sound at this power harms hearing: plan with load resistors, no loudspeakers; where one is connected, protect your ears.",
		"Switch off and wait before any connection is changed.",
	}
	if p.about.mains {
		p.plan.Cautions = append(p.plan.Cautions, "Mains voltage kills: no open unit on the mains, a residual-current device in the line, and work on mains wiring by qualified persons only.")
	}
}

// counted writes a number of things.
func counted(n int, thing string) string {
	if n == 1 {
		return "1" + nbsp + thing
	}
	return strconv.Itoa(n) + nbsp + thing + "s"
}

// clock writes a duration: seconds up to a minute and a half, then minutes, rounded up.
func clock(seconds float64) string {
	if seconds <= 90 {
		return unit(seconds, "s")
	}
	return quantity.Fixed(math.Ceil(seconds/60), 0) + nbsp + "min"
}

// joules writes an energy.
func joules(x float64) string {
	if x >= 1000 {
		return figure(x/1000, "kJ")
	}
	return figure(x, "J")
}

func hertz(f float64) string {
	if f >= 1000 {
		return unit(f/1000, "kHz")
	}
	return unit(f, "Hz")
}

func parse(text string) float64 {
	f, _ := strconv.ParseFloat(text, 64)
	return f
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
