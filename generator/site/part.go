package site

import (
	"path"
	"slices"
	"strings"
	"sync"

	"wattsheet/charts"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A part is one unit of a site, loaded and evaluated, within the frame that all share.
type part struct {
	slug     string
	frame    *frame
	site     *Site        // of this unit alone
	sheet    *sheet.Sheet // nil for a unit that is held, or has mistakes
	problems record.Problems
	binder   *binder // makes its pages; nil without a sheet
	opened   map[kind]openedKind
}

// An openedKind is what a part's outputs of a kind came out as when one of them was opened.
type openedKind struct {
	outputs  []Output
	problems record.Problems
}

// loadPart reads, checks and evaluates one unit. was is the same unit with the same sheet,
// as it was before; nil where there is none.
func (d *Draft) loadPart(l *loader, f *frame, u *unit, was *part) *part {
	l.unitsOnly, l.slugs = true, []string{u.slug}
	l.surveyUnit(path.Join(unitsFolder, u.slug), u.slug)
	s := &Site{
		Content: &record.Content{Site: f.content.Site, Bench: f.content.Bench, Methods: f.content.Methods},
		Notes:   map[string]*record.File{}, Prose: map[string]*record.File{},
		folder: d.folder, root: d.root, untouched: d.untouched, neighbours: []*sheet.Sheet{},
	}
	p := &part{slug: u.slug, frame: f, site: s}
	p.problems = slices.Concat(l.problems, l.decode(s))
	for _, r := range s.Content.Records {
		p.problems = slices.Concat(p.problems, f.checker.Record(r), r.Ahead(d.asOf))
	}
	p.problems = append(p.problems, l.loadPictures(s)...)
	p.problems = append(p.problems, l.loadCaptures(s)...)
	s.withhold(d.asOf)
	s.behind.held = f.behind.held
	s.behind.content = among(s.behind.content, f.content.Records, u.slug)
	p.problems = append(p.problems, l.ledgers(s)...)
	p.problems = append(p.problems, s.heldSealed()...)
	if f.right && !p.problems.Errors() {
		if was != nil && was.sheet != nil {
			s.Sheets = was.site.Sheets
		} else {
			s.evaluate()
			d.evaluated.Store(u.slug, true)
		}
		p.problems = append(p.problems, s.follow()...)
		p.problems = append(p.problems, s.unfair(f.day())...)
		p.problems = append(p.problems, s.unopened()...)
		p.problems = append(p.problems, s.opensSealed()...)
		p.problems = append(p.problems, s.remarked()...)
		p.problems = append(p.problems, s.misspoken()...)
		if len(s.Sheets) > 0 {
			p.dress(s.Sheets[0])
		}
	}
	p.problems.Sort()
	return p
}

// among puts the records that others depend on beside the one of a content.
func among(c *record.Content, known []*record.Record, slug string) *record.Content {
	out := *c
	out.Records = slices.Clone(c.Records)
	for _, r := range known {
		if r.Slug != slug {
			out.Records = append(out.Records, r)
		}
	}
	slices.SortFunc(out.Records, func(a, b *record.Record) int { return strings.Compare(a.Slug, b.Slug) })
	return &out
}

// dress prepares what makes the part's pages; the mistakes in its notes are found by that.
func (p *part) dress(s *sheet.Sheet) {
	b := *p.frame.binder
	b.site = p.site
	b.notes = b.notesOf(s)
	b.badges = sync.OnceValue(func() []charts.Badge { return badges(s) })
	b.charts = sync.OnceValue(func() []*charts.Chart { return charts.All(s) })
	p.sheet, p.binder = s, &b
	p.problems = append(p.problems, b.notes.problems...)
}

// brief is what lists show of the part; nil for a unit that is held. The rows that it has
// in the site's tables are kept in a memory.
func (p *part) brief(in *memory) *brief {
	if p.sheet == nil {
		return nil
	}
	b, rows := briefAndRows(p.sheet, p.site.Ledger(p.sheet.Slug))
	in.keepRows(p.slug, rows)
	return b
}

// open is make for what is looked at again and again: it is made once.
func (p *part) open(k kind) ([]Output, record.Problems, error) {
	if was, ok := p.opened[k]; ok {
		return was.outputs, was.problems, nil
	}
	outputs, problems, err := p.make(k)
	if err == nil {
		if p.opened == nil {
			p.opened = map[kind]openedKind{}
		}
		p.opened[k] = openedKind{outputs, problems}
	}
	return outputs, problems, err
}

// make makes the outputs of one kind; none of a unit that is held.
func (p *part) make(k kind) ([]Output, record.Problems, error) {
	if p.sheet == nil {
		return nil, nil, nil
	}
	return p.binder.unitOutputs(k, p.sheet)
}
