package plan

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// A planner makes one plan.
type planner struct {
	content *record.Content
	rec     *record.Record
	day     string
	plan    *Plan
	jobs    []*job
	about   unitFacts
	lowPct  float64 // by how much the supply stands too low in a trial
}

// unitFacts is what is the same in every run.
type unitFacts struct {
	mains         bool
	efficiencyPct float64
	factor        float64 // power factor
	fusesA        float64 // 0 where the record names none
}

// Make plans the bench work for a unit's claims on a day, YYYY-MM-DD. The content
// must have passed its checks. Runs that the record has already are not looked at:
// a plan is of the claims alone.
func Make(content *record.Content, rec *record.Record, day string) *Plan {
	p := &planner{content: content, rec: rec, day: day, plan: &Plan{
		Format: Format, Version: Version, Slug: rec.Slug, Name: rec.Unit.Maker + " " + rec.Unit.Model, Class: rec.Unit.Class, Day: day,
		Assumptions: []Assumption{}, Flags: []Flag{}, Runs: []*Run{}, Claims: []*Claim{},
	}}
	p.unit()
	for i := range rec.Claims {
		p.claim(&rec.Claims[i])
	}
	for _, j := range p.jobs {
		p.plan.Runs = append(p.plan.Runs, p.run(j))
	}
	p.order()
	for i, c := range p.plan.Claims {
		p.decide(c, &rec.Claims[i])
		p.claimFlags(c)
	}
	p.cautions()
	p.formulas()
	return p.plan
}

// formulas names what the plan's figures come by.
func (p *planner) formulas() {
	ids := []string{formula.OutVolts, formula.PlannedAmps, formula.PlannedSupply, formula.PlannedHeat, formula.PlannedEnergy, formula.PlannedRest}
	gauge := false
	for i := range p.bench().Supplies {
		gauge = gauge || p.bench().Supplies[i].LeadAWG != ""
	}
	if slices.ContainsFunc(p.plan.Runs, func(r *Run) bool { return r.Supply.LeadOhm > 0 }) {
		ids = append(ids, formula.LeadOhms, formula.LeadDrop)
		if gauge {
			ids = append(ids, formula.WireGauge)
		}
	}
	p.plan.Formulas = append(ids, formula.Combined, formula.Expanded, formula.Chance)
}

// assume notes an assumption, once.
func (p *planner) assume(id, source, format string, args ...any) {
	if !slices.ContainsFunc(p.plan.Assumptions, func(a Assumption) bool { return a.ID == id }) {
		p.plan.Assumptions = append(p.plan.Assumptions, Assumption{id, fmt.Sprintf(format, args...), source})
	}
}

// claim finds the runs that would answer a claim.
func (p *planner) claim(c *record.Claim) {
	out := &Claim{ID: c.ID, ClaimW: Number(c.PowerW.Value), Lacks: nil, Runs: []int{}}
	p.plan.Claims = append(p.plan.Claims, out)
	var at, aside, lost []*job
	var whys []string
	for i := range p.methods() {
		m := &p.content.Methods.Methods[i]
		j := p.jobFor(c, m)
		if j.freqHz == 0 {
			continue
		}
		class, why := p.classOf(c, j)
		switch class {
		case "at":
			at = append(at, j)
		case lostClass:
			lost = append(lost, j)
		case "":
			whys = append(whys, m.ID+": "+why)
		default:
			aside = append(aside, j)
		}
	}
	chosen := append(at, p.eased(c, aside)...)
	if len(at) == 0 {
		chosen = p.oneSided(c, aside)
	}
	if len(chosen) == 0 { // it is planned all the same: the plan shows what is missing
		chosen = p.oneSided(c, lost)
	}
	if len(chosen) == 0 {
		out.Why = "No method of methods.toml answers it: " + strings.Join(whys, "; ") + "."
		if len(whys) == 0 {
			out.Why = "There is no method that states a frequency."
		}
	}
	for _, j := range chosen {
		out.jobs = append(out.jobs, p.merged(j, c))
	}
}

func (p *planner) methods() []record.Method {
	if p.content.Methods == nil {
		return nil
	}
	return p.content.Methods.Methods
}

// eased are the runs that a claim which doesn't state its distortion needs besides:
// it is only called short where it is short at 10 % distortion too.
func (p *planner) eased(c *record.Claim, aside []*job) []*job {
	if c.ThdnPct.Given() {
		return nil
	}
	eased := *c
	eased.ThdnPct = p.number(easedThdnPct)
	return slices.DeleteFunc(slices.Clone(aside), func(j *job) bool {
		class, _ := p.classOf(&eased, j)
		return class != "at"
	})
}

// easedThdnPct is the distortion at which a claim that states none has to be short
// too, as the sheet decides it.
const easedThdnPct = 10

// oneSided are the runs for a claim that no method answers at its distortion: of
// those on one side, one by the method whose distortion is the claim's, else the
// first.
func (p *planner) oneSided(c *record.Claim, aside []*job) []*job {
	for _, j := range aside {
		if j.method.ThdnPct.Given() && j.method.ThdnPct.Value == p.thdnOf(c) {
			return []*job{j}
		}
	}
	return aside[:min(len(aside), 1)]
}

func (p *planner) thdnOf(c *record.Claim) float64 {
	return c.ThdnPct.Or(p.content.Site.Assume.ThdnPct.Value)
}

// lostClass is the class of a run by the right method that would not count for what
// the bench lacks: an instrument, a stated condition.
const lostClass = "lost"

// classOf is what a run would be to a claim by its distortion, or why it would not
// be one for it: what the sheet makes of such a run.
func (p *planner) classOf(c *record.Claim, j *job) (class, why string) {
	t, _ := p.trial(c, []*job{j}, 1)
	switch {
	case t.Verdict == verdict.Open && len(t.Channels) == 0:
		return lostClass, ""
	case len(t.Uses) == 0:
		return "", lower(t.Why)
	case !t.Uses[0].Counts:
		return "", t.Uses[0].Why
	case len(t.Channels) == 0:
		return "", lower(t.Why)
	}
	return t.Channels[0].Class, ""
}

// merged is the job of the plan that is the same run, made if there is none: two
// claims may be answered by one run.
func (p *planner) merged(j *job, c *record.Claim) *job {
	for _, have := range p.jobs {
		if have.key() == j.key() {
			have.claims, have.meters = append(have.claims, c), nil
			for i := range have.drives {
				d, more := &have.drives[i], j.drives[i]
				d.watts, d.assumed = max(d.watts, more.watts), d.assumed && more.assumed
			}
			return have
		}
	}
	j.claims = []*record.Claim{c}
	p.jobs = append(p.jobs, j)
	return j
}

// number is a number as a record has it. It stands where the record begins: a number
// without a place counts as not given.
func (p *planner) number(x float64) record.Number {
	return record.Number{Place: p.rec.Place, Value: x, Text: quantity.Float(x)}
}

func (p *planner) ref(id string) record.Ref { return record.Ref{Place: p.rec.Place, ID: id} }

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.TrimRight(strings.ToLower(s[:1])+s[1:], ".")
}
