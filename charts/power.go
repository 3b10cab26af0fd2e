package charts

import (
	"math"
	"slices"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// powerViews are the views of power by load, in the order of their buttons. A claim
// is of power into its nominal load: it has no volts of its own, and no place there.
var powerViews = []view{
	{id: "W", about: "power in watts", axis: "P / W", zero: true},
	{id: "dBW", about: "power in decibels above 1 W", axis: "P / dBW"},
	{id: "V", about: "voltage at the unit's terminals", axis: "V / V", zero: true},
}

// PowerByLoad draws the power of each channel at the unit's terminals by load,
// one series a method, bridged apart: every valid run's channels as they are in
// the sheet, each with its U, hollow where the run did not end as planned, the
// claims for the loads tested, and the load lines as thin curves. It returns nil
// when no valid run has a power.
func PowerByLoad(s *sheet.Sheet) *Chart {
	c := powerPlot(s)
	if c == nil {
		return nil
	}
	caption := c.caption("Power per channel at the unit's terminals, by load and method, in W.")
	description := c.description()
	for _, l := range c.addLines(s) {
		description += " " + l.Text
	}
	if len(c.curves) > 0 {
		caption += " Thin curves: load lines, fitted to a channel's runs as to a source behind one resistance"
		if slices.ContainsFunc(c.curves, func(k *curve) bool { return k.broken }) {
			caption += "; broken where the runs don't fit one"
		}
		caption += "."
	}
	return c.chart(c.title(), caption, description, c.powerTable())
}

// powerPlot gathers the valid runs that have a power, or returns nil.
func powerPlot(s *sheet.Sheet) *byLoad {
	c := &byLoad{plot: &plot{id: "power-by-load", views: powerViews}, noun: "power", unit: "W"}
	for _, r := range s.Runs {
		for _, ch := range r.Channels {
			if r.Valid && usable(ch.Nominal, ch.Power) {
				c.add(s, r, pointOf(ch.Nominal, r, ch, ch.Power, reads(ch.Power), levelReading(ch.Power), reads(ch.OutV)))
			}
		}
	}
	if len(c.series) == 0 {
		return nil
	}
	c.finish()
	c.addClaims(s)
	return c
}

// addClaims takes the claims of power for the loads tested; an axis that ends at
// the loads tested has no place for others.
func (c *byLoad) addClaims(s *sheet.Sheet) {
	for _, claim := range s.Claims {
		if claim.Rec == nil || !(claim.ClaimW > 0) || math.IsInf(claim.ClaimW, 0) {
			continue
		}
		if load := loadOf(c.loads, claim.Rec.LoadOhm.Value); load >= 0 {
			k := &stroke{load: c.loads[load], claim: claim}
			level := quantity.Significant(dBW(claim.ClaimW), 4) + nbsp + "dBW claimed (" + claimW(k) + nbsp + "W)"
			k.in = []reading{plain(claim.ClaimW, claimText(k)), plain(dBW(claim.ClaimW), level), {}}
			c.strokes = append(c.strokes, k)
		}
	}
	slices.SortStableFunc(c.strokes, func(a, b *stroke) int { return compare(b.load, a.load) })
	for i, k := range c.strokes {
		k.n = len(c.points) + i
	}
}

// addLines draws the sheet's load lines in the look of the series whose runs they
// are fitted to, and returns those drawn.
func (c *byLoad) addLines(s *sheet.Sheet) []*sheet.LoadLine {
	var drawn []*sheet.LoadLine
	for _, l := range s.Lines {
		if l.Method == nil || len(l.Curve) < 2 {
			continue
		}
		i := slices.IndexFunc(c.series, func(one *series) bool {
			return one.style == styleOf(s, l.Method.ID) && one.bridged == l.Bridged
		})
		if i < 0 {
			continue
		}
		k := &curve{series: i, broken: !l.Fits, y: make([][]float64, len(powerViews))}
		for _, at := range l.Curve {
			if !usable(at.Load, at.Power) || at.Power.X == 0 {
				continue
			}
			k.x = append(k.x, at.Load)
			k.y[0], k.y[1] = append(k.y[0], at.Power.X), append(k.y[1], dBW(at.Power.X))
		}
		slices.Reverse(k.x) // the highest load is at the left
		slices.Reverse(k.y[0])
		slices.Reverse(k.y[1])
		c.curves = append(c.curves, k)
		drawn = append(drawn, l)
	}
	return drawn
}

// powerTable lists exactly the points drawn, in their order, and the claims after
// them.
func (c *byLoad) powerTable() Table {
	t := Table{Head: []string{
		"Load / Ω", "Method", "Channel", "Run", "Outcome",
		"P / W", "U(P) / W", "k", "P / dBW", "V / V", "U(V) / V",
	}}
	for _, q := range c.points {
		row := t.row().text(c.loadText(q.x), c.series[q.series].name, q.ch.Name).ended(q.run)
		t.add(row.figure(q.fig).text(levelCell(q.in[1])).value(q.ch.OutV))
	}
	for _, k := range c.strokes {
		row := append(t.row().text(c.loadText(k.load), "claim: "+k.claim.Label, ""),
			Cell{Text: k.claim.ID, Href: "#claim-" + k.claim.ID}, Cell{Text: k.claim.Word})
		level := quantity.Significant(dBW(k.claim.ClaimW), 4)
		t.add(row.text(claimW(k), "", "", level, "", ""))
	}
	return t
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

func (k *stroke) conditions() []string {
	return slices.DeleteFunc([]string{k.claim.Label, k.claim.Conditions, k.claim.Word}, func(s string) bool { return strings.TrimSpace(s) == "" })
}
