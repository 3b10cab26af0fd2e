package site

import (
	"os"
	"slices"
	"sync"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A Checked is what a tester has to know of a site before it is published, also of what
// is held.
type Checked struct {
	Problems record.Problems // sorted
	// Bench and Units, by slug, are what is found while there is no error: mistakes come
	// first.
	Bench []sheet.Finding
	Units []CheckedUnit
	Held  int // what is held now
	// Uncovered are units with sealed results that changed without a correction.
	Uncovered []Uncovered
	// Unaddressed tells that site.toml has no address, so that what is made of whole addresses
	// is left out.
	Unaddressed bool
	// Uncalibrated are the ids of the instruments whose calibration bench.toml doesn't state.
	Uncalibrated []string
	// Rough are the ids of the instruments and loads whose figures bench.toml says are guesses.
	Rough []string
}

// A CheckedUnit is one unit with everything that is held in it.
type CheckedUnit struct {
	Slug     string
	Findings []sheet.Finding
	Verdicts map[verdict.Word]int // claims by verdict
	// Unsealed are the results that a sealed unit's last entry doesn't have, Pending the
	// corrections that no entry has yet: what each covers.
	Unsealed []string
	Pending  [][]string
	// Otherwise are the claims that are published with another verdict than they have with
	// all runs.
	Otherwise []OtherVerdict
}

// An OtherVerdict is a claim whose verdict depends on what is held.
type OtherVerdict struct {
	Claim          string
	Published, All verdict.Word
}

// Check looks at the content below root, as [Build] does, and at every unit's findings.
// It writes nothing.
func Check(root string, asOf time.Time) (Checked, error) { return CheckAlso(root, asOf, nil) }

// A Seen is one unit as a check sees it. The sheets are to be read only while it is.
type Seen struct {
	Slug string
	// Sheet is what is published, nil for a unit that is held; Whole has what is held, too.
	Sheet, Whole *sheet.Sheet
	Site         *record.Site
	Description  *record.File // the unit's template for descriptions; nil where it has none
}

// CheckAlso is [Check] that has each unit without mistakes looked at by somebody else too,
// for what only they know of. It is called from several goroutines at once; nil for none.
func CheckAlso(root string, asOf time.Time, also func(Seen) record.Problems) (Checked, error) {
	d, err := InspectDraft(root)
	if err != nil {
		return Checked{}, err
	}
	defer d.Close()
	return d.check(asOf, also)
}

func (d *Draft) check(asOf time.Time, also func(Seen) record.Problems) (Checked, error) {
	content, err := d.content()
	if err != nil {
		return Checked{}, err
	}
	defer content.Close()
	d.look(content, asOf, nil)
	c := &checking{draft: d, content: content, also: also, units: map[string]CheckedUnit{}}
	groups := d.groups()
	each(len(groups), func(i int) { c.group(groups[i]) })
	out := Checked{Problems: slices.Concat(d.frame.problems, c.problems), Held: d.heldNow(), Uncovered: c.uncovered}
	if c.err != nil {
		return out, c.err
	}
	if site := d.frame.content.Site; site != nil {
		out.Unaddressed = site.Address == ""
	}
	if bench := d.frame.content.Bench; bench != nil {
		for i := range bench.Instruments {
			if in := &bench.Instruments[i]; in.Calibrated.Text == "" {
				out.Uncalibrated = append(out.Uncalibrated, in.ID)
			}
			if bench.Instruments[i].Rough {
				out.Rough = append(out.Rough, bench.Instruments[i].ID)
			}
		}
		for i := range bench.Loads {
			if bench.Loads[i].Rough {
				out.Rough = append(out.Rough, bench.Loads[i].ID)
			}
		}
	}
	if d.frame.right && !out.Problems.Errors() {
		for _, g := range d.listGroups() {
			if g.kind == kindTables || g.kind == kindPackage {
				continue // they have no problems, and nothing is kept here that they could be made of
			}
			_, more := d.makeList(content, d.frame, g)
			out.Problems = append(out.Problems, more...)
		}
	}
	if !out.Problems.Errors() {
		clear(d.pending) // all were looked at
		out.Problems = append(out.Problems, d.lostLinks(func(name string) []byte {
			o, _ := d.Open(name)
			return o.Bytes
		})...)
		out.Bench = sheet.BenchFindings(d.frame.content)
		for _, slug := range d.slugs {
			if u, is := c.units[slug]; is {
				out.Units = append(out.Units, u)
			}
		}
	}
	out.Problems.Sort()
	out.Problems = slices.Compact(out.Problems) // a template's mistake is in every page that is made of it
	sortUncovered(out.Uncovered)
	return out, nil
}

// A checking goes through the units.
type checking struct {
	draft   *Draft
	content *os.Root
	also    func(Seen) record.Problems

	mu        sync.Mutex
	problems  record.Problems
	units     map[string]CheckedUnit
	uncovered []Uncovered
	err       error
}

func (c *checking) group(group []*unit) {
	for _, u := range group {
		c.unit(u)
	}
	for _, u := range group {
		c.draft.letGo(u)
	}
}

func (c *checking) unit(u *unit) {
	was := u.entry
	p := c.draft.load(c.content, u, true)
	problems := slices.Clone(p.problems)
	var err error
	for _, k := range []kind{kindPage, kindDerivation, kindVersions} { // which templates make
		if was.fresh(k, u.inputs) {
			problems = append(problems, kept(was.Kinds[k].Problems)...)
			continue
		}
		_, more, failed := p.make(k)
		problems = append(problems, more...)
		if failed != nil {
			err = failed
		}
	}
	if p.frame.right && !p.problems.Errors() {
		u.entry = was.lookedAnew(u, p, c.draft.memory) // for the lists
	}
	checked, whole := p.checked()
	if whole != nil && c.also != nil {
		problems = append(problems, c.also(Seen{u.slug, p.sheet, whole, p.site.Content.Site, p.site.Description(u.slug)})...)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.problems = append(c.problems, problems...)
	c.uncovered = append(c.uncovered, p.site.Uncovered()...)
	if whole != nil {
		c.units[u.slug] = checked
	}
	if c.err == nil {
		c.err = err
	}
}

// checked is what is found in a part with everything that is held in it, and its sheet
// with that; nothing where it has mistakes.
func (p *part) checked() (out CheckedUnit, whole *sheet.Sheet) {
	if !p.frame.right || p.problems.Errors() {
		return out, nil
	}
	for _, r := range p.site.behind.content.Records {
		if r.Slug != p.slug {
			continue
		}
		if p.sheet != nil && p.sheet.Record == r {
			whole = p.sheet
		} else {
			whole = sheet.Evaluate(p.site.behind.content, r)
		}
	}
	if whole == nil {
		return out, nil
	}
	out = CheckedUnit{Slug: p.slug, Findings: whole.Findings, Verdicts: map[verdict.Word]int{}}
	all := map[string]verdict.Word{}
	for _, claim := range whole.Claims {
		out.Verdicts[claim.Verdict]++
		all[claim.ID] = claim.Verdict
	}
	if p.sheet == nil {
		return out, whole
	}
	for _, claim := range p.sheet.Claims {
		if with := all[claim.ID]; with != claim.Verdict {
			out.Otherwise = append(out.Otherwise, OtherVerdict{claim.ID, claim.Verdict, with})
		}
	}
	if st := p.site.Ledger(p.slug); st != nil {
		out.Unsealed = st.Unsealed
		out.Pending = pendingOf(st)
	}
	return out, whole
}
