package logbook

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A Planned run is one of a unit's bench plan: what is to be set, and what to expect.
type Planned struct {
	Method        string
	FreqHz        float64
	Bridged       bool
	Outputs       []PlannedOutput // of the driven channels
	SupplyV       float64         // at the unit's terminals
	EfficiencyPct float64
	With, ReadAs  map[string]string // what isn't as usual, by reading
	Claims        []string          // ids
	Cautions      []string          // what the plan flags
}

// A PlannedOutput is what one channel, or bridged pair, is expected to give.
type PlannedOutput struct {
	Channel   string
	Load      string // of bench.toml; empty where it has none
	LoadOhm   float64
	PowerW, V float64
}

// A Planner plans a unit's bench work, in the order in which the runs are to be made.
// So what the log expects is what the plan said.
type Planner func(*record.Content, *record.Record) []Planned

// planned is the plan of the record as it was last read.
func (b *Book) planned() []Planned {
	if b.plans == nil && b.planner != nil {
		b.plans = b.planner(b.content, b.rec)
	}
	return b.plans
}

// byPlan is what the plan expects at a run's load: by its method, or else by any.
// Several runs of the plan are a range.
func (b *Book) byPlan(r *record.Run, place slot) expected {
	channels, k := r.DrivenOf(&b.rec.Unit), max(place.channel, 0)
	if k >= len(channels) {
		return expected{}
	}
	bridged, ohm := strings.Contains(channels[k], "+"), b.nominal(r, k)
	of := func(same func(*Planned) bool) (e expected) {
		var claims []string
		for i := range b.planned() {
			p := &b.plans[i]
			for _, o := range p.Outputs {
				if p.Bridged != bridged || !same(p) || math.Abs(ohm-o.LoadOhm) > 0.01*o.LoadOhm {
					continue
				}
				x := map[string]float64{"power_w": o.PowerW, "out_v": o.V, "supply_v": p.SupplyV}[place.key]
				if claims == nil {
					e.low, e.high = x, x
				}
				e.low, e.high = math.Min(e.low, x), math.Max(e.high, x)
				claims = append(claims, p.Claims...)
			}
		}
		slices.Sort(claims)
		if e.by = "the claims at this load"; len(slices.Compact(claims)) == 1 {
			e.by = "claim " + claims[0]
		}
		return e
	}
	e := of(func(p *Planned) bool { return p.Method == r.Method.ID })
	if !e.known() {
		e = of(func(*Planned) bool { return true })
	}
	if !e.known() && place.key == "supply_v" {
		x := b.assumedSupply()
		return expected{low: x, high: x, by: "site.toml"}
	}
	return e
}

// efficiency is what the plan expects of the unit; 0 without a plan.
func (b *Book) efficiency() float64 {
	if plans := b.planned(); len(plans) > 0 {
		return plans[0].EfficiencyPct / 100
	}
	return 0
}

// next is the number of the first run of the plan that the record doesn't have: none
// that is valid by its method, at its loads, on its channels. It is −1 where it has all.
func (d *Dialogue) next() int {
	return slices.IndexFunc(d.book.planned(), func(p Planned) bool {
		return !slices.ContainsFunc(d.book.rec.Runs, func(r record.Run) bool { return d.book.made(&p, &r) })
	})
}

func (b *Book) made(p *Planned, r *record.Run) bool {
	channels := r.DrivenOf(&b.rec.Unit)
	if r.Invalid != "" || r.Method.ID != p.Method || math.Abs(b.freq(r)-p.FreqHz) > 0.01*p.FreqHz || len(channels) != len(p.Outputs) {
		return false
	}
	if r.SupplyV.Given() && !sheet.NearSupply(r.SupplyV.Value, p.SupplyV) {
		return false // it counts for no claim at that voltage
	}
	for i, o := range p.Outputs {
		if channels[i] != o.Channel || math.Abs(b.nominal(r, i)-o.LoadOhm) > 0.01*o.LoadOhm {
			return false
		}
	}
	return true
}

// plan makes the set-up that of a run of the plan.
func (d *Dialogue) plan(p *Planned) {
	u := &d.book.rec.Unit
	d.method, d.freqHz, d.loads, d.loadOhm, d.planOhm, d.driven = p.Method, "", nil, "", "", nil
	if m := d.book.content.Method(p.Method); m != nil && m.FreqHz.Value != p.FreqHz {
		d.freqHz = quantity.Float(p.FreqHz)
	}
	for _, o := range p.Outputs {
		d.driven = append(d.driven, o.Channel)
		if o.Load != "" {
			d.loads = append(d.loads, o.Load)
		}
	}
	if len(d.loads) < len(p.Outputs) {
		d.loads = nil // it has to be named
		d.planOhm = quantity.Float(p.Outputs[0].LoadOhm)
	}
	if slices.Equal(d.driven, u.Channels) {
		d.driven = nil
	}
	d.with, d.readAs = p.With, p.ReadAs
	if _, err := slots(d.order, len(d.channels(u))); err != nil {
		d.order = once(d.order)
	}
}

// sayPlanned says which run of the plan the set-up is, and what the plan flags there.
func (d *Dialogue) sayPlanned(n int) []string {
	p := &d.book.planned()[n]
	said := []string{fmt.Sprintf("run %d of %d of the plan, for %s", n+1, len(d.book.planned()), strings.Join(p.Claims, ", "))}
	for _, c := range p.Cautions {
		said = append(said, "caution: "+c)
	}
	return said
}

// takeNext goes on to the first run of the plan that isn't made yet, or to the one that is
// named by its number: of a load that isn't at hand, or of one more repeat.
func (d *Dialogue) takeNext(words []string) Reply {
	n, runs := d.next(), len(d.book.planned())
	if runs == 0 {
		return Reply{Err: fmt.Errorf("nothing is planned, as the record has no claim that a method answers\nhint: method, load and channels set the next run up")}
	}
	if len(words) > 0 {
		number, err := strconv.Atoi(words[0])
		if err != nil || number < 1 || number > runs || len(words) > 1 {
			return Reply{Err: fmt.Errorf("%s is no run of the plan\nhint: next alone goes on to the first that isn't made yet; the plan has %s: %s", short(strings.Join(words, " ")), counted(runs, "run"), d.numbered())}
		}
		n = number - 1
	}
	if n < 0 {
		return Reply{Said: []string{"each run of the plan is made; further ones are repeats"}}
	}
	d.plan(&d.book.planned()[n])
	return Reply{Said: d.sayPlanned(n)}
}

// numbered lists the plan's runs by number, with the claims that each is for.
func (d *Dialogue) numbered() string {
	var out []string
	for i, p := range d.book.planned() {
		out = append(out, fmt.Sprintf("%d for %s by %s", i+1, strings.Join(p.Claims, " and "), p.Method))
	}
	return strings.Join(out, ", ")
}
