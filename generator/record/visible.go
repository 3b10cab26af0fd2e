package record

import (
	"slices"
	"strconv"
	"strings"
	"time"
)

// An Opening is when something may be seen: from an instant on, or, ByHand, not
// before the tester takes its hold out. The zero Opening is open at any time.
type Opening struct {
	At     time.Time
	ByHand bool
}

// After reports whether something opens only after another moment. Of two that
// open by hand neither is known to come first.
func (o Opening) After(other Opening) bool {
	if o.ByHand || other.ByHand {
		return o.ByHand && !other.ByHand
	}
	return o.At.After(other.At)
}

// Reached reports whether something with this opening may be seen: from the
// instant itself on, and not a moment before.
func (o Opening) Reached(asOf time.Time) bool { return !o.After(Opening{At: asOf}) }

// A Held is a part of a record that has a hold, whether or not it's open by now.
type Held struct {
	Place        // of the hold
	Slug  string // the unit's
	Kind  string // what it is, by its table's name: unit, claim, run, spec, …
	Name  string // its id, or what it is called; empty for a unit
	Hold  Hold
	// Opens is when it may be seen: never before its unit.
	Opens Opening
	// Until is that instant as it is written; empty where it opens by hand.
	Until string
	// Group and Notice are those of its [[hold]].
	Group, Notice string
}

// Called is what it is called in a sentence: run "r07".
func (h Held) Called() string {
	switch h.Kind {
	case "unit":
		return "the unit " + quoted(h.Slug)
	case "opinion":
		return "the opinion in line " + strconv.Itoa(h.line())
	}
	return choose(h.Kind == "thermal", "temperature", h.Kind) + " " + quoted(h.Name)
}

// When is until when it is held, for a sentence.
func (h Held) When() string {
	if h.Opens.ByHand {
		return "held until its hold is taken out"
	}
	return "held until " + h.Until
}

// Held lists everything with a hold, in the order of records, and within one the
// unit first and then in the order of the schema.
func (c *Content) Held() []Held {
	var all []Held
	for _, r := range c.Records {
		all = append(all, r.held()...)
	}
	return all
}

func (r *Record) held() (all []Held) {
	unit, since := r.opening(r.Unit.Hold)
	r.holds(func(kind, name string, h *Hold) {
		if !h.On {
			return
		}
		one := Held{Place: h.Place, Slug: r.Slug, Kind: kind, Name: name, Hold: *h, Group: h.Group}
		if one.Opens, one.Until = r.opening(*h); unit.After(one.Opens) {
			one.Opens, one.Until = unit, since
		}
		if g := r.group(h.Group); g != nil {
			one.Notice = g.Notice
		}
		all = append(all, one)
	})
	return all
}

// holds goes through the holds of everything that can have one.
func (r *Record) holds(see func(kind, name string, h *Hold)) {
	see("unit", "", &r.Unit.Hold)
	for i := range r.Claims {
		see("claim", r.Claims[i].ID, &r.Claims[i].Hold)
	}
	for i := range r.Runs {
		see("run", r.Runs[i].ID, &r.Runs[i].Hold)
	}
	for i := range r.Specs {
		see("spec", r.Specs[i].ID, &r.Specs[i].Hold)
	}
	for i := range r.Functions {
		see("function", r.Functions[i].Name, &r.Functions[i].Hold)
	}
	for i := range r.Thermals {
		see("thermal", r.Thermals[i].Spot, &r.Thermals[i].Hold)
	}
	for i := range r.Opinions {
		see("opinion", "", &r.Opinions[i].Hold)
	}
	for i := range r.Pictures {
		see("picture", r.Pictures[i].File, &r.Pictures[i].Hold)
	}
	for i := range r.Videos {
		see("video", r.Videos[i].ID, &r.Videos[i].Hold)
	}
	for i := range r.Corrections {
		see("correction", strings.Join(r.Corrections[i].Changes, ", "), &r.Corrections[i].Hold)
	}
}

func (r *Record) group(id string) *HoldGroup {
	for i := range r.Holds {
		if id != "" && r.Holds[i].ID == id {
			return &r.Holds[i]
		}
	}
	return nil
}

// opening says when a hold opens by itself, and that instant as written. A hold
// that can't be read, or whose group isn't there, opens by hand.
func (r *Record) opening(h Hold) (o Opening, until string) {
	if !h.On {
		return Opening{}, ""
	}
	until = h.Until
	if g := r.group(h.Group); g != nil {
		until = g.Until.Text
	}
	at, why, _ := ParseTime(until)
	if why != "" {
		return Opening{ByHand: true}, ""
	}
	return Opening{At: at}, until
}

// Visible gives the content as it may be published at an instant: what is still
// held then is not in it, and nothing in it has a hold, so that no later room can
// know of either. It is what the decoders would give had the held tables, and all
// holds, never been written. The content itself stays as it is.
func (c *Content) Visible(asOf time.Time) *Content {
	seen := *c
	seen.Records = nil
	at := Opening{At: asOf}
	for _, r := range c.Records {
		if unit, _ := r.opening(r.Unit.Hold); !unit.After(at) {
			seen.Records = append(seen.Records, r.visible(at))
		}
	}
	return &seen
}

// Unopened gives the records of the units that are held at an instant, each as it
// may be published when its unit opens: their mistakes should show before.
func (c *Content) Unopened(asOf time.Time) (records []*Record, opens []Opening) {
	for _, r := range c.Records {
		if unit, _ := r.opening(r.Unit.Hold); unit.After(Opening{At: asOf}) {
			records, opens = append(records, r.visible(unit)), append(opens, unit)
		}
	}
	return records, opens
}

// Later gives a record as it may be published at each instant after another at which
// something of it opens, with what opens then, in their order. What opens by hand is in none.
func (r *Record) Later(asOf time.Time) (records []*Record, opening []Held) {
	for _, h := range r.held() {
		known := slices.ContainsFunc(opening, func(o Held) bool { return o.Opens.At.Equal(h.Opens.At) })
		if !h.Opens.ByHand && h.Opens.At.After(asOf) && !known {
			opening = append(opening, h)
		}
	}
	slices.SortStableFunc(opening, func(a, b Held) int { return a.Opens.At.Compare(b.Opens.At) })
	for _, h := range opening {
		records = append(records, r.visible(h.Opens))
	}
	return records, opening
}

// visible is the record without what opens after a moment, and without holds.
func (r *Record) visible(at Opening) *Record {
	holds := r.Holds != nil
	r.holds(func(_, _ string, h *Hold) { holds = holds || h.Given() })
	if !holds {
		return r
	}
	out := *r
	out.Holds, out.Unit.Hold = nil, Hold{}
	out.Claims = open(r, at, r.Claims, func(c *Claim) *Hold { return &c.Hold })
	out.Runs = open(r, at, r.Runs, func(run *Run) *Hold { return &run.Hold })
	out.Specs = open(r, at, r.Specs, func(s *Spec) *Hold { return &s.Hold })
	out.Functions = open(r, at, r.Functions, func(f *Function) *Hold { return &f.Hold })
	out.Thermals = open(r, at, r.Thermals, func(t *Thermal) *Hold { return &t.Hold })
	out.Opinions = open(r, at, r.Opinions, func(o *Opinion) *Hold { return &o.Hold })
	out.Pictures = open(r, at, r.Pictures, func(p *Picture) *Hold { return &p.Hold })
	out.Videos = open(r, at, r.Videos, func(v *Video) *Hold { return &v.Hold })
	out.Corrections = open(r, at, r.Corrections, func(c *Correction) *Hold { return &c.Hold })
	if len(out.Videos) < len(r.Videos) {
		out.unmark()
	}
	out.Captures = out.named(r.Captures)
	return &out
}

// open copies those of a record's tables that may be seen, without their holds.
func open[T any](r *Record, at Opening, all []T, hold func(*T) *Hold) []T {
	var seen []T
	for _, one := range all {
		h := hold(&one)
		if o, _ := r.opening(*h); o.After(at) {
			continue
		}
		*h = Hold{}
		seen = append(seen, one)
	}
	return seen
}

// named are those captures that a run or a spec of the record names: what held ones were
// read from is held with them.
func (r *Record) named(all []Capture) []Capture {
	return slices.DeleteFunc(slices.Clone(all), func(c Capture) bool {
		return !r.reads(c.ID)
	})
}
