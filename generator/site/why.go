package site

import (
	"cmp"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// A Reason says what an output is made from.
type Reason struct {
	Path string
	// Inputs are all that it follows from, the nearest first.
	Inputs []Input
	// Beyond are, of a list, what follow from what units say to it: by unit the files of its own, by slug, then what
	// units share. None is among Inputs.
	Beyond []Input
	// Since lists those that are not what they were when it was made last: it would be made
	// again. Never says that it was not made yet, as far as is known.
	Since []Input
	Never bool
	// Wrong says that there are mistakes, so that nothing is made before they are mended.
	Wrong bool
}

// Why tells what an output of the site is made from. The error says that the site has no
// such output, with a hint; its text is one for people, and it is an [fs.ErrNotExist]. An output is also named by its
// address, in the site or in a preview.
func (d *Draft) Why(name string) (Reason, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	name, ok := d.belowAddress(name)
	if !ok {
		return Reason{}, noOutput{name, "give an address of this site, or of its preview on this machine"}
	}
	name = strings.TrimPrefix(path.Clean("/"+filepath.ToSlash(name)), "/")
	if ending := path.Ext(name); ending == ".gz" || ending == ".br" { // what is packed follows from what it is packed of
		name = strings.TrimSuffix(name, ending)
	}
	if path.Ext(name) == "" && !strings.HasPrefix(name, "_") && path.Base(name) != checksumsName {
		name = path.Join(name, "index.html")
	}
	slug, k := d.frame.kindOfPath(name)
	out := Reason{Path: name}
	switch u := d.units[slug]; {
	case slug == "" && k == kindAssets:
		return d.whyAsset(name)
	case slug == "":
		return d.whyList(name, k)
	case u == nil || k == "":
		return out, d.noOutput(name)
	default:
		out.Inputs = forPeople(u.inputs.of(madeFrom[k]))
		out.tell(u.entry, k, u.inputs)
		if !out.Never && len(out.Since) == 0 && !u.entry.Kinds[k].has(name) {
			return out, d.noOutput(name)
		}
	}
	return out, nil
}

// whyList is Why for what the site has once. Units that changed are looked at for it: only then is known whether what they
// say to the list is another.
func (d *Draft) whyList(name string, k kind) (Reason, error) {
	out := Reason{Path: name}
	was := map[string]*entry{} // of the units that changed
	if d.lists != nil {
		content, err := d.content()
		if err != nil {
			return out, err
		}
		defer content.Close()
		for slug := range d.pending {
			was[slug] = d.units[slug].entry
		}
		d.briefAll(content)
	}
	out.Wrong = d.state().Problems.Errors()
	g := d.listGroup(k, memberOf(k, name))
	if g == nil {
		return out, d.noOutput(name)
	}
	now := d.listInputs()
	out.Inputs = forPeople(slices.Concat(g.from, now.of(madeFrom[k])))
	out.Beyond = d.beyond(g, out.Inputs)
	out.tellGroup(d.lists, g, now)
	for _, in := range out.Since {
		for _, slug := range slices.Sorted(maps.Keys(was)) {
			for _, one := range d.units[slug].changedFor(in.Class, was[slug]) {
				if !slices.Contains(out.Since, one) {
					out.Since = append(out.Since, one)
				}
			}
		}
	}
	out.Since = forPeople(out.Since)
	if !out.Never && len(out.Since) == 0 && !d.lists.Kinds[g.key()].has(name) {
		return out, d.noOutput(name)
	}
	if k == kindProse && d.frame.binder != nil && !slices.Contains(d.frame.binder.proseNames(), path.Dir(name)) {
		return out, d.noOutput(name)
	}
	return out, nil
}

// beyond are what the facets of a group follow from, or the units that the methodology works through, but for what is
// among its own inputs.
func (d *Draft) beyond(g *group, own inputs) (out inputs) {
	var units []*unit
	briefs, all := d.briefs()
	bracket, budget := examples(briefs)
	for i, u := range all {
		if len(g.from) > 0 && slices.Contains(g.units, briefs[i]) || g.kind == kindMethodology && (i == bracket || i == budget) {
			units = append(units, u)
		}
	}
	var shared inputs
	for _, u := range units {
		for _, in := range forPeople(u.inputs.of(sheetClasses)) {
			named := func(one Input) bool { return one.Name == in.Name }
			switch {
			case slices.ContainsFunc(own, named), slices.ContainsFunc(shared, named):
			case slices.Contains(u.own, in):
				out = append(out, in)
			default:
				shared = append(shared, in)
			}
		}
	}
	return append(out, forPeople(shared)...)
}

// changedFor are the inputs of a unit that changed, if what it says to a facet is another than by an earlier entry; where
// it has mistakes nothing is known of that.
func (u *unit) changedFor(facet class, was *entry) inputs {
	var before, after []side
	if was != nil && was.Looked {
		before = was.said().Sides
	}
	if u.entry != nil && u.entry.Looked {
		after = u.entry.said().Sides
	}
	of := func(all []side) (out []side) {
		for _, s := range all {
			if s.Of == facet {
				out = append(out, s)
			}
		}
		return out
	}
	if slices.Equal(of(before), of(after)) {
		return nil
	}
	if was == nil {
		return u.inputs.of([]class{theRecord})
	}
	return changedSince(was.Inputs.all(), u.inputs.all(), sheetClasses)
}

// tell fills in what changed since an output of a kind was made.
func (r *Reason) tell(e *entry, k kind, now basis) {
	if e == nil || e.Kinds[k] == nil {
		r.Never = true
		return
	}
	r.Since = forPeople(changedSince(e.Inputs.all(), now.all(), madeFrom[k]))
}

// tellGroup is tell for a group of a list.
func (r *Reason) tellGroup(e *entry, g *group, now basis) {
	if e == nil || e.Kinds[g.key()] == nil {
		r.Never = true
		return
	}
	was := slices.Concat(e.Kinds[g.key()].From, e.Inputs.Own)
	r.Since = forPeople(changedSince(was, slices.Concat(g.from, now.Own), madeFrom[g.kind]))
}

// forPeople orders inputs as people are told of them.
func forPeople(in inputs) []Input {
	place := func(c class) int {
		if i := slices.Index(inOrder, c); i >= 0 {
			return 2 * i
		}
		return 2*slices.Index(inOrder, theTheme) - 1
	}
	return slices.SortedStableFunc(slices.Values(in), func(a, b Input) int { return cmp.Compare(place(a.Class), place(b.Class)) })
}

// has reports whether an output is among those that were made.
func (m *madeKind) has(name string) bool {
	return m.Outputs.Has(name)
}
