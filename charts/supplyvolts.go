package charts

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/sheet"
)

// apartVolts is how far supply voltages must be apart, as a fraction of the lowest,
// for a chart of power against them.
const apartVolts = 0.03

// PowerBySupply draws the power of each channel of the valid runs against the supply
// voltage, for each method and load with completed runs at voltages more than 3 %
// apart. It returns nil when there is none.
func PowerBySupply(s *sheet.Sheet) *Chart {
	p := &plot{id: "power-by-supply", x: axis{name: "supply / V"},
		views: []view{{id: "W", about: "power in watts", axis: "P / W", zero: true}}}
	for _, r := range s.Runs {
		volts := reads(r.SupplyV)
		if !r.Valid || volts.text == "" || !(volts.y > 0) {
			continue
		}
		for _, ch := range r.Channels {
			if usable(ch.Nominal, ch.Power) {
				title, style := methodOf(s, r)
				one := p.seriesOf(title+", "+ohms(ch.Nominal), strings.TrimPrefix(title, "at ")+", "+ohms(ch.Nominal), style, r.Bridged)
				q := pointOf(volts.y, r, ch, ch.Power, reads(ch.Power))
				q.elsewise = ch.Name
				one.points = append(one.points, q)
			}
		}
	}
	p.series = slices.DeleteFunc(p.series, func(one *series) bool {
		low, high := spanOf(one.done())
		return !(high > low*(1+apartVolts))
	})
	if len(p.series) == 0 {
		return nil
	}
	p.restyle()
	p.number()
	p.joinApart()
	for _, q := range p.points {
		q.lines = conditions(p.series[q.series].name, q)
	}
	caption := p.caption("Power per channel at the unit's terminals, by supply voltage at the unit, in"+nbsp+"W.") + " Lines join a channel's completed runs."
	return p.chart(p.supplyTitle(), caption, p.overview("Supply voltage to the right; power from zero upwards.", "V"), p.supplyTable())
}

// spanOf is from where to where points lie on the axis of places.
func spanOf(points []*point) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, q := range points {
		low, high = min(low, q.x), max(high, q.x)
	}
	return low, high
}

// restyle gives series that would look alike looks of their own, in their order.
func (p *plot) restyle() {
	seen := map[int]bool{}
	for _, one := range p.series {
		if seen[one.styleIndex()] {
			for i, each := range p.series {
				each.style, each.swapped = i, 0
			}
			return
		}
		seen[one.styleIndex()] = true
	}
}

// joinApart lets the lines of each series join the points of a channel.
func (p *plot) joinApart() {
	for _, one := range p.series {
		for _, group := range one.apart() {
			one.joins = append(one.joins, lowest(group))
		}
	}
}

// overview is a drawing in words: its axes, then from where to where each series lies.
func (p *plot) overview(axes, unit string) string {
	var b strings.Builder
	b.WriteString(axes)
	for _, one := range p.series {
		where := ""
		if low, high := spanOf(one.points); unit != "" && low < high {
			where = fmt.Sprintf(" %d points from %s to %s;", len(one.points), tickText(round3(low))+nbsp+unit, tickText(round3(high))+nbsp+unit)
		} else if unit != "" {
			where = " at " + tickText(round3(low)) + nbsp + unit + ";"
		}
		fmt.Fprintf(&b, " %s:%s the figure %s.", sheet.Isolated(capital(one.name)), where, between(one.points, one.points[0].fig.Unit))
	}
	return b.String()
}

// round3 is a place to three digits, for words.
func round3(x float64) float64 {
	if x == 0 {
		return 0
	}
	unit := math.Pow10(int(math.Floor(math.Log10(math.Abs(x)))) - 2)
	return math.Round(x/unit) * unit
}

// supplyTitle speaks of the first series: the figures at its lowest and its highest
// voltage, as they are written.
func (p *plot) supplyTitle() string {
	one := p.series[0]
	done := one.done()
	first, last := done[0].run.SupplyV, done[0].run.SupplyV
	for _, q := range done {
		if q.run.SupplyV.X < first.X {
			first = q.run.SupplyV
		}
		if q.run.SupplyV.X > last.X {
			last = q.run.SupplyV
		}
	}
	return "From " + first.ValueText + nbsp + "V to " + last.ValueText + nbsp + "V at the supply, power " + between(done, "W") + one.under()
}

func (p *plot) supplyTable() Table {
	t := Table{Head: []string{"Supply / V", "U(Supply) / V", "Series", "Channel", "Run", "Outcome", "P / W", "U(P) / W", "k"}}
	for _, q := range p.points {
		t.add(t.row().value(q.run.SupplyV).text(p.series[q.series].name, q.ch.Name).ended(q.run).figure(q.fig))
	}
	return t
}
