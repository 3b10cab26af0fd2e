package site

import (
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/theme"
)

// A Refreshed says how a draft stands.
type Refreshed struct {
	Problems record.Problems // of all that was looked at, sorted
	// Pending is how many units were not looked at again yet, though something changed that
	// they depend on. Their problems are those from before.
	Pending   int
	Evaluated int // units, by this call
}

// Refresh brings the draft up to date with the disk as it may be seen at an instant.
// names are the paths that changed, from the root and with slashes; that of a folder
// stands for all below it, and nil for everything. The units that they touch are looked
// at, if they are few; all others that are concerned are pending, see [Draft.Sweep].
func (d *Draft) Refresh(asOf time.Time, names []string) (Refreshed, error) {
	content, leave, err := d.take()
	if err != nil {
		return Refreshed{}, err
	}
	defer leave()
	if !d.ahead {
		d.evaluated.Clear()
	}
	d.ahead = false
	d.refresh(content, asOf, names)
	return d.state(), nil
}

// fewNames is how many names are begun with ahead: a save has one or two, and where more change
// at once others may follow, for which the draft isn't to be busy.
const fewNames = 8

// Ahead begins with what a Refresh with the same names, and the opening of pages after it,
// will have to do, if that concerns few units and nothing else: who waits whether a change
// is done can use the time. Nothing is told, and the Refresh has to follow. Pages are paths
// as for [Draft.Open]: of those, the pages of the units that the names touch are made, and
// given as they will be if nothing else comes.
func (d *Draft) Ahead(asOf time.Time, names, pages []string) (made []Output) {
	content, leave, err := d.take()
	if err != nil {
		return nil // Refresh tells of it
	}
	defer leave()
	if d.frame == nil || !d.frame.right || len(names) > fewNames || !d.inside(content, names) {
		return nil
	}
	if !d.ahead {
		d.evaluated.Clear()
	}
	d.ahead = true
	d.refresh(content, asOf, names)
	touched := touchedBy(names)
	for _, name := range pages {
		slug, k := d.frame.kindOfPath(name)
		if u := d.units[slug]; u != nil && k == kindPage && d.frame.right && touched(slug) {
			if p := d.lastGood(content, u, true); p != nil {
				outputs, _, _ := p.open(k) // a fault of it is told when the page is opened
				if i := slices.IndexFunc(outputs, func(o Output) bool { return o.Path == name }); i >= 0 {
					made = append(made, outputs[i])
				}
			}
		}
	}
	return made
}

// refresh is Refresh, without what is told.
func (d *Draft) refresh(content *os.Root, asOf time.Time, names []string) {
	d.look(content, asOf, names)
	touched := touchedBy(names)
	var first []*unit
	for _, slug := range d.slugs {
		if d.pending[slug] && touched(slug) {
			first = append(first, d.units[slug])
		}
	}
	if len(first) > recentParts {
		first = nil
	}
	d.examine(content, first)
}

// Look brings what the draft knows of its inputs up to date with the disk, and evaluates
// nothing.
func (d *Draft) Look(asOf time.Time) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	content, err := d.content()
	if err != nil {
		return err
	}
	defer content.Close()
	d.look(content, asOf, nil)
	return nil
}

// Sweep looks at units that are pending, until there are none or stop is closed.
func (d *Draft) Sweep(stop <-chan struct{}) (Refreshed, error) {
	d.evaluated.Clear()
	for {
		select {
		case <-stop:
			d.mu.Lock()
			defer d.mu.Unlock()
			return d.state(), nil
		default:
		}
		if state, err := d.sweepSome(); err != nil || state.Pending == 0 {
			return state, err
		}
	}
}

// sweepSome looks at a few units, so that pages are not kept waiting for long.
func (d *Draft) sweepSome() (Refreshed, error) {
	content, leave, err := d.take()
	if err != nil {
		return Refreshed{}, err
	}
	defer leave()
	d.examine(content, d.somePending(runtime.GOMAXPROCS(0)))
	if len(d.pending) > 0 {
		return Refreshed{Pending: len(d.pending)}, nil
	}
	return d.state(), nil
}

// somePending are the first units that are pending, by slug, at most n.
func (d *Draft) somePending(n int) []*unit {
	var out []*unit
	for _, slug := range d.slugs {
		if d.pending[slug] && len(out) < n {
			out = append(out, d.units[slug])
		}
	}
	return out
}

// examine looks at units, on all processors: they are loaded, their problems noted, and
// their briefs remembered.
func (d *Draft) examine(content *os.Root, units []*unit) {
	each(len(units), func(i int) { d.load(content, units[i], false) })
	for _, u := range units {
		d.note(u)
	}
}

// note takes over what was found by loading a unit.
func (d *Draft) note(u *unit) {
	p := u.part
	u.problems = p.problems
	delete(d.pending, u.slug)
	if !p.problems.Errors() && p.frame.right {
		u.good, u.shown = p, slices.Concat(inputs{}, u.own.of([]class{thePictures}))
		if !u.entry.known(u.inputs) {
			u.entry = u.entry.lookedAnew(u, p, d.memory)
			d.memory.put(u.slug, u.entry)
		}
	}
	d.recent.use(u)
}

// lookedAnew is an entry with what was found of a unit now, and the kinds that it still
// holds for.
func (e *entry) lookedAnew(u *unit, p *part, in *memory) *entry {
	now := &entry{Inputs: u.inputs, Outline: u.outline, Problems: keep(p.problems), Kinds: map[kind]*madeKind{}}
	now.say(p.brief(in))
	for _, k := range unitKinds {
		if e.fresh(k, u.inputs) {
			now.Kinds[k] = e.Kinds[k]
		}
	}
	return now
}

// state tells how the draft stands.
func (d *Draft) state() Refreshed {
	out := Refreshed{Problems: slices.Clone(d.frame.problems), Pending: len(d.pending), Evaluated: d.evaluations()}
	for _, slug := range d.slugs {
		out.Problems = append(out.Problems, d.units[slug].problems...)
	}
	out.Problems.Sort()
	return out
}

// Open makes one output of the site by its path below the published folder:
// "units/otter/index.html". Of what has mistakes it is the last one without, as far as
// there was one. The error is [fs.ErrNotExist] where the site has no such output, or a
// fault of the theme, with its problems as text.
func (d *Draft) Open(name string) (Output, error) {
	d.mu.LockFirst()
	defer d.mu.Unlock()
	if d.frame == nil || d.good == nil {
		return Output{}, fs.ErrNotExist
	}
	content, err := d.content()
	if err != nil {
		return Output{}, fs.ErrNotExist // Refresh tells of it
	}
	defer content.Close()
	for _, o := range d.good.assets {
		if o.Path == name {
			return o, nil
		}
	}
	slug, k := d.good.kindOfPath(name)
	var outputs []Output
	var problems record.Problems
	switch u := d.units[slug]; {
	case k == "" || k == kindAssets:
		return Output{}, fs.ErrNotExist
	case slug == "":
		d.briefAll(content)
		g := d.listGroup(k, memberOf(k, name))
		if g == nil {
			return Output{}, fs.ErrNotExist
		}
		if outputs, problems = d.goodList(content, g); outputs == nil {
			return Output{}, fs.ErrNotExist
		}
	case u == nil:
		return Output{}, fs.ErrNotExist
	default:
		p := d.lastGood(content, u, k == kindPage)
		if p == nil {
			return Output{}, fs.ErrNotExist
		}
		outputs, problems, err = p.open(k)
	}
	if err == nil && problems.Errors() {
		err = problems
	}
	if err != nil {
		return Output{}, err
	}
	if i := slices.IndexFunc(outputs, func(o Output) bool { return o.Path == name }); i >= 0 {
		return outputs[i], nil
	}
	return Output{}, fs.ErrNotExist
}

// goodList makes a list of what units were when they were right last; nil where one that it works through has mistakes,
// and isn't remembered as it was.
func (d *Draft) goodList(content *os.Root, g *group) ([]Output, record.Problems) {
	gone := false
	outputs, problems := d.makeListOf(content, d.good, g, func(u *unit) *sheet.Sheet {
		if p := d.lastGood(content, u, false); p != nil {
			return p.sheet
		}
		gone = true
		return nil
	})
	if gone {
		return nil, nil
	}
	return outputs, problems
}

// lastGood is a unit's part as it is, or the last one that was right; with others, the sheets of the units beside it are
// in it.
func (d *Draft) lastGood(content *os.Root, u *unit, others bool) *part {
	if d.frame.right {
		d.load(content, u, others)
		d.note(u)
	}
	p := u.part
	if p == nil || p.sheet == nil || p.problems.Errors() {
		p = d.goodPart(content, u)
	}
	if p != nil && others {
		d.meet(p, u.slug, func(other *unit) *sheet.Sheet {
			if o := d.lastGood(content, other, false); o != nil {
				return o.sheet
			}
			return nil
		})
	}
	return p
}

// goodPart is a unit's part when it was right last. While only what all units share is wrong, it can be made.
func (d *Draft) goodPart(content *os.Root, u *unit) *part {
	if u.good == nil && !d.frame.right {
		if p := d.loadPart(newLoader(content), d.good, u, nil); !p.problems.Errors() {
			u.good = p
			d.recent.use(u)
		}
	}
	return u.good
}

// briefAll looks at all units that no brief is known of, so that lists are whole.
func (d *Draft) briefAll(content *os.Root) {
	if !d.frame.right {
		return
	}
	for len(d.pending) > 0 {
		d.examine(content, d.somePending(8))
	}
}

// Apart tells, before anything is made, whether the site may be published into a folder: the error says that it is
// content, or holds it, as [Site.Publish] does.
func (d *Draft) Apart(dir string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return apart(d.folder, dir)
}

// Folders are those that hold, with the folders in them, what the site is made from, by
// absolute paths: content, and the site's own theme, which may not be there yet. One that is a link is named as the link:
// what changes in it has its name below the root then, and it may lead elsewhere later.
func (d *Draft) Folders() []string {
	d.mu.Lock()
	defer d.mu.Unlock()
	tops := []string{filepath.Join(d.root, contentFolder)}
	if d.frame == nil {
		return tops
	}
	name := d.frame.themeName()
	if name == "" && !d.frame.right { // site.toml may be what is being mended
		name = d.good.themeName()
	}
	if name != "" {
		tops = append(tops, filepath.Join(d.root, theme.TopFolder, name))
	}
	return tops
}

// themeName is the folder of the site's own theme; empty where it has none.
func (f *frame) themeName() string {
	if f == nil || f.content.Site == nil || !filepath.IsLocal(f.content.Site.Theme) {
		return ""
	}
	return f.content.Site.Theme
}

// Root is the absolute path of the folder that names for [Draft.Refresh] start from.
func (d *Draft) Root() string { return d.root }

// Opens is when the next held thing opens by itself.
func (d *Draft) Opens() (at time.Time, ok bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.frame == nil {
		return at, false
	}
	for _, h := range d.frame.behind.held {
		if !h.Opens.ByHand && !h.Opens.Reached(d.asOf) && (!ok || h.Opens.At.Before(at)) {
			at, ok = h.Opens.At, true
		}
	}
	return at, ok
}
