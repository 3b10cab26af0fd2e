package sheet

import (
	"math"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// supplyMost is the largest supply exponent that is physically expected: an
// unregulated supply with a fixed drop has 2·Vs/(Vs − Vd), 2.3 at a drop of 2 V;
// 2.6 leaves room.
const supplyMost = 2.6

// A group is the runs of one channel, by class.
type group struct {
	name    string
	classes map[string][]sample
}

// A sample is one channel of one run.
type sample struct {
	run     *Run
	channel *Channel
}

// leading is the class that speaks for the channel: at, else below, else above.
func (g *group) leading() string {
	for _, class := range []string{classAt, classBelow, classAbove} {
		if len(g.classes[class]) > 0 {
			return class
		}
	}
	return ""
}

// groups sorts the channels of counted runs by name and class. Runs that decide
// nothing go to the uses with their reason.
func (e *evaluator) groups(c *record.Claim, limit float64, counted []chosen) (groups []*group, uses []Use) {
	for _, picked := range counted {
		use, said := Use{Run: picked.run.ID}, make([]classed, 0, 2)
		for _, ch := range picked.channels {
			class, reason := e.classOf(c, limit, picked.run, ch)
			said = say(said, class, reason, ch.Name)
			if class == "" {
				continue
			}
			use.Counts = true
			i := slices.IndexFunc(groups, func(g *group) bool { return g.name == ch.Name })
			if i < 0 {
				i = len(groups)
				groups = append(groups, &group{ch.Name, map[string][]sample{}})
			}
			groups[i].classes[class] = append(groups[i].classes[class], sample{picked.run, ch})
		}
		use.Why = whyClassed(said)
		uses = append(uses, use)
	}
	order := e.rec.Unit.Channels
	slices.SortStableFunc(groups, func(a, b *group) int { return place(order, a.name) - place(order, b.name) })
	return groups, uses
}

// A classed is the class of some channels of a run, and why the first of them is in it.
type classed struct {
	class, why string
	channels   []string
}

// say adds a channel to those of its class.
func say(said []classed, class, why, channel string) []classed {
	for i := range said {
		if said[i].class == class {
			said[i].channels = append(said[i].channels, channel)
			return said
		}
	}
	return append(said, classed{class, why, []string{channel}})
}

// whyClassed says why a run counts as it does: once where its channels are of one class,
// and else by channel.
func whyClassed(said []classed) string {
	if len(said) == 1 {
		return said[0].why
	}
	texts := make([]string, len(said))
	for i, s := range said {
		texts[i] = strings.Join(s.channels, ", ") + ": " + s.why
	}
	return strings.Join(texts, "; ")
}

// place is where a channel, or a pair's first channel, stands in the unit's order.
func place(order []string, name string) int {
	for i, o := range order {
		if name == o || len(name) > len(o) && name[:len(o)+1] == o+"+" {
			return i
		}
	}
	return len(order)
}

// corners carries every channel's runs to the corners of the conditions: the
// supply exponent 0 and 2.6 and, where runs lie on both sides of the claim's
// voltage, the exponents between at which a channel, or all of them together, stand
// worst and best; the load exponent −1 and +1.
func (e *evaluator) corners(c *record.Claim, limit, supplyV float64, groups []*group, all carriers) []verdict.Corner {
	ks := []float64{0, supplyMost}
	by := make([][3]*carrier, len(groups))
	uppers := make([]*carrier, 0, len(groups)) // those that can show the claim short
	for i, g := range groups {
		for j, class := range [3]string{classAt, classBelow, classAbove} {
			samples := g.classes[class]
			if len(samples) == 0 {
				continue
			}
			by[i][j] = all.of(samples, supplyV, c.LoadOhm.Value)
			if (j == 0 || by[i][0] == nil) && bothSides(samples, supplyV) { // only what speaks
				ks = append(ks, e.between(by[i][j], limit)...)
			}
		}
		switch {
		case by[i][0] != nil:
			uppers = append(uppers, by[i][0])
		case by[i][2] != nil:
			uppers = append(uppers, by[i][2])
		}
	}
	ks = append(ks, e.jointly(uppers, len(groups), supplyV, limit)...)
	slices.Sort(ks)
	ks = slices.Compact(ks)
	corners, channels := make([]verdict.Corner, 0, 2*len(ks)), make([]verdict.Channel, 0, 2*len(ks)*len(by))
	for _, k := range ks {
		for _, m := range []float64{-1, 1} {
			first := len(channels)
			for _, of := range by {
				channels = append(channels, verdict.Channel{At: of[0].at(k, m), Below: of[1].at(k, m), Above: of[2].at(k, m)})
			}
			corners = append(corners, verdict.Corner{K: k, M: m, Channels: channels[first:len(channels):len(channels)]})
		}
	}
	return corners
}

// bothSides reports whether the runs lie on both sides of the claim's voltage.
func bothSides(samples []sample, supplyV float64) bool {
	return onBothSides(func(yield func(float64) bool) {
		for _, s := range samples {
			if !yield(s.run.SupplyV.X) {
				return
			}
		}
	}, supplyV)
}

// offLoad returns the sample whose load at the terminals is further from the
// claim's than the load exponents can bridge; nil when there is none.
func offLoad(groups []*group, nominal float64) *sample {
	return anySample(groups, func(s sample) bool {
		return !within(s.channel.Resistance.X, nominal, loadReach)
	})
}

// disagreeing returns the sample of a deciding class whose watt-meter and volts
// differ by more than the U of the difference; nil when there is none.
func disagreeing(groups []*group) *sample {
	return anySample(groups, func(s sample) bool {
		d := s.channel.Check
		return d != nil && math.Abs(d.X) > d.U
	})
}

// anySample finds a sample in the classes that decide.
func anySample(groups []*group, odd func(sample) bool) *sample {
	for _, g := range groups {
		for _, class := range []string{classAt, classBelow, classAbove} {
			for i := range g.classes[class] {
				if s := &g.classes[class][i]; odd(*s) {
					return s
				}
			}
			if class == classAt && len(g.classes[classAt]) > 0 {
				break
			}
		}
	}
	return nil
}
