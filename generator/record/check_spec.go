package record

import (
	"slices"
	"strings"
)

// reads reports whether a run or a spec of the record names a capture.
func (r *Record) reads(id string) bool {
	return slices.ContainsFunc(r.Runs, func(run Run) bool { return run.Capture.ID == id }) ||
		slices.ContainsFunc(r.Specs, func(s Spec) bool { return s.Capture.ID == id })
}

// OutOf gives the column of the output that a stated figure is read from, or nil: without a
// channel's name the only one.
func (c *Capture) OutOf(channel string) *CaptureChannel {
	if channel != "" {
		return c.Out(channel)
	}
	var only *CaptureChannel
	for i := range c.Channels {
		if c.Channels[i].Role != "out" {
			continue
		}
		if only != nil {
			return nil
		}
		only = &c.Channels[i]
	}
	return only
}

// specReading says in which unit a figure that is read from a capture is, and which keys
// it needs; drop_db may be beside a corner's.
var specReading = map[string]struct {
	unit  string
	needs []string
}{
	"corner-low":      {"Hz", []string{"at_hz"}},
	"corner-high":     {"Hz", []string{"at_hz"}},
	"slope":           {"dB/octave", []string{"low_hz", "high_hz"}},
	"boost-centre":    {"Hz", []string{"at_hz"}},
	"boost-height":    {"dB", []string{"at_hz"}},
	"signal-to-noise": {"dB", []string{"low_hz", "high_hz", "weighting", "ref_w", "ref_ohm"}},
}

// specKeys are those that belong to a figure that is read from a capture.
var specKeys = []string{"at_hz", "drop_db", "low_hz", "high_hz", "weighting", "ref_w", "ref_ohm"}

// specCapture checks what a stated figure says of its capture.
func (k *checker) specCapture(s *Spec, of *Record) {
	c := k.captured(of, s.Place, "spec", s.Capture, s.FromS, s.ToS, append([]string{"of"}, specKeys...)...)
	if c == nil {
		return
	}
	if c.OutOf(s.Of) == nil {
		switch {
		case s.Of != "":
			k.add(s.Key("of"), "add its column to the capture, or name a channel that it has", "capture %s has no output of channel %s", quoted(c.ID), quoted(s.Of))
		case slices.ContainsFunc(c.Channels, func(ch CaptureChannel) bool { return ch.Role == "out" }):
			k.add(s.Capture.Place, "say which channel's it is: of = \"…\"", "capture %s has several outputs, and the spec doesn't say which it is read from", quoted(c.ID))
		}
	}
	k.specReads(s)
}

// specReads checks that a figure is in the unit of what is read, and has the keys for it.
func (k *checker) specReads(s *Spec) {
	how, known := specReading[s.CaptureAs]
	if !known {
		if s.CaptureAs == "" {
			k.add(s.Capture.Place, `say what is read there: capture_as = "corner-high"`, "a capture is named, but not what is read from it")
		}
		return
	}
	if s.Unit != how.unit {
		k.add(s.Key("capture_as"), "write unit = "+quoted(how.unit)+", and the maker's figure in it", "%s is read in %s, but the unit is %s", s.CaptureAs, how.unit, quoted(s.Unit))
	}
	for _, key := range specKeys {
		needed := slices.Contains(how.needs, key)
		switch {
		case needed && !s.has(key):
			k.add(s.Key("capture_as"), "write "+key+" = …", "%s needs %s", s.CaptureAs, key)
		case !needed && s.has(key) && (key != "drop_db" || !strings.HasPrefix(s.CaptureAs, "corner")):
			k.add(s.Key(key), "take it out", "%s says nothing of %s", key, s.CaptureAs)
		}
	}
	if s.LowHz.Given() && s.HighHz.Given() && s.LowHz.Value >= s.HighHz.Value {
		k.add(s.HighHz.Place, "low_hz is the lower end, high_hz the upper", "the band runs from %s Hz to %s Hz", s.LowHz.Text, s.HighHz.Text)
	}
}

// specsOf gives one of the specs that are read from a capture and held after a moment, and
// whether others may be seen then.
func (r *Record) specsOf(capture string, now Opening) (held *Held, seen bool) {
	unit, since := r.opening(r.Unit.Hold)
	for i := range r.Specs {
		s := &r.Specs[i]
		if s.Capture.ID != capture {
			continue
		}
		opens, until := r.opening(s.Hold)
		if unit.After(opens) {
			opens, until = unit, since
		}
		if opens.After(now) {
			held = &Held{Slug: r.Slug, Kind: "spec", Name: s.ID, Hold: s.Hold, Opens: opens, Until: until}
		} else {
			seen = true
		}
	}
	return held, seen
}
