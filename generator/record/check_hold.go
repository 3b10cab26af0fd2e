package record

import (
	"strings"
	"time"
)

// groups checks that each hold's group is there, and that each group holds
// something.
func (k *checker) groups(r *Record) {
	var known []string
	for i := range r.Holds {
		known = append(known, r.Holds[i].ID)
	}
	used := map[string]bool{}
	r.holds(func(_, _ string, h *Hold) {
		used[h.Group] = true
		switch text := strings.ToLower(h.Group); {
		case h.Group == "" || r.group(h.Group) != nil:
		case text == "true" || text == "yes":
			k.add(h.Place, "without quotes: hold = true", "there is no hold %s in this record", quoted(h.Group))
		case text == "false" || text == "no":
			k.add(h.Place, "take the key out where nothing is to be held", "there is no hold %s in this record", quoted(h.Group))
		case looksLikeTime(h.Group):
			k.add(h.Place, `a time is written hold = "`+holdExample+`"`, "there is no hold %s in this record", quoted(h.Group))
		default:
			k.dangling(Ref{h.Place, h.Group}, known, "hold", "this record")
		}
	})
	for i := range r.Holds {
		if g := &r.Holds[i]; g.ID != "" && !used[g.ID] {
			p := g.Problem("nothing is held by "+quoted(g.ID), "write hold = "+quoted(g.ID)+" into what is to be kept back")
			p.Severity = Warning
			k.problems = append(k.problems, p)
		}
	}
}

// CheckHolds finds what is, or will be, published before something that it
// refers to: from the given instant on, each thing is looked at when it opens.
// So what passes now passes at any later time.
func (c *Content) CheckHolds(asOf time.Time) Problems {
	k := &checker{c: c}
	now := Opening{At: asOf}
	runs := map[string][]Held{} // by "slug/run", all of that name
	for _, r := range c.Records {
		for id, one := range r.heldRuns() {
			runs[r.Slug+"/"+id] = append(runs[r.Slug+"/"+id], one)
		}
	}
	for _, r := range c.Records {
		k.early(r, now, runs)
		k.earlyCapture(r, now, runs)
		k.earlySuccessor(r, now)
	}
	if c.Methods != nil {
		for i := range c.Methods.Methods {
			k.earlyPool(&c.Methods.Methods[i].Pool, now, runs)
		}
	}
	k.problems.Sort()
	return k.problems
}

// heldRuns are all runs of a record by id, held ones as they are; the others open
// with their unit.
func (r *Record) heldRuns() map[string]Held {
	unit, since := r.opening(r.Unit.Hold)
	runs := map[string]Held{}
	for i := range r.Runs {
		runs[r.Runs[i].ID] = Held{Slug: r.Slug, Kind: "run", Name: r.Runs[i].ID, Hold: r.Unit.Hold, Opens: unit, Until: since}
	}
	for _, h := range r.held() {
		if h.Kind == "run" {
			runs[h.Name] = h
		}
	}
	return runs
}

// early reports the pictures and temperatures of a record that would be seen
// before the run that they name.
func (k *checker) early(r *Record, now Opening, runs map[string][]Held) {
	unit, _ := r.opening(r.Unit.Hold)
	see := func(what string, own Hold, ref Ref) {
		seen, _ := r.opening(own)
		for _, at := range []Opening{unit, now} {
			if at.After(seen) {
				seen = at
			}
		}
		for _, run := range runs[r.Slug+"/"+ref.ID] {
			if ref.Given() && run.Opens.After(seen) {
				k.add(ref.Place, "hold this "+what+" too: "+run.Hold.String()+"; or take the run out of it",
					"the %s names run %s, which is %s", what, quoted(ref.ID), run.When())
			}
		}
	}
	for i := range r.Pictures {
		see("picture", r.Pictures[i].Hold, r.Pictures[i].Run)
	}
	for i := range r.Thermals {
		see("temperature", r.Thermals[i].Hold, r.Thermals[i].After)
	}
}

// earlySuccessor reports a unit that would be seen before the one that it follows.
func (k *checker) earlySuccessor(r *Record, now Opening) {
	seen, _ := r.opening(r.Unit.Hold)
	if now.After(seen) {
		seen = now
	}
	for _, other := range k.c.Records {
		if !r.Unit.Follows.Given() || other.Slug != r.Unit.Follows.ID {
			continue
		}
		for _, h := range other.held() {
			if h.Kind == "unit" && h.Opens.After(seen) {
				k.add(r.Unit.Follows.Place, "hold this unit too: "+h.Hold.String()+"; or leave follows out until then",
					"the unit follows %s, which is %s", quoted(other.Slug), h.When())
			}
		}
	}
}

// earlyPool reports the runs of a pool that can't be seen yet: the pool is
// published with their names, and its figure says something of them.
func (k *checker) earlyPool(p *Pool, now Opening, runs map[string][]Held) {
	for i, id := range p.Runs {
		for n, run := range runs[id] {
			if !run.Opens.After(now) {
				break
			}
			if n == len(runs[id])-1 {
				k.add(p.Key("runs").Item(i), "compute the pool without it: wattsheet pool --write leaves out what is held",
					"the pool names run %s, which is %s", quoted(id), run.When())
			}
		}
	}
}

// earlyCapture reports a capture that would be published whole, with what a run or a spec
// that is still held was read from.
func (k *checker) earlyCapture(r *Record, now Opening, runs map[string][]Held) {
	for i := range r.Captures {
		c := &r.Captures[i]
		if c.Publish != "whole" {
			continue
		}
		var held *Held
		seen := false
		for n := range r.Runs {
			if r.Runs[n].Capture.ID != c.ID {
				continue
			}
			if all := runs[r.Slug+"/"+r.Runs[n].ID]; len(all) > 0 && all[0].Opens.After(now) {
				held = &all[0]
			} else {
				seen = true
			}
		}
		if one, shown := r.specsOf(c.ID, now); one != nil {
			held, seen = one, seen || shown
		} else {
			seen = seen || shown
		}
		if held != nil && seen {
			k.add(c.Key("publish"), `publish = "excerpt"; or hold its other runs too`, "the capture %s is published whole, but %s of it is %s", quoted(c.ID), held.Called(), held.When())
		}
	}
}
