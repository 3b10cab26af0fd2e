package charts

import (
	"fmt"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// nbsp keeps a number and its unit on one line.
const nbsp = "\u00a0"

// signed puts the minus sign, U+2212, in the place of a leading hyphen.
func signed(text string) string {
	if strings.HasPrefix(text, "-") {
		return "−" + text[1:]
	}
	return text
}

// loadText writes a load's nominal resistance without its unit: 8, 2.67, 0.5.
func loadText(ohm float64) string { return strings.TrimSuffix(ohms(ohm), nbsp+"Ω") }

func ohms(load float64) string { return sheet.Ohms(load) }

// caption says what is drawn and how the marks are read, and only of marks that
// there are.
func (p *plot) caption() string {
	says := []string{"Power per channel at the unit's terminals, by load and method, in W."}
	if p.any(func(q *point) bool { return q.ch.Power.U > 0 }) {
		says = append(says, "Uprights: ±"+nbsp+"U (95"+nbsp+"%).")
	}
	if len(p.strokes) > 0 {
		says = append(says, "Heavy strokes: claims.")
	}
	if p.any(func(q *point) bool { return q.run.Bridged }) {
		says = append(says, "Drawn double: bridged.")
	}
	if p.any(func(q *point) bool { return !q.done() }) {
		says = append(says, "Hollow: runs that did not end as planned.")
	}
	if p.joined() {
		says = append(says, "Lines join the lowest completed marks.")
	}
	return strings.Join(says, " ")
}

func (p *plot) any(is func(*point) bool) bool {
	for _, q := range p.points {
		if is(q) {
			return true
		}
	}
	return false
}

func (p *plot) joined() bool {
	for _, s := range p.series {
		if len(s.lowest()) > 1 {
			return true
		}
	}
	return false
}

// description is the drawing in words: axes, then each series from its lowest
// completed points.
func (p *plot) description() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Loads from %s on the left to %s on the right, on a logarithmic axis; power from zero upwards.",
		ohms(p.loads[0]), ohms(p.loads[len(p.loads)-1]))
	if len(p.loads) == 1 {
		b.Reset()
		fmt.Fprintf(&b, "One load, %s; power from zero upwards.", ohms(p.loads[0]))
	}
	for _, s := range p.series {
		fmt.Fprintf(&b, " %s: %s.", capital(s.name), s.summary(p))
	}
	if len(p.strokes) > 0 {
		var claims []string
		for _, k := range p.strokes {
			claims = append(claims, claimText(k)+" at "+k.claim.Label)
		}
		fmt.Fprintf(&b, " Claims: %s.", strings.Join(claims, "; "))
	}
	return b.String()
}

// summary gives a series' lowest completed figure at each load.
func (s *series) summary(p *plot) string {
	line := s.lowest()
	if len(line) == 0 {
		return "no run ended as planned"
	}
	var parts []string
	for _, q := range line {
		parts = append(parts, ohms(p.loads[q.load])+" "+q.ch.Power.Text)
	}
	if len(line) < len(s.points) {
		return "lowest completed figures " + strings.Join(parts, ", ")
	}
	return strings.Join(parts, ", ")
}

// claimText is what a claim says: "160 W claimed".
func claimText(k *stroke) string { return claimW(k) + nbsp + "W claimed" }

// claimW writes the claimed power as the record does.
func claimW(k *stroke) string {
	if text := k.claim.Rec.PowerW.Text; text != "" {
		return text
	}
	return signed(quantity.Float(k.claim.ClaimW))
}

func capital(s string) string {
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}
