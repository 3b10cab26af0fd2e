package logbook

import (
	"fmt"
	"math"
	"slices"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
)

// Factors by which a reading may be off what is expected before it is asked about
// (a habit of this program, no source): wide enough for a unit that gives a tenth of
// its claim in watts, narrow enough for a meter on DC, a milli or a kilo. The supply
// is trimmed, so little is enough there; and a repeat is nearer than a claim.
const (
	farVolts  = 3
	farPower  = farVolts * farVolts
	farSupply = 1.3
	farRepeat = 1.5 // of volts and amperes, where runs of the same kind were made before
)

// An expected reading lies from low to high, by what was claimed or read before.
type expected struct {
	low, high float64
	named     float64 // the value that a message names; 0: the middle
	by        string  // "claim 4-ohm", "run r01", "6 runs before"
	repeats   bool    // by runs of the same kind
}

func (e expected) known() bool { return e.high > 0 }

// middle is the value that a message names.
func (e expected) middle() float64 {
	if e.named > 0 {
		return e.named
	}
	return math.Sqrt(math.Max(e.low, e.high/100) * e.high)
}

// reach is the factor by which a reading may be off.
func (e expected) reach(key string) float64 {
	switch {
	case key == "supply_v":
		return farSupply
	case key == "thdn_pct":
		return farVolts
	case key == "power_w" || key == "supply_w":
		if e.repeats {
			return farRepeat * farRepeat
		}
		return farPower
	case e.repeats:
		return farRepeat
	}
	return farVolts
}

// off reports whether a reading is too far from what is expected.
func (e expected) off(key string, x float64) bool {
	return e.known() && (x < e.low/e.reach(key) || x > e.high*e.reach(key))
}

// A shown reading is one of a run, with its place in a line and what it should be about.
type shown struct {
	slot
	x    float64
	text string
	want expected
}

// doubts look at the readings of a new run one by one, against what earlier runs of
// its method and load showed, or else what is claimed there. Each is a question for
// whoever typed them. A run that ended by itself is not expected to read as others.
func (b *Book) doubts(r *record.Run) []string {
	if r.Outcome != "completed" && r.Outcome != "supply-limit" {
		return nil
	}
	var all []shown
	for _, key := range record.ReadQuantities {
		if key == "load_c" {
			continue
		}
		for i, n := range r.Readings(key) {
			place := slot{key, i}
			if !perChannel(key) {
				place.channel = -1
			}
			all = append(all, shown{place, n.Value, n.Text, b.expect(r, place)})
		}
	}
	var out []string
	output := false
	for _, a := range all {
		follows := !a.want.repeats && (a.key == "supply_a" || a.key == "supply_w")
		if !a.want.off(a.key, a.x) || follows && output {
			continue // what follows from a doubtful output says nothing of the supply
		}
		output = output || a.key == "out_v" || a.key == "power_w"
		out = append(out, b.question(r, a, all))
	}
	return out
}

// expect is what a reading of a run should be about.
func (b *Book) expect(r *record.Run, place slot) expected {
	if e := b.byRuns(r, place); e.known() {
		return e
	}
	switch place.key {
	case "supply_a", "supply_w":
		return b.bySupply(r, place.key)
	case "thdn_pct":
		m := b.content.Method(r.Method.ID)
		return expected{low: m.ThdnPct.Value, high: m.ThdnPct.Value, by: "method " + m.ID}
	}
	return b.byPlan(r, place)
}

// byRuns is what the valid, completed runs before this one showed: by the same
// method, at the same frequency, into the same loads, on the same channels.
func (b *Book) byRuns(r *record.Run, place slot) expected {
	e, runs, last := expected{repeats: true}, 0, ""
	channels := r.DrivenOf(&b.rec.Unit)
	for i := range b.rec.Runs {
		o := &b.rec.Runs[i]
		n := o.Readings(place.key)
		like := o.Invalid == "" && o.Outcome == "completed" && o.Method.ID == r.Method.ID && b.freq(o) == b.freq(r) &&
			b.nominal(o, 0) == b.nominal(r, 0) && slices.Equal(o.DrivenOf(&b.rec.Unit), channels)
		if k := max(place.channel, 0); !like || k >= len(n) {
			continue
		} else if x := n[k].Value; runs == 0 {
			e.low, e.high = x, x
		} else {
			e.low, e.high = math.Min(e.low, x), math.Max(e.high, x)
		}
		runs, last = runs+1, o.ID
	}
	if e.by = "run " + last; runs > 1 {
		e.by = fmt.Sprintf("%d runs before", runs)
	}
	return e
}

// assumedSupply is the supply voltage that the site assumes; 0 where it doesn't.
func (b *Book) assumedSupply() float64 {
	if b.rec.Unit.Supply == "mains" {
		return b.content.Site.Assume.SupplyMainsV.Value
	}
	return b.content.Site.Assume.SupplyDCV.Value
}

// usualSupply is a supply voltage as it may be typed: the site's, or a usual one.
func (b *Book) usualSupply() string {
	switch v := b.assumedSupply(); {
	case v > 0:
		return quantity.Float(v)
	case b.rec.Unit.Supply == "mains":
		return "230"
	}
	return "14.4"
}

// bySupply is what the supply gives by the power that comes out, at an efficiency of
// 20 % to 95 %: what power stages of any class do near full power (from memory). A
// message names it at the plan's efficiency.
func (b *Book) bySupply(r *record.Run, key string) expected {
	sum := 0.0
	for i, n := range r.OutV.Items {
		if ohm := b.nominal(r, i); ohm > 0 && len(r.PowerW.Items) == 0 {
			sum += n.Value * n.Value / ohm
		}
	}
	for _, n := range r.PowerW.Items {
		sum += n.Value
	}
	e := expected{low: sum / 0.95, high: sum / 0.2, by: "the output power"}
	if at := b.efficiency(); at > 0 {
		e.named, e.by = sum/at, "the output power, at the plan's efficiency of "+quantity.Float(100*at)+nbsp+"%"
	}
	m := b.content.Method(r.Method.ID)
	if m.Signal == "burst" || key == "supply_a" && b.rec.Unit.Supply == "mains" {
		return expected{}
	}
	if key == "supply_a" {
		if !(r.SupplyV.Value > 0) {
			return expected{}
		}
		e.low, e.high, e.named = e.low/r.SupplyV.Value, e.high/r.SupplyV.Value, e.named/r.SupplyV.Value
	}
	return e
}

// freq is the frequency of a run's signal.
func (b *Book) freq(r *record.Run) float64 {
	return r.FreqHz.Or(b.content.Method(r.Method.ID).FreqHz.Value)
}

// nominal is the nominal load of the i-th driven channel, in ohms; 0 where none is known.
func (b *Book) nominal(r *record.Run, i int) float64 {
	if i < len(r.Load.Items) {
		if l := b.content.Bench.Load(r.Load.Items[i].ID); l != nil {
			return l.NominalOhm.Value
		}
		return 0
	}
	return r.LoadOhm.Value
}

// question asks about a reading, with the likeliest cause.
func (b *Book) question(r *record.Run, a shown, all []shown) string {
	said := saidOf[a.key]
	if channels := r.DrivenOf(&b.rec.Unit); a.channel >= 0 && len(channels) > 1 {
		said += " " + channels[a.channel]
	}
	unit := nbsp + unitOf[a.key]
	return fmt.Sprintf("%s reads %s%s, expected about %s%s (%s): %s", said, a.text, unit,
		quantity.Significant(a.want.middle(), 2), unit, a.want.by, likeliest(a, all, b.rec.Unit.Supply == "mains"))
}

// likeliest is the usual cause of a reading that is far off.
func likeliest(a shown, all []shown, mains bool) string {
	for _, o := range all {
		if o.slot != a.slot && a.want.known() && o.want.known() && !a.want.near(o.want) && a.want.holds(o.x) && o.want.holds(a.x) {
			return "are it and " + saidOf[o.key] + " swapped?"
		}
	}
	times, output := a.x/a.want.middle(), a.key == "out_v" || a.key == "power_w"
	near := func(of float64) bool { return math.Abs(math.Log(times/of)) < math.Log(1.5) }
	switch {
	case near(1000) || near(0.001):
		return "milli or kilo? type the unit with it"
	case near(10) || near(0.1) || near(100) || near(0.01) && !output:
		return "a digit or the decimal point?"
	case output && times < 1:
		return "is the meter on DC, a lead off, the signal turned down?"
	case output:
		return "the wrong range, load or channel?"
	case a.key == "thdn_pct":
		return "is it in percent, and of the channel that is driven?"
	case a.key == "supply_a":
		return "is the clamp on DC, zeroed, and around one lead?"
	case a.key == "supply_v" && mains:
		return "is it on AC, read where the unit's lead is plugged in?"
	case a.key == "supply_v":
		return "is it on DC, read at the unit's terminals?"
	}
	return "the wrong range or channel?"
}

// holds reports whether a reading is about what is expected.
func (e expected) holds(x float64) bool { return x > e.low/farSupply && x < e.high*farSupply }

// near reports whether two readings are expected to be about the same.
func (e expected) near(o expected) bool { return e.low < o.high*farSupply && o.low < e.high*farSupply }

// nbsp is the no-break space between a number and its unit.
const nbsp = "\u00a0"
