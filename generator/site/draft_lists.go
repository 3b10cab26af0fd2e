package site

import (
	"os"
	"slices"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/theme"
)

// lists makes what the site has once.
func (b *builder) lists() {
	d := b.draft
	if _, err := b.put(d.frame.assets, nil); err != nil {
		b.fail(theme.AssetsFolder, err)
		return
	}
	was, other := d.lists, false
	groups := d.listGroups()
	now := &entry{Inputs: d.listInputs(), Looked: true, Kinds: map[kind]*madeKind{}}
	for _, g := range groups {
		if was.freshGroup(g, now.Inputs) {
			now.Kinds[g.key()] = was.Kinds[g.key()]
		}
	}
	d.readTables()
	kinds := b.listsOf(groups, now)
	if b.failed() {
		return
	}
	whole := !d.anyTorn() // else what lists were made of isn't what the digests say
	if !whole {
		d.tables = nil
	}
	for i, g := range groups {
		if whole = whole && kinds[i] != nil; kinds[i] != nil {
			now.Kinds[g.key()] = kinds[i]
			other = other || was == nil || was.Kinds[g.key()] != kinds[i]
		}
	}
	if whole { // what isn't published isn't remembered
		d.lists = now
		b.there.take(listsName, now, b.out, other)
		if other || len(was.Kinds) != len(now.Kinds) || !was.Inputs.equal(now.Inputs) {
			d.memory.put(listsName, now)
		}
		d.keepTables()
	}
	for _, u := range d.units {
		d.letGo(u)
	}
}

// listsOf publishes the groups of all lists, and gives what is to be remembered of each. Of a
// kind that has a group for each member several are made at once: they are made of briefs alone.
func (b *builder) listsOf(groups []*group, now *entry) []*madeKind {
	here, kinds := b.there.holds(listsName, now, b.out), make([]*madeKind, len(groups))
	one := func(i int) {
		g := groups[i]
		made, problems, err := b.list(g, now.Kinds[g.key()], here)
		b.fail(string(g.key()), err)
		b.add(problems)
		kinds[i] = made
	}
	ofBriefs := []kind{kindLoad, kindMaker, kindNear}
	for from := 0; from < len(groups) && !b.failed(); {
		to := from + 1
		for to < len(groups) && groups[to].kind == groups[from].kind && slices.Contains(ofBriefs, groups[to].kind) {
			to++
		}
		if groups[from].kind == kindNear {
			b.draft.mains = new(mains)
		}
		each(to-from, func(i int) { one(from + i) })
		b.draft.mains = nil
		from = to
	}
	return kinds
}

// list publishes a group of a list, as kind does for a unit: what was made of it last is
// kept where it is fresh and the folder has it.
func (b *builder) list(g *group, fresh *madeKind, here func(kind) bool) (*madeKind, record.Problems, error) {
	if fresh != nil && here(g.key()) {
		return fresh, kept(fresh.Problems), b.out.Keep(fresh.Outputs)
	}
	outputs, problems := b.draft.makeList(b.content, b.draft.frame, g)
	if g.kind == kindHosting && b.lenient && len(problems) > 0 {
		problems = asWarnings(problems)
		_, err := b.put(outputs, problems)
		return nil, problems, err // not to be remembered as such
	}
	made, err := b.put(outputs, problems)
	if made != nil {
		made.From = g.from
	}
	switch g.kind { // nobody else has their bytes
	case kindTables:
		clearTables(outputs)
	case kindMaker, kindLoad:
		clearPages(outputs)
	}
	return made, problems, err
}

// makeList makes the outputs of one group of a list.
func (d *Draft) makeList(content *os.Root, f *frame, g *group) ([]Output, record.Problems) {
	return d.makeListOf(content, f, g, func(u *unit) *sheet.Sheet { return d.load(content, u, false).sheet })
}

// makeListOf is makeList with the sheets given that the methodology works through.
func (d *Draft) makeListOf(content *os.Root, f *frame, g *group, sheetOf func(u *unit) *sheet.Sheet) ([]Output, record.Problems) {
	b := *f.binder
	b.tables, b.mains = d.tableMaker(content), d.mains
	return b.listOutputs(g, func(n int) *sheet.Sheet {
		if n < 0 {
			return nil
		}
		_, units := d.briefs()
		return sheetOf(units[n])
	})
}

// evaluations is how many units were evaluated since the last call that tells.
func (d *Draft) evaluations() (n int) {
	d.evaluated.Range(func(any, any) bool { n++; return true })
	return n
}
