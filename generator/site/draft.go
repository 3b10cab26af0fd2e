package site

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/theme"
)

// A Draft is a site whose content is looked at again and again, and of which only that
// is made anew which follows from what changed ([madeFrom]). What was made of a unit is
// remembered between runs, below .wattsheet/cache.
//
// It is right after [Draft.Refresh], and as of then: it reads files again when it makes
// something of them. Its methods may be called by several goroutines.
type Draft struct {
	// Compress says that what is published is also written packed, beside each text file.
	Compress bool

	work      sync.Mutex // held by what goes through the units, which a publication must not see changed; taken before mu
	mu        patient
	root      string // the absolute path of the folder that content lies in
	folder    string // and of content, without symbolic links
	untouched bool
	program   digest
	theme     theme.Theme
	memory    *memory

	asOf  time.Time
	slugs []string
	units map[string]*unit
	frame *frame
	key   digest // of the frame
	lists *entry

	tables map[digest][]tableFile // how the site's tables came out, by what they were made from

	mains *mains // while the pages of those near each unit are made; nil else

	evaluated sync.Map // the units that were evaluated since the last call that tells, by slug
	ahead     bool     // a refresh has begun: see Ahead

	pending map[string]bool // units that were not looked at since their inputs changed
	recent  recent          // parts that were made last
	good    *frame          // the last one that was right
}

// A unit is what a draft knows of one folder of units.
type unit struct {
	slug    string
	own     inputs // files of its folder
	outline outline
	linked  bool // see looked
	links   []ownLink
	stood   digest // how the files stood before they were read
	torn    bool   // they changed since; see [unit.tear]
	inputs  basis
	entry   *entry // what was made of it last; nil at first

	problems record.Problems
	part     *part // kept while it is recent
	made     basis
	good     *part  // the last one that was right, while it is recent
	shown    inputs // its pictures, when it was right last; nil before
}

// OpenDraft opens the content folder below root. Nothing of it is looked at yet. The
// error's text is one for people.
func OpenDraft(root string) (*Draft, error) { return openDraft(root, theme.Default(), false) }

// InspectDraft is [OpenDraft] for a draft that is only looked at: nothing is written, not
// even the cache.
func InspectDraft(root string) (*Draft, error) { return openDraft(root, theme.Default(), true) }

func openDraft(root string, t theme.Theme, untouched bool) (*Draft, error) {
	d := &Draft{units: map[string]*unit{}, pending: map[string]bool{}, theme: t, untouched: untouched}
	content, err := os.OpenRoot(filepath.Join(root, contentFolder))
	if err != nil {
		return nil, noContent(root, err)
	}
	defer content.Close()
	if d.folder, err = resolved(content.Name()); err != nil {
		return nil, noContent(root, err)
	}
	if d.root, err = resolved(root); err != nil {
		return nil, noContent(root, err)
	}
	if d.program = programDigest(); d.program != "" {
		d.memory = openMemory(d.root, untouched)
	}
	d.lists = d.memory.get(listsName)
	return d, nil
}

// Close lets go of what the draft holds open.
func (d *Draft) Close() { d.memory.close() }

// content opens the content folder. It may be a link, and lead to another folder than before.
func (d *Draft) content() (*os.Root, error) {
	content, err := os.OpenRoot(filepath.Join(d.root, contentFolder))
	if err == nil {
		d.folder, err = resolved(content.Name())
	}
	if err != nil {
		return nil, fmt.Errorf("%s can't be opened: %w\nhint: it has to be a folder that you may read", contentFolder, disk.Cause(err))
	}
	return content, nil
}

// take opens the content folder for what goes through the units, and keeps others from the
// draft until it leaves.
func (d *Draft) take() (content *os.Root, leave func(), err error) {
	d.work.Lock()
	d.mu.Lock()
	if content, err = d.content(); err != nil {
		d.mu.Unlock()
		d.work.Unlock()
		return nil, nil, err
	}
	return content, func() {
		content.Close()
		d.mu.Unlock()
		d.work.Unlock()
	}, nil
}

// look brings what is known of the content folder up to date: units that names touch, or
// all for nil, and the frame. Names are paths from the root, with slashes; one of a folder
// stands for all below it.
func (d *Draft) look(content *os.Root, asOf time.Time, names []string) {
	d.asOf = asOf
	inside := d.frame != nil && d.inside(content, names)
	if !inside {
		d.list(content)
	}
	touched := touchedBy(names)
	var again []*unit
	for _, slug := range d.slugs {
		if u := d.units[slug]; u.own == nil || u.linked || touched(slug) {
			again = append(again, u)
		}
	}
	outlines := make([]bool, len(again)) // those that are others now
	each(len(again), func(i int) {
		u := again[i]
		if u.own == nil && u.entry == nil {
			if e := d.memory.get(u.slug); e.by(d.program) {
				u.entry = e
			}
		}
		l := newLoader(content)
		l.home, l.untouched = d.root, d.untouched
		seen := l.look(u.slug, u.entry)
		outlines[i] = u.outline != seen.outline || d.frame.dependsOn(u.slug)
		u.own, u.outline, u.linked, u.links = seen.own, seen.outline, seen.linked, seen.links
		u.stood, u.torn = seen.stood, false
	})
	all := false
	if !inside || slices.Contains(outlines, true) || d.frame.opened(asOf) {
		all = d.reframe(content)
	}
	all = all || d.frame.behind.asOf.UTC().Format(time.DateOnly) != asOf.UTC().Format(time.DateOnly)
	d.frame.behind.asOf = asOf
	d.assemble(content, again, all)
}

// inside reports whether names lie in the folders of units that are known and still
// there, so that nothing else can have changed; units that links lead out of are looked at
// in any case.
func (d *Draft) inside(content *os.Root, names []string) bool {
	for _, name := range names {
		rest, below := strings.CutPrefix(path.Clean(name), path.Join(contentFolder, unitsFolder)+"/")
		slug, _, _ := strings.Cut(rest, "/")
		if !below || d.units[slug] == nil {
			return false
		}
		if info, err := content.Stat(path.Join(unitsFolder, slug)); err != nil || !info.IsDir() {
			return false
		}
	}
	return names != nil && !d.frame.linked
}

// list lists the units that there are.
func (d *Draft) list(content *os.Root) {
	l := newLoader(content)
	l.surveyTop()
	d.slugs = l.slugs
	here := map[string]bool{}
	for _, slug := range l.slugs {
		here[slug] = true
		if d.units[slug] == nil {
			d.units[slug] = &unit{slug: slug}
		}
	}
	for slug, u := range d.units {
		if !here[slug] {
			d.recent.drop(u)
			delete(d.units, slug)
			delete(d.pending, slug)
		}
	}
}

// touchedBy reports of a unit whether one of the names is in its folder, or above it.
func touchedBy(names []string) func(slug string) bool {
	touched := map[string]bool{}
	for _, name := range names {
		rest, below := strings.CutPrefix(path.Clean(name), path.Join(contentFolder, unitsFolder)+"/")
		if below {
			slug, _, _ := strings.Cut(rest, "/")
			touched[slug] = true
		} else if strings.HasPrefix(path.Join(contentFolder, unitsFolder)+"/", path.Clean(name)+"/") || path.Clean(name) == "." {
			names = nil
			break
		}
	}
	return func(slug string) bool { return names == nil || touched[slug] }
}

// reframe makes the frame again if it would come out another, and reports whether it
// did.
func (d *Draft) reframe(content *os.Root) bool {
	key := d.frameKey(newLoader(content))
	if d.frame != nil && key == d.key {
		return false
	}
	d.frame = d.makeFrame(content)
	d.key = d.frameKey(newLoader(content)) // with what it now knows that others depend on
	if d.frame.right {
		d.good = d.frame
	}
	return true
}

// assemble gives units all their inputs: those that were looked at and those beside them,
// or all units. What isn't known for these inputs is pending.
func (d *Draft) assemble(content *os.Root, again []*unit, all bool) {
	if all {
		again = again[:0]
		for _, slug := range d.slugs {
			again = append(again, d.units[slug])
		}
	} else {
		for _, u := range again {
			for _, slug := range d.besides(u.slug) {
				if other := d.units[slug]; !slices.Contains(again, other) {
					again = append(again, other)
				}
			}
		}
	}
	back, common := d.frame.back(), sharing(d.frame.inputs.of(besideUnits))
	each(len(again), func(i int) {
		again[i].inputs, again[i].torn = d.inputsOf(content, again[i], common, back), false
	})
	for _, u := range again {
		switch {
		case u.entry.known(u.inputs):
			delete(d.pending, u.slug)
			u.problems = kept(u.entry.Problems)
		case u.part != nil && u.made.same(u.inputs, lookedAt) && (u.part.frame.right || !d.frame.right):
			delete(d.pending, u.slug) // it has mistakes, the same as before
		default:
			d.pending[u.slug] = true
		}
	}
}

// besides are the units that one follows, or that follow it, as far as there are any.
func (d *Draft) besides(slug string) []string {
	var out []string
	if to, follows := d.frame.follows[slug]; follows {
		out = append(out, to)
	}
	out = append(out, d.frame.followers[slug]...)
	return slices.DeleteFunc(out, func(s string) bool { return d.units[s] == nil || s == slug })
}

// inputsOf gives all inputs of a unit; of common those that all units share.
func (d *Draft) inputsOf(content *os.Root, u *unit, common basis, back keptBack) basis {
	in := slices.Clone(u.own)
	for _, slug := range d.besides(u.slug) {
		for _, one := range d.units[slug].own {
			if one.Class == theRecord {
				in = append(in, Input{theOthers, one.Name, one.Digest + back.heldDigest(slug, func(string) bool { return false })})
			}
		}
	}
	if chain := d.chain(u.slug); chain != "" {
		in = append(in, Input{theOthers, "which units follow one another", publication.DigestOf([]byte(chain))})
	}
	if len(back.held) > 0 {
		if sum := back.heldDigest(u.slug, d.naming(content, u)); sum != "" {
			in = append(in, Input{theHolds, "what is held", sum})
		}
	}
	if u.outline.Asked && d.frame.content.Site != nil && d.frame.content.Site.ContactRequired {
		in = append(in, Input{theDay, "the day", digest(d.frame.day())})
	}
	if day := record.LastDay(d.asOf); u.outline.Latest > day {
		in = append(in, Input{theDay, "the latest day anywhere", digest(day)})
	}
	in.sort()
	common.Own = slices.Clip(in)
	return common
}

// chain writes down which units one follows, over all, and whether they are there.
func (d *Draft) chain(slug string) string {
	var b strings.Builder
	for range d.slugs {
		to, follows := d.frame.follows[slug]
		if !follows {
			break
		}
		fmt.Fprintf(&b, "%q %t\n", to, d.units[to] != nil)
		slug = to
	}
	return b.String()
}

// naming reports whether a unit's texts may name something.
func (d *Draft) naming(content *os.Root, u *unit) func(text string) bool {
	if u.outline.Escapes {
		return func(string) bool { return true }
	}
	var all strings.Builder
	for _, name := range []string{recordFile, runsFile, notesFile} {
		data, err := disk.Read(content, path.Join(unitsFolder, u.slug, name), disk.Limit)
		if err == nil {
			all.Write(data)
		}
	}
	texts := all.String()
	return func(text string) bool { return text != "" && strings.Contains(texts, text) }
}

// load gives a unit's part, made anew where its inputs changed. With others, the sheets
// of the units beside it are in it, for its page.
func (d *Draft) load(content *os.Root, u *unit, others bool) *part {
	p := u.part
	switch {
	case p == nil || !u.made.same(u.inputs, lookedAt) || d.frame.right && !p.frame.right:
		if p != nil && !u.made.same(u.inputs, sheetClasses) {
			p = nil // its sheet is another now
		}
		p = d.loadPart(newLoader(content), d.frame, u, p)
		if newLoader(content).stands(u.slug) != u.stood {
			u.tear()
		}
		u.part, u.made = p, u.inputs
	case p.frame != d.frame && d.frame.right && p.sheet != nil: // another theme, or navigation
		p = p.redressed(d.frame)
		u.part = p
	}
	if others {
		d.meet(p, u.slug, func(other *unit) *sheet.Sheet {
			o := d.load(content, other, false)
			if other.torn {
				u.tear()
				u.made = u.inputs
			}
			if o.problems.Errors() && other.good != nil {
				return other.good.sheet // as it was when it was right last
			}
			return o.sheet
		})
	}
	return p
}

// meet puts the sheets of the units beside it into a part that has none of them yet.
func (d *Draft) meet(p *part, slug string, sheetOf func(other *unit) *sheet.Sheet) {
	if p.sheet == nil || len(p.site.neighbours) > 0 {
		return
	}
	for _, beside := range d.besides(slug) {
		if s := sheetOf(d.units[beside]); s != nil {
			p.site.neighbours = append(p.site.neighbours, s)
		}
	}
}

// redressed is the same part within another frame, of which what was evaluated doesn't
// depend.
func (p *part) redressed(f *frame) *part {
	out := *p
	out.frame, out.opened = f, nil
	b := *f.binder
	b.site, b.notes = p.site, p.binder.notes
	out.binder = &b
	return &out
}

// A recent keeps the parts that were made last within bounds.
type recent struct{ units []*unit }

// recentParts is how many parts are kept: enough for the pages that are open.
const recentParts = 48

// use notes that a unit's part is used, and lets go of those that were not for long.
func (r *recent) use(u *unit) {
	r.drop(u)
	r.units = append(r.units, u)
	if len(r.units) > recentParts {
		old := r.units[0]
		old.part, old.good, old.made = nil, nil, basis{}
		r.units = slices.Delete(r.units, 0, 1)
	}
}

func (r *recent) has(u *unit) bool { return slices.Contains(r.units, u) }

// drop forgets a unit.
func (r *recent) drop(u *unit) {
	r.units = slices.DeleteFunc(r.units, func(one *unit) bool { return one == u })
}

// briefs are those of the units that may be seen, by slug, with the units they are of.
func (d *Draft) briefs() (briefs []*brief, units []*unit) {
	says := make([]*saying, len(d.slugs))
	each(len(says), func(i int) {
		if e := d.units[d.slugs[i]].entry; e != nil && e.Looked {
			says[i] = e.said()
		}
	})
	for i, slug := range d.slugs {
		if s := says[i]; s != nil && s.Brief != nil {
			briefs, units = append(briefs, s.Brief), append(units, d.units[slug])
		}
	}
	return briefs, units
}

// listGroups are the groups of all lists, of the units that may be seen.
func (d *Draft) listGroups() []*group { return listGroups(d.said()) }

// said are the briefs of the units that may be seen, and what each says.
func (d *Draft) said() ([]*brief, [][]side) {
	briefs, units := d.briefs()
	sides := make([][]side, len(units))
	for i, u := range units {
		sides[i] = u.entry.said().Sides
	}
	return briefs, sides
}

// listGroup is the group of a kind and member; nil where there is none.
func (d *Draft) listGroup(k kind, member string) *group {
	briefs, sides := d.said()
	return listGroup(k, member, briefs, sides)
}

// listInputs are the inputs of what the site has once, without what its units say: that
// is in the groups.
func (d *Draft) listInputs() basis {
	in := slices.Clone(d.frame.inputs)
	var b strings.Builder
	briefs, units := d.briefs()
	bracket, budget := examples(briefs)
	for _, n := range []int{bracket, budget} {
		if n >= 0 {
			fmt.Fprintf(&b, "%v", units[n].inputs.of(sheetClasses))
		}
		b.WriteByte('\n')
	}
	in = append(in, Input{theExamples, "the units that the methodology works through", publication.DigestOf([]byte(b.String()))})
	in.sort()
	return basis{Own: in}
}
