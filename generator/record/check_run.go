package record

import (
	"reflect"
	"slices"
	"strings"
)

// run checks one run against its unit, the bench and the methods.
func (k *checker) run(r *Run, u *Unit) {
	k.runMethod(r)
	driven := r.DrivenOf(u)
	sound := len(u.Channels) > 0 && k.driven(r, u)
	k.load(r, driven, sound)
	// a unit may shut down, or blow its fuse, before anything could be read
	if (r.Outcome == "completed" || r.Outcome == "supply-limit") && !r.PowerW.Given() && !r.OutV.Given() && !r.Capture.Given() &&
		!meantFor(r, "outcome", "power_w", "out_v", "capture") {
		k.add(r.Place, "type what the meter at the output showed, one reading a driven channel: out_v = "+exampleReadings(len(driven)),
			"[[run]] has neither out_v nor power_w")
	}
	if sound {
		k.count(r.PowerW, "power_w", driven)
		k.count(r.OutV, "out_v", driven)
		k.count(r.ThdnPct, "thdn_pct", driven)
		k.count(r.LoadC, "load_c", driven)
	}
	k.readings(r)
}

// meantFor reports whether one of these keys was probably meant by something that the run's
// table was refused for: that it is missing is no second mistake then.
func meantFor(r *Run, keys ...string) bool {
	if r.node == nil {
		return false
	}
	s := schemaOf(reflect.TypeFor[Run]())
	for _, kid := range r.node.kids {
		if !kid.refused {
			continue
		}
		meant := []string{kid.name}
		if s.byKey[kid.name] == nil {
			_, _, meant = unknownKey(s, kid.name, "[[run]]", "record.toml")
		}
		if slices.ContainsFunc(meant, func(key string) bool { return slices.Contains(keys, key) }) {
			return true
		}
	}
	return false
}

func (k *checker) runMethod(r *Run) {
	if k.c.Methods == nil || r.Method.ID == "" {
		return
	}
	m := k.methods[r.Method.ID]
	if m == nil {
		k.dangling(r.Method, k.ids.methods, "method", "methods.toml")
		return
	}
	if !m.FreqHz.Given() && !r.FreqHz.Given() {
		k.add(r.Method.Place, "add the signal's frequency to the method in methods.toml, or to this run: freq_hz = 1000",
			"neither the run nor its method %s has freq_hz", quoted(m.ID))
	}
}

// driven checks the channels that a run drove. It reports whether they are
// what readings can be counted by.
func (k *checker) driven(r *Run, u *Unit) bool {
	at := r.Key("driven")
	before := len(k.problems)
	seen := map[string]bool{}
	pairs := 0
	for i, name := range r.Driven {
		one, two, bridged := pair(name)
		if name == "" {
			continue
		}
		if !bridged {
			k.channel(at.Item(i), one, u, seen)
			continue
		}
		pairs++
		if one == two {
			k.add(at.Item(i), "a bridged pair is two channels: "+bridgedExample(u), "%s bridges a channel with itself", quoted(name))
			continue
		}
		k.channel(at.Item(i), one, u, seen)
		k.channel(at.Item(i), two, u, seen)
	}
	if pairs > 0 && pairs < len(r.Driven) {
		k.add(at, "make it two runs, one of the bridged and one of the single channels", "driven mixes bridged pairs and single channels")
	}
	return len(k.problems) == before
}

func bridgedExample(u *Unit) string {
	if len(u.Channels) > 1 {
		return quoted(u.Channels[0] + "+" + u.Channels[1])
	}
	return `"L+R"`
}

// channel checks one channel of driven.
func (k *checker) channel(at Place, name string, u *Unit, seen map[string]bool) {
	switch {
	case !slices.Contains(u.Channels, name):
		hint := "its channels are " + strings.Join(u.Channels, ", ")
		if len(u.Channels) == 1 {
			hint = "its only channel is " + u.Channels[0]
		}
		k.add(at, hint, "the unit has no channel %s", quoted(name))
	case seen[name]:
		k.add(at, "name each driven channel once", "channel %s is driven twice", quoted(name))
	}
	seen[name] = true
}

// load checks what the run was made into.
func (k *checker) load(r *Run, driven []string, sound bool) {
	switch named := r.Load.Given(); {
	case named && r.LoadOhm.Given():
		k.add(r.LoadOhm.Place, "keep load where it is one of bench.toml, load_ohm where it isn't", "both load and load_ohm are given")
	case !named && !r.LoadOhm.Given() && !meantFor(r, "load", "load_ohm"):
		k.add(r.Place, "name the loads of bench.toml, one a driven channel, or give load_ohm", "[[run]] has neither load nor load_ohm")
	case named && sound && len(r.Load.Items) != len(driven):
		k.add(r.Load.Place, "one load a driven channel, in the order of the channels; or name what was driven: driven = "+list(driven[:1]),
			"load names %s, but %s driven (%s)", counted(len(r.Load.Items), "load"), areDriven(driven), strings.Join(driven, ", "))
	}
	seen := map[string]bool{}
	for _, ref := range r.Load.Items {
		switch {
		case ref.ID == "":
			continue
		case seen[ref.ID]:
			k.add(ref.Place, "each driven channel has a load element of its own", "load %s is used twice in one run", quoted(ref.ID))
		case k.c.Bench != nil && k.loads[ref.ID] == nil:
			k.dangling(ref, k.ids.loads, "load", "bench.toml")
		}
		seen[ref.ID] = true
	}
}

func areDriven(driven []string) string {
	return counted(len(driven), "channel") + choose(len(driven) == 1, " is", " are")
}

func list(names []string) string {
	quotes := make([]string, len(names))
	for i, name := range names {
		quotes[i] = quoted(name)
	}
	return "[" + strings.Join(quotes, ", ") + "]"
}

func exampleReadings(n int) string {
	if n < 2 {
		return "17.52"
	}
	return "[17.52, 17.48" + strings.Repeat(", …", n-2) + "]"
}

// count checks that there is one reading a driven channel.
func (k *checker) count(readings Numbers, key string, driven []string) {
	n := len(readings.Items)
	if !readings.Given() || n == 0 || n == len(driven) {
		return
	}
	hint := "one reading a driven channel, in their order; correct the readings, or driven"
	switch {
	case n == 2*len(driven) && allWhole(readings):
		hint = "one reading a driven channel; a decimal is written with a point, not with a comma"
	case n < len(driven):
		hint = "one reading a driven channel, in their order; or name what was driven: driven = " + list(driven[:n])
	}
	k.add(readings.Place, hint, "%s has %s, but %s driven (%s)", key, counted(n, "reading"), areDriven(driven), strings.Join(driven, ", "))
}

// allWhole tells whether a list may have been typed with decimal commas.
func allWhole(n Numbers) bool {
	return !slices.ContainsFunc(n.Items, func(one Number) bool { return strings.Contains(one.Text, ".") })
}

// readings checks the instruments of a run's readings.
func (k *checker) readings(r *Run) {
	for _, at := range []Place{r.With.Place, r.ReadAs.Place} {
		for _, quantity := range ReadQuantities {
			if at.has(quantity) && !r.reads(quantity) {
				k.add(at.Key(quantity), "add the reading, or take this key out", "%s is named here, but the run has no %s", quantity, quantity)
			}
		}
	}
	if k.c.Bench == nil {
		return
	}
	k.quantities(&r.With)
	for _, quantity := range ReadQuantities {
		k.beyond(r, quantity)
	}
}

// beyond reports readings that their instrument has no range for.
func (k *checker) beyond(r *Run, quantity string) {
	ref := r.With.Of(quantity)
	if !ref.Given() {
		ref = k.c.Bench.Usual.Of(quantity)
	}
	in := k.instruments[ref.ID]
	if in == nil {
		return
	}
	largest := in.largest(quantity)
	if largest == nil || !largest.To.Given() {
		return
	}
	bounds := schemaOf(reflect.TypeFor[Run]()).byKey[quantity].bounds
	for _, n := range r.Readings(quantity) {
		if n.Text == "" || !bounds.holds(n.Value) {
			continue // it is refused already, for what it is by itself
		}
		if in.RangeFor(quantity, n.Value) != nil {
			k.corrected(n, in, quantity)
			continue
		}
		k.add(n.Place, "check the reading; or add the range that it was read on to bench.toml; or name the instrument: with = { "+quantity+` = "…" }`,
			"%s is %s, beyond the largest range of instrument %s (%s)", quantity, n.Text, quoted(in.ID), largest.To.Text)
	}
}

// largest gives the instrument's largest range for a quantity, or nil.
func (i *Instrument) largest(quantity string) *Range {
	var best *Range
	for n := range i.Ranges {
		if r := &i.Ranges[n]; r.Reads == quantity && (best == nil || r.To.Value > best.To.Value) {
			best = r
		}
	}
	return best
}

// reads reports whether the run has a reading of the quantity.
func (r *Run) reads(quantity string) bool { return len(r.Readings(quantity)) > 0 }
