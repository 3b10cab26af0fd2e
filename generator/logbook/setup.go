package logbook

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// A setup is what stays the same from run to run until it is changed.
type setup struct {
	method  string
	loads   []string          // of bench.toml, one a driven channel
	loadOhm string            // the nominal load, where it isn't one of bench.toml
	planOhm string            // what the plan calls for and bench.toml lacks, while no load is named
	driven  []string          // nil: all of the unit's channels
	order   []string          // of the readings
	freqHz  string            // empty: the method's
	with    map[string]string // instruments that aren't the bench's usual ones, by reading
	readAs  map[string]string // how readings are taken, where it isn't the mean
}

// setupOf is the set-up of the record's last run, with the readings of the last that
// has an output; for a record without runs only what the bench usually reads.
func setupOf(rec *record.Record, bench *record.Bench) setup {
	s := setup{order: usualOrder(bench, rec.Unit.Supply == "mains")}
	if n := len(rec.Runs); n > 0 {
		last := &rec.Runs[n-1]
		s.method, s.loadOhm, s.driven = last.Method.ID, last.LoadOhm.Text, slices.Clone(last.Driven)
		for _, ref := range last.Load.Items {
			s.loads = append(s.loads, ref.ID)
		}
		s.ofMethod(rec)
	}
	for i := len(rec.Runs) - 1; i >= 0; i-- {
		// a run that shut down has only some of what is usually read
		if r := &rec.Runs[i]; r.OutV.Given() || r.PowerW.Given() {
			s.order = orderOf(r)
			break
		}
	}
	return s
}

// ofMethod takes from the last run by the set-up's method what belongs to a method:
// frequency, instruments, and how readings are taken. It reports whether there is
// such a run.
func (s *setup) ofMethod(rec *record.Record) bool {
	for i := len(rec.Runs) - 1; i >= 0; i-- {
		r := &rec.Runs[i]
		if r.Method.ID != s.method {
			continue
		}
		s.freqHz, s.with, s.readAs = r.FreqHz.Text, map[string]string{}, map[string]string{}
		for _, key := range record.ReadQuantities {
			if ref := r.With.Of(key); ref.Given() {
				s.with[key] = ref.ID
			}
		}
		for key, how := range readAsOf(&r.ReadAs) {
			if how != "" && how != "mean" {
				s.readAs[key] = how
			}
		}
		return true
	}
	return false
}

func readAsOf(r *record.ReadAs) map[string]string {
	return map[string]string{"power_w": r.PowerW, "out_v": r.OutV, "supply_v": r.SupplyV, "supply_a": r.SupplyA}
}

// channels are the driven ones.
func (s *setup) channels(u *record.Unit) []string {
	if len(s.driven) > 0 {
		return s.driven
	}
	return u.Channels
}

// lacks says what has to be said before a run can be written.
func (s *setup) lacks(c *record.Content, u *record.Unit) error {
	var methods, loads []string
	for _, m := range c.Methods.Methods {
		methods = append(methods, m.ID)
	}
	for _, l := range c.Bench.Loads {
		loads = append(loads, l.ID)
	}
	switch n := len(s.channels(u)); {
	case s.method == "":
		return fmt.Errorf("no method is named yet\nhint: method %[1]s, or --method %[1]s beside --readings; there are %[2]s", first(methods), strings.Join(methods, ", "))
	case len(s.loads) == 0 && s.loadOhm == "" && s.planOhm != "":
		return fmt.Errorf("no load is named yet\nhint: load %sohm, as the plan says, or a load of bench.toml for each driven channel; there are %s", s.planOhm, strings.Join(loads, ", "))
	case len(s.loads) == 0 && s.loadOhm == "":
		return fmt.Errorf("no load is named yet\nhint: load %[1]s, one a driven channel, or --load %[1]s beside --readings; there are %[2]s; or load 4ohm", first(loads), strings.Join(loads, ", "))
	case len(s.loads) > 0 && len(s.loads) != n:
		return fmt.Errorf("loads and channels don't match: load %s, channels %s\nhint: one load a driven channel; load or channels changes them", strings.Join(s.loads, " "), strings.Join(s.channels(u), " "))
	}
	return nil
}

func first(names []string) string {
	if len(names) == 0 {
		return "NAME"
	}
	return names[0]
}

// say tells the set-up in a line.
func (s *setup) say(u *record.Unit) string {
	var parts []string
	add := func(what, value string) {
		if value != "" {
			parts = append(parts, what+" "+value)
		}
	}
	add("method", s.method)
	add("load", strings.Join(s.loads, " "))
	if s.loadOhm != "" {
		add("load", s.loadOhm+" ohm")
	}
	add("channels", strings.Join(s.channels(u), " "))
	if s.freqHz != "" {
		add("at", s.freqHz+" Hz")
	}
	for _, key := range slices.Concat(channelKeys, wholeKeys) {
		if s.with[key] != "" {
			add(key, "by "+s.with[key])
		}
		if s.readAs[key] != "" {
			add(key, "as "+s.readAs[key])
		}
	}
	return strings.Join(parts, ", ")
}

// sayOrder tells the readings of a line in their order, each with its channels.
func (s *setup) sayOrder(channels []string) string {
	var names []string
	places, _ := slots(s.order, len(channels)) // an order that doesn't fit isn't taken
	for _, at := range places {
		if n := len(names); at.channel > 0 && strings.HasPrefix(names[n-1], at.key+" ") {
			names[n-1] += " " + channels[at.channel]
			continue
		}
		names = append(names, called(at, channels))
	}
	return strings.Join(names, ", ")
}
