package charts

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/sheet"
)

// leastPoints is how many different powers a load needs for a line of distortion.
const leastPoints = 3

// DistortionByPower draws each channel's distortion against its power, one series a
// load, frequency and bridging, for those with at least three different powers of
// one channel. Bursts are left out. It returns nil when there is none.
func DistortionByPower(s *sheet.Sheet) *Chart {
	p := &plot{id: "distortion-by-power", x: axis{name: "P / W", zero: true},
		views: []view{{id: "%", about: "distortion in percent", axis: "THD+N / %", log: true}}}
	for _, r := range s.Runs {
		if !r.Valid || r.Method != nil && r.Method.Signal == "burst" {
			continue
		}
		for _, ch := range r.Channels {
			if usable(ch.Nominal, ch.Power) && usable(ch.Nominal, ch.Distortion) && ch.Distortion.X > 0 {
				p.addDistortion(r, ch)
			}
		}
	}
	p.series = slices.DeleteFunc(p.series, func(one *series) bool { return !swept(one) })
	if len(p.series) == 0 {
		return nil
	}
	slices.SortStableFunc(p.series, func(a, b *series) int { return compare(b.points[0].ch.Nominal, a.points[0].ch.Nominal) })
	for i, one := range p.series {
		one.style = i
	}
	p.number()
	p.joinApart()
	for _, q := range p.points {
		q.lines = conditions(p.series[q.series].name, q)
		q.lines[0] += ", " + q.fig.Text + " at " + q.ch.Power.Text
	}
	caption := p.caption("THD+N by power per channel, one series a load, in"+nbsp+"%, on a logarithmic axis.") + " Lines join a channel's completed runs at one supply voltage by power."
	return p.chart(p.distortionTitle(), caption, p.overview("Power from zero to the right; distortion upwards, on a logarithmic axis.", "W"), p.distortionTable())
}

func (p *plot) addDistortion(r *sheet.Run, ch *sheet.Channel) {
	name := "into " + ohms(ch.Nominal)
	if r.FreqHz > 0 && !math.IsInf(r.FreqHz, 0) {
		name += " at " + tickText(round3(r.FreqHz)) + nbsp + "Hz"
	}
	one := p.seriesOf(name, strings.TrimPrefix(name, "into "), 0, r.Bridged)
	q := pointOf(ch.Power.X, r, ch, ch.Distortion, reads(ch.Distortion))
	q.elsewise = one.atVolts(r, ch.Name)
	one.points = append(one.points, q)
}

// atVolts names a channel at the supply voltage of a run: the same as an earlier
// point's of that channel within 3 % of it.
func (s *series) atVolts(r *sheet.Run, channel string) string {
	volts := reads(r.SupplyV).y
	for _, q := range s.points {
		if before := reads(q.run.SupplyV).y; q.ch.Name == channel && math.Abs(volts-before) <= apartVolts*before {
			return q.elsewise
		}
	}
	return channel + " " + strconv.Itoa(len(s.points))
}

// swept reports whether a channel of a series has enough different powers.
func swept(one *series) bool {
	powers := map[string][]float64{}
	for _, q := range one.points {
		name := q.ch.Name
		if !slices.Contains(powers[name], q.x) {
			powers[name] = append(powers[name], q.x)
		}
		if len(powers[name]) >= leastPoints {
			return true
		}
	}
	return false
}

// distortionTitle speaks of the series with most completed points.
func (p *plot) distortionTitle() string {
	best := p.series[0]
	for _, one := range p.series[1:] {
		if len(one.done()) > len(best.done()) {
			best = one
		}
	}
	done := best.done()
	if len(done) == 0 {
		return "No run ended as planned"
	}
	low, high := done[0], done[0]
	for _, q := range done {
		if q.x < low.x {
			low = q
		}
		if q.x > high.x {
			high = q
		}
	}
	return "From " + low.ch.Power.ValueText + nbsp + "W to " + high.ch.Power.ValueText + nbsp + "W distortion " + between(done, "%") + best.under()
}

func (p *plot) distortionTable() Table {
	t := Table{Head: []string{"P / W", "U(P) / W", "Series", "Method", "Channel", "Run", "Outcome", "THD+N / %", "U(THD+N) / %", "k"}}
	for _, q := range p.points {
		method := ""
		if q.run.Method != nil {
			method = q.run.Method.Title
		}
		t.add(t.row().value(q.ch.Power).text(p.series[q.series].name, method, q.ch.Name).ended(q.run).figure(q.fig))
	}
	return t
}
