package site

import (
	"cmp"
	"errors"
	"os"
	"slices"
	"sync"
	"time"

	"wattsheet/generator/ledger"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A Built is what a build did and found.
type Built struct {
	Problems record.Problems // sorted; with an error, nothing was written
	Summary  Summary
	// Units is how many units may be seen, Evaluated how many had to be evaluated: the
	// others were recognised.
	Units, Evaluated int
	Cards            int                  // how many units' cards had to be drawn
	Verdicts         map[verdict.Word]int // claims by verdict
	Claims           int
	Findings         int // on units and on the bench
	Held             int // what is held now
	// Pending are corrections that no entry of a ledger has yet.
	Pending []PendingCorrection
	// Uncovered are units with sealed results that changed without a correction.
	Uncovered []Uncovered
}

// An Uncovered is a unit with sealed results that changed without a correction.
type Uncovered struct {
	Slug   string
	status *ledger.Status
}

// Table is the [[correction]] that would cover the changes, as lines, with the day given
// as its date: YYYY-MM-DD.
func (u Uncovered) Table(day string) []string { return u.status.Table(day) }

// Uncovered lists the units with sealed results that changed without a correction.
func (s *Site) Uncovered() (out []Uncovered) {
	for _, unit := range s.Sheets {
		if st := s.Ledger(unit.Slug); st != nil && len(st.Uncovered) > 0 {
			out = append(out, Uncovered{unit.Slug, st})
		}
	}
	return out
}

// A PendingCorrection is published, but not sealed.
type PendingCorrection struct {
	Slug    string
	Changes []string // what it covers
}

// Build makes the folder dir hold the site of the content below root, as it may be seen
// at an instant, as [Site.Publish] says. What is known from an earlier build, and what
// the folder has already, is not made again: a unit is evaluated only if something changed
// that its sheet follows from, or if an output has to be made of it.
//
// The error says that there is no content folder, that the folder can't be written, or
// that the program or its theme has a fault; its text is one for people.
func Build(root string, asOf time.Time, dir string) (Built, error) {
	d, err := OpenDraft(root)
	if err != nil {
		return Built{}, err
	}
	defer d.Close()
	return d.Build(asOf, dir)
}

// Build is the function of that name, for a draft.
func (d *Draft) Build(asOf time.Time, dir string) (Built, error) {
	content, leave, err := d.take()
	if err != nil {
		return Built{}, err
	}
	defer leave()
	d.look(content, asOf, nil)
	return d.publish(content, dir, nil, false)
}

// ErrStopped says that a publication was stopped; what stood in the folder stands there.
var ErrStopped = errors.New("the publication was stopped")

// Publish is [Draft.Build] for the content as the draft knows it since it was refreshed.
// Pages can be opened meanwhile. When stop is closed it ends with [ErrStopped], unless all
// is made by then. An address that would be gone is a warning here: while the content is
// edited, a page may be away for a while.
func (d *Draft) Publish(dir string, stop <-chan struct{}) (Built, error) {
	content, leave, err := d.take()
	if err != nil {
		return Built{}, err
	}
	defer leave()
	return d.publish(content, dir, stop, true)
}

func (d *Draft) publish(content *os.Root, dir string, stop <-chan struct{}, lenient bool) (Built, error) {
	d.evaluated.Clear()
	out, err := openPublisher(d.folder, dir)
	if err != nil {
		return Built{}, err
	}
	out.Compress = d.Compress
	defer out.Close()
	there := d.openStamps(out.Name)
	out.Owner = d.owner(there)
	if err := out.Begin(); err != nil {
		return Built{}, err
	}
	b := &builder{draft: d, content: content, out: out, there: there, lenient: lenient}
	b.wrong = !d.frame.right
	for some := range slices.Chunk(d.groups(), groupsAtATime) {
		each(len(some), func(i int) { b.group(some[i]) })
		d.mu.Yield()
		select {
		case <-stop:
			b.fail("", ErrStopped)
		default:
		}
	}
	if b.err == nil && !b.wrong {
		b.lists()
	}
	return b.end()
}

// groupsAtATime is how many groups of units are made before who waits for a page gets one.
const groupsAtATime = 16

// A builder makes what has to be made for one build.
type builder struct {
	draft   *Draft
	content *os.Root
	out     *publication.Publisher
	there   *stamps
	lenient bool // addresses that would be gone are told of, and no error

	mu        sync.Mutex
	wrong     bool // there is an error in the content: nothing is written any more
	err       error
	errAt     string // where the error was met: the first by name is told
	uncovered []Uncovered
	more      record.Problems // met in making outputs
	cards     int             // of units, drawn
}

// groups are the units in the order in which they are made: those that follow one
// another, by whatever ways, together.
func (d *Draft) groups() [][]*unit {
	seen := map[string]bool{}
	var groups [][]*unit
	for _, slug := range d.slugs {
		if seen[slug] {
			continue
		}
		seen[slug] = true
		group := []*unit{d.units[slug]}
		for i := 0; i < len(group); i++ {
			for _, other := range d.besides(group[i].slug) {
				if !seen[other] {
					seen[other] = true
					group = append(group, d.units[other])
				}
			}
		}
		groups = append(groups, group)
	}
	return groups
}

// group makes the units of a group, and forgets what was loaded for it.
func (b *builder) group(group []*unit) {
	for _, u := range group {
		if b.failed() {
			break
		}
		b.unit(u)
	}
	for _, u := range group {
		b.draft.letGo(u)
	}
}

// letGo forgets a unit's part, unless it is one of those used last.
func (d *Draft) letGo(u *unit) {
	if !d.recent.has(u) {
		u.part, u.made = nil, basis{}
	}
}

func (b *builder) failed() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.err != nil
}

// fail notes an error; of several the one at the first place is told.
func (b *builder) fail(at string, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if err != nil && (b.err == nil || at < b.errAt) {
		b.err, b.errAt = err, at
	}
}

// right reports whether outputs may still be written, and notes that a unit has an error.
func (b *builder) right(problems record.Problems) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.wrong = b.wrong || problems.Errors()
	return !b.wrong
}

// add notes problems that were met in making outputs.
func (b *builder) add(problems record.Problems) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.more = append(b.more, problems...)
}

// unit makes what has to be made of one unit.
func (b *builder) unit(u *unit) {
	d := b.draft
	was := u.entry
	now := &entry{Inputs: u.inputs, Outline: u.outline, Kinds: map[kind]*madeKind{}}
	if was.known(u.inputs) {
		now.saySame(was)
		now.Problems = was.Problems
	}
	var stale []kind
	for _, k := range unitKinds {
		if was.fresh(k, u.inputs) {
			now.Kinds[k] = was.Kinds[k]
		}
	}
	here := b.there.holds(u.slug, now, b.out)
	for _, k := range unitKinds {
		if now.Kinds[k] == nil || !here(k) {
			stale = append(stale, k)
		}
	}
	u.problems = kept(now.Problems)
	if !now.Looked || len(stale) > 0 {
		p := d.load(b.content, u, slices.Contains(stale, kindPage))
		if u.torn { // nothing that is known holds for it
			p = d.load(b.content, u, true)
			now, stale = &entry{Inputs: u.inputs, Outline: u.outline, Kinds: map[kind]*madeKind{}}, unitKinds
		}
		u.problems = p.problems
		if !b.look(now, p) {
			return
		}
	}
	whole := true
	for _, k := range unitKinds {
		made, problems, err := b.kind(u, now, k, slices.Contains(stale, k))
		if err != nil {
			b.fail(u.slug, err)
			return
		}
		b.add(problems)
		now.Kinds[k], whole = made, whole && made != nil
	}
	if !whole {
		return // what isn't published isn't remembered
	}
	u.entry = now
	b.there.take(u.slug, now, b.out, len(stale) > 0)
	for _, made := range now.Kinds {
		b.out.Forget(made.Outputs)
	}
	b.mu.Lock()
	delete(d.pending, u.slug)
	b.mu.Unlock()
	if len(stale) > 0 || was == nil || !was.Inputs.equal(now.Inputs) {
		d.memory.put(u.slug, now)
	}
}

// look takes over what was found of a unit, and reports whether outputs can be made of
// it.
func (b *builder) look(now *entry, p *part) bool {
	b.right(p.problems)
	if uncovered := p.site.Uncovered(); uncovered != nil {
		b.mu.Lock()
		b.uncovered = append(b.uncovered, uncovered...)
		b.mu.Unlock()
	}
	if p.problems.Errors() || !p.frame.right {
		return false
	}
	now.say(p.brief(b.draft.memory))
	now.Problems = keep(p.problems)
	return true
}

// kind publishes the outputs of one kind: those that the folder has are kept, others are
// made. It gives what is to be remembered of them, as put does, and their problems.
func (b *builder) kind(u *unit, now *entry, k kind, stale bool) (*madeKind, record.Problems, error) {
	made := now.Kinds[k]
	if !stale {
		return made, kept(made.Problems), b.out.Keep(made.Outputs)
	}
	if k == kindCard {
		made, err := b.card(u)
		return made, nil, err
	}
	outputs, problems, err := u.part.make(k)
	if err != nil {
		return nil, nil, err
	}
	made, err = b.put(outputs, problems)
	switch k { // nobody else has their bytes
	case kindData:
		clearDesks(outputs)
	case kindPage, kindDerivation:
		clearPages(outputs)
	}
	return made, problems, err
}

// put publishes outputs that were made, and gives what is to be remembered of them: nil
// where there is an error in the content, for then nothing is published. They are made
// all the same, so that the same problems are told in whatever order units are made.
func (b *builder) put(outputs []Output, problems record.Problems) (*madeKind, error) {
	made := &madeKind{Problems: keep(problems)}
	if !b.right(problems) {
		return nil, nil
	}
	list := publication.RollFor(outputs)
	for _, o := range outputs {
		sum, err := b.out.Put(o)
		if err != nil {
			return made, err
		}
		list.Add(o.Path, sum)
	}
	made.Outputs = list.Roll()
	b.out.Enter(made.Outputs)
	return made, nil
}

// end publishes what was made, unless something is wrong, and tells what was found.
func (b *builder) end() (Built, error) {
	d := b.draft
	out := b.found()
	if b.err != nil || b.wrong || out.Problems.Errors() {
		b.out.Abandon()
		return out, b.err
	}
	var err error
	if out.Summary, err = b.out.Finish(); err != nil {
		return out, err
	}
	if !b.lenient {
		out.Problems = append(out.Problems, d.lostLinks(b.published)...)
		out.Problems.Sort()
	}
	b.there.mark(b.out)
	b.there.save()
	if d.memory != nil {
		d.memory.clear(d.units)
		d.memory.clearRows(d.units)
		d.clearPictures()
	}
	return out, nil
}

// published is a file as the folder has it; nil where it can't be read.
func (b *builder) published(name string) []byte {
	data, err := b.out.ReadFile(name)
	if err != nil {
		return nil
	}
	return data
}

// found gathers what is known of all units.
func (b *builder) found() Built {
	d := b.draft
	out := Built{
		Problems: slices.Concat(d.frame.problems, b.more), Verdicts: map[verdict.Word]int{},
		Evaluated: d.evaluations(), Uncovered: b.uncovered, Cards: b.cards,
	}
	out.Held = d.heldNow()
	if d.frame.right {
		out.Findings = len(sheet.BenchFindings(d.frame.content))
	}
	for _, slug := range d.slugs {
		u := d.units[slug]
		out.Problems = append(out.Problems, u.problems...)
		if u.entry == nil || !u.entry.Looked {
			continue
		}
		brief := u.entry.said().Brief
		if brief == nil {
			continue
		}
		out.Units++
		out.Findings += brief.Findings
		for word, n := range brief.Verdicts {
			out.Verdicts[word] += n
			out.Claims += n
		}
		for _, changes := range brief.Pending {
			out.Pending = append(out.Pending, PendingCorrection{slug, changes})
		}
	}
	out.Problems.Sort()
	// A template's mistake is in every page that is made of it.
	out.Problems = slices.Compact(out.Problems)
	sortUncovered(out.Uncovered)
	return out
}

func sortUncovered(all []Uncovered) {
	slices.SortFunc(all, func(a, b Uncovered) int { return cmp.Compare(a.Slug, b.Slug) })
}

// heldNow counts what is held at the draft's instant.
func (d *Draft) heldNow() (n int) {
	for _, h := range d.frame.behind.held {
		if !h.Opens.Reached(d.asOf) {
			n++
		}
	}
	return n
}

// clearPictures takes out of the caches of pictures and captures what no unit has any more.
func (d *Draft) clearPictures() {
	keep := map[digest]bool{}
	for _, u := range d.units {
		for _, one := range u.own {
			if one.Class == thePictures || one.Class == theCaptures {
				keep[one.Digest] = true
			}
		}
	}
	cache := openCache(d.root, d.untouched)
	defer cache.close()
	cache.clear(keep)
	cache.clearTaken(keep)
}
