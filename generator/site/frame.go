package site

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/disk"
	"wattsheet/generator/publication"
	"wattsheet/generator/record"
	"wattsheet/generator/theme"
)

// A frame is what all units of a site share: the files that every site has, prose, the
// theme, and what is held anywhere. It is only read once it is made.
type frame struct {
	content  *record.Content // Records are those that others depend on, whole
	known    []string        // their slugs
	problems record.Problems
	right    bool // none of the problems is an error
	checker  *record.Checker
	behind   withheld
	theme    theme.Theme
	binder   *binder  // nil while the frame isn't right
	assets   []Output // what the theme brings
	inputs   inputs
	linked   bool // a link leads to one of its files
	// follows and followers are the units that one follows, and that follow one.
	follows   map[string]string
	followers map[string][]string
}

// makeFrame reads what the units share. Where files change while they are read, their digests
// may be those of other bytes than what was made of them: then all of it is read again.
func (d *Draft) makeFrame(content *os.Root) (f *frame) {
	for range 3 { // who saves all the time is told of the last one
		before := newLoader(content).topSums()
		f = d.readFrame(newLoader(content))
		if f.dressed() && newLoader(content).topSums() == before {
			break
		}
	}
	return f
}

// dressed reports whether the theme's templates still are what the inputs say.
func (f *frame) dressed() bool {
	for _, one := range f.inputs {
		name, is := strings.CutPrefix(one.Name, "the theme's pages/")
		if !is {
			continue
		}
		if data, err := fs.ReadFile(f.theme.Files, path.Join("pages", name)); err != nil || publication.DigestOf(data) != one.Digest {
			return false
		}
	}
	return true
}

// readFrame is makeFrame for files that don't change. The records that others depend on are
// read whole.
func (d *Draft) readFrame(l *loader) *frame {
	f := &frame{follows: map[string]string{}, followers: map[string][]string{}}
	f.relations(d)
	var err error
	s := &Site{Content: &record.Content{Records: []*record.Record{}}, Prose: map[string]*record.File{}, Notes: map[string]*record.File{}}
	l.surveyTop()
	slugs := l.slugs
	l.slugs = nil // records are read elsewhere
	f.problems = slices.Concat(l.problems, l.decode(s))
	f.readWhole(d, l, s.Content)
	f.content = s.Content
	f.checker = s.Content.Checker(record.Others{Slugs: append([]string{}, slugs...), Follows: f.follows})
	f.problems = slices.Concat(f.problems, f.checker.Shared(), s.Content.CheckHolds(d.asOf), s.Content.Ahead(d.asOf))
	f.behind = withheld{asOf: d.asOf, content: s.Content, held: s.Content.Held()}
	f.digests(d, l)
	if s.addresses, err = readAddresses(l.root); err != nil {
		f.problems = append(f.problems, unreadable(addressesFile, err))
	}
	f.linked = f.linked || l.isLink(addressesFile)
	f.inputs = append(f.inputs, Input{theAddresses, path.Join(contentFolder, addressesFile), publication.DigestOf(s.addresses)})
	if !f.problems.Errors() {
		f.dress(d, s)
	}
	f.right = !f.problems.Errors() && f.binder != nil
	f.inputs.sort()
	return f
}

// relations notes which units follow one another.
func (f *frame) relations(d *Draft) {
	for _, slug := range d.slugs {
		if to := d.units[slug].outline.Follows; to != "" {
			f.follows[slug] = to
			f.followers[to] = append(f.followers[to], slug)
		}
	}
}

// readWhole reads the records that others depend on: those with something held, those
// that follow one of them, and those that a pool names. A pool that names a run without
// its unit depends on all.
func (f *frame) readWhole(d *Draft, l *loader, c *record.Content) {
	wanted := map[string]bool{}
	for _, slug := range d.slugs {
		if d.units[slug].outline.Holds {
			wanted[slug] = true
			for _, later := range f.followers[slug] {
				wanted[later] = true
			}
		}
	}
	if c.Methods != nil {
		for i := range c.Methods.Methods {
			for _, run := range c.Methods.Methods[i].Pool.Runs {
				slug, _, whole := strings.Cut(run, "/")
				if whole {
					wanted[slug] = true
					continue
				}
				for _, slug := range d.slugs {
					wanted[slug] = true
				}
			}
		}
	}
	for _, slug := range d.slugs {
		if !wanted[slug] {
			continue
		}
		if r := l.whole(slug); r != nil {
			f.known = append(f.known, slug)
			c.Records = append(c.Records, r)
		}
	}
}

// digests notes the inputs that all units share.
func (f *frame) digests(d *Draft, l *loader) {
	add := func(of class, name string, sum digest) { f.inputs = append(f.inputs, Input{of, name, sum}) }
	add(theProgram, programName, d.program)
	for of, name := range map[class]string{theSite: siteFile, theBench: benchFile, theMethods: methodsFile} {
		data, err := disk.Read(l.root, name, disk.Limit)
		if err != nil {
			data = []byte("unreadable: " + err.Error())
		}
		f.linked = f.linked || l.isLink(name)
		add(of, path.Join(contentFolder, name), publication.DigestOf(data))
	}
	f.linked = f.linked || l.isLink(proseFolder) || l.isLink(unitsFolder)
	for _, name := range l.prose {
		name = path.Join(proseFolder, name+".md")
		f.linked = f.linked || l.isLink(name)
		data, err := disk.Read(l.root, name, disk.Limit)
		if err != nil {
			data = []byte("unreadable: " + err.Error())
		}
		add(theProse, path.Join(contentFolder, name), publication.DigestOf(data))
	}
}

// dress prepares the theme and the prose.
func (f *frame) dress(d *Draft, s *Site) {
	add := func(of class, name string, sum digest) { f.inputs = append(f.inputs, Input{of, name, sum}) }
	t, missing := d.theme.Of(d.root, s.Content.Site)
	f.theme = t
	assets, paths, problems, err := t.Assets()
	problems = append(problems, missing...)
	if err != nil {
		problems = append(problems, record.Problem{Summary: err.Error()})
	}
	f.problems = append(f.problems, problems...)
	f.assets = assets
	for _, o := range assets {
		// Pages name assets by paths that have their digests.
		add(theTheme, "the theme's "+o.Path, publication.DigestOf(nil))
	}
	for _, name := range t.Names() {
		if path.Dir(name) != "pages" {
			continue // as an asset
		}
		of := theTheme
		if layout := strings.TrimSuffix(path.Base(name), ".html"); slices.Contains(theme.LayoutNames, layout) {
			of = theLayout(layout)
		}
		if data, err := fs.ReadFile(t.Files, name); err == nil {
			add(of, "the theme's "+name, publication.DigestOf(data))
		}
	}
	s = &Site{ // nothing that is held is in it
		Content: &record.Content{Site: f.content.Site, Bench: f.content.Bench, Methods: f.content.Methods},
		Prose:   s.Prose, behind: f.behind, addresses: s.addresses,
	}
	f.binder, problems = s.binder(t, paths)
	f.problems = append(f.problems, problems...)
	if f.binder == nil {
		return
	}
	var nav strings.Builder
	for _, p := range f.binder.nav {
		fmt.Fprintf(&nav, "%q %q\n", p.Path, p.Text)
	}
	add(theNavigation, "the pages of prose and their titles", publication.DigestOf([]byte(nav.String())))
	if held := f.back().heldDigest("", func(string) bool { return true }); held != "" {
		add(theHolds, "what is held", held)
	}
}

// back is what is kept back at the frame's instant.
func (f *frame) back() keptBack {
	s := &Site{Content: f.content, behind: f.behind}
	return s.now()
}

// key tells whether a frame would come out the same: the inputs that it is made from, the
// records that others depend on, and what is held at the instant.
func (d *Draft) frameKey(l *loader) digest {
	var b strings.Builder
	b.WriteString(l.topSums())
	var t theme.Theme
	if d.frame != nil && d.frame.theme.Files != nil {
		// Opened anew: another folder may have its name now.
		var odd record.Problems
		t, odd = d.theme.Of(d.root, d.frame.content.Site)
		fmt.Fprintf(&b, "%q\n", odd.Error())
	}
	if t.Folder != "" {
		_, err := os.Stat(filepath.Join(d.root, t.Folder))
		fmt.Fprintf(&b, "%s %t\n", t.Folder, err == nil)
	}
	for _, name := range t.Names() {
		data, _ := fs.ReadFile(t.Files, name)
		fmt.Fprintf(&b, "%q %s\n", name, publication.DigestOf(data))
	}
	known := d.frame.dependedOn()
	for _, slug := range d.slugs {
		u := d.units[slug]
		fmt.Fprintf(&b, "%s %q %t", slug, u.outline.Follows, u.outline.Holds)
		if u.outline.Holds || known[slug] {
			fmt.Fprintf(&b, " %v", u.own.of([]class{theRecord}))
		}
		b.WriteByte('\n')
	}
	if d.frame != nil {
		for _, h := range d.frame.behind.held {
			fmt.Fprintf(&b, "%t", h.Opens.Reached(d.asOf))
		}
	}
	return publication.DigestOf([]byte(b.String()))
}

// topSums tells the files that every site has, and prose, from any others.
func (l *loader) topSums() string {
	var b strings.Builder
	for _, name := range []string{siteFile, benchFile, methodsFile, addressesFile} {
		data, err := disk.Read(l.root, name, disk.Limit)
		fmt.Fprintf(&b, "%s %s %v\n", name, publication.DigestOf(data), err)
	}
	l.surveyTop()
	for _, name := range l.prose {
		data, err := disk.Read(l.root, path.Join(proseFolder, name+".md"), disk.Limit)
		fmt.Fprintf(&b, "%q %s %v\n", name, publication.DigestOf(data), err)
	}
	fmt.Fprintf(&b, "%q\n", l.problems.Error()) // what nothing reads
	return b.String()
}

// dependedOn are the units that others depend on, as far as a frame knows.
func (f *frame) dependedOn() map[string]bool {
	known := map[string]bool{}
	if f != nil {
		for _, slug := range f.known {
			known[slug] = true
		}
	}
	return known
}

// dependsOn reports whether others depend on a unit.
func (f *frame) dependsOn(slug string) bool { return f != nil && slices.Contains(f.known, slug) }

// opened reports whether at an instant something is held, or isn't, other than at the
// frame's.
func (f *frame) opened(asOf time.Time) bool {
	return slices.ContainsFunc(f.behind.held, func(h record.Held) bool {
		return h.Opens.Reached(asOf) != h.Opens.Reached(f.behind.asOf)
	})
}

// day is the instant's day in UTC.
func (f *frame) day() string { return f.behind.asOf.UTC().Format(time.DateOnly) }
