package site

import (
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/ledger"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A brief is what the lists of a site, and those who build it, have to know of one
// unit. Lists are made of nothing else, so that no sheet has to stay in memory for
// them, and one that was made earlier needn't be evaluated for them again.
//
// Invariant: a brief follows from the unit's sheet and its ledger alone. What is read
// back from the cache makes the same bytes as what was kept.
type brief struct {
	Row         unitRow         // without its claim
	Leading     *leading        `json:",omitempty"` // the claim that stands for the unit; nil without claims
	Corrections []correctionRow `json:",omitempty"` // as the page of all corrections shows them
	Sealed      bool            `json:",omitempty"` // it has a sealed version
	Maker       makerBrief
	Points      []pointsBrief `json:",omitempty"` // by load
	Near        nearBrief
	// Offers says what the unit offers to the methodology page.
	Offers offers `json:",omitzero"`

	Verdicts map[verdict.Word]int `json:",omitempty"` // claims by verdict
	Findings int                  `json:",omitempty"`
	Dated    dated                // what feeds and the sitemap say of it
	Tabled   tabled               // what the tables of the whole site have of it
	Frames   []string             `json:",omitempty"` // the origins of the players that its page may frame
	Pending  [][]string           `json:",omitempty"` // corrections that no entry has yet: what each covers
}

// An offers says what the methodology page could be worked through with a unit.
type offers struct {
	Bracket bool `json:",omitempty"` // a claim met or short, with runs off its supply voltage
	Clearly bool `json:",omitempty"` // clearly off
	Budget  bool `json:",omitempty"` // a run that decides a claim, with a budget
}

// A leading is what is drawn and written of a claim in a list.
type leading struct {
	ID, Label, Word, Brief  string
	Verdict                 verdict.Word
	ClaimW, LimitW          exact
	BarLow, BarHigh         exact
	BarLowOpen, BarHighOpen bool
	Power                   exact
	PowerText               string
	Mean                    *mean
	Lacks                   []string
}

// A mean is the figure of a leading claim.
type mean struct {
	X, U                                      exact
	Text, ValueText, UText, UnitText, Formula string
}

// An exact is a float that a cache keeps to the last bit, also an infinite one.
type exact float64

// MarshalText writes the shortest text that reads back to the same number.
func (x exact) MarshalText() ([]byte, error) {
	return strconv.AppendFloat(nil, float64(x), 'g', -1, 64), nil
}

// UnmarshalText reads what MarshalText wrote.
func (x *exact) UnmarshalText(text []byte) error {
	v, err := strconv.ParseFloat(string(text), 64)
	*x = exact(v)
	return err
}

// briefOf gives the brief of a sheet and how it stands to its ledger.
func briefOf(s *sheet.Sheet, st *ledger.Status) *brief {
	b, _ := briefAndRows(s, st)
	return b
}

// briefAndRows gives the unit's rows of the site's tables as well, which the brief only has
// a digest of.
func briefAndRows(s *sheet.Sheet, st *ledger.Status) (*brief, tableRows) {
	rows, standings := tableRowsOf(s), standingsOf(s)
	b := &brief{
		Row: unitRow{
			Slug: s.Slug, Link: unitLink(s), Kind: kindOf(&s.Record.Unit),
			Tested: dayOf(s.Tested), Lacks: lacking(s.Claims), List: listingOf(s, standings),
		},
		Maker: makerBriefOf(s, st), Points: pointsOf(s, standings), Near: nearBriefOf(s, standings), Offers: offersOf(s), Findings: len(s.Findings), Dated: datedOf(s, st),
		Tabled: tabledOf(s, rows), Frames: watchingOf(s.Record).origins(),
	}
	if c := leadingClaim(s.Claims); c != nil {
		b.Leading = leadingOf(c)
	}
	for _, c := range s.Claims {
		if b.Verdicts == nil {
			b.Verdicts = map[verdict.Word]int{}
		}
		b.Verdicts[c.Verdict]++
	}
	if st == nil {
		return b, rows
	}
	b.Sealed = st.Sealed()
	b.Corrections = correctionRows(st, "../"+unitsFolder+"/"+s.Slug+"/")
	for i := range b.Corrections {
		b.Corrections[i].ID = s.Slug + "-" + b.Corrections[i].ID
	}
	b.Pending = pendingOf(st)
	return b, rows
}

// slug is the unit's.
func (b *brief) slug() string {
	return strings.TrimSuffix(strings.TrimPrefix(b.Row.Link.Href, unitsFolder+"/"), "/index.html")
}

// pendingOf lists what the corrections cover that no entry has yet.
func pendingOf(st *ledger.Status) (out [][]string) {
	for _, t := range st.Corrections {
		if t.Entry == 0 {
			out = append(out, t.Changes)
		}
	}
	return out
}

func leadingOf(c *sheet.Claim) *leading {
	l := &leading{
		ID: c.ID, Label: c.Label, Word: c.Word, Brief: c.Brief, Verdict: c.Verdict,
		ClaimW: exact(c.ClaimW), LimitW: exact(c.LimitW), BarLow: exact(c.BarLow), BarHigh: exact(c.BarHigh),
		BarLowOpen: c.BarLowOpen, BarHighOpen: c.BarHighOpen,
		Power: exact(c.Rec.PowerW.Value), PowerText: figureOf(c.Rec.PowerW), Lacks: c.Lacks(),
	}
	if c.Weakest != nil && c.Weakest.Mean != nil {
		f := c.Weakest.Mean
		l.Mean = &mean{exact(f.X), exact(f.U), f.Text, f.ValueText, f.UText, f.Unit, f.Formula}
	}
	return l
}

// claim gives the claim as far as lists draw and write it.
func (l *leading) claim() *sheet.Claim {
	c := &sheet.Claim{
		Rec: &record.Claim{}, ID: l.ID, Label: l.Label, Word: l.Word, Brief: l.Brief, Verdict: l.Verdict,
		ClaimW: float64(l.ClaimW), LimitW: float64(l.LimitW), BarLow: float64(l.BarLow), BarHigh: float64(l.BarHigh),
		BarLowOpen: l.BarLowOpen, BarHighOpen: l.BarHighOpen,
	}
	c.Rec.PowerW.Value, c.Rec.PowerW.Text = float64(l.Power), l.PowerText
	figure := &sheet.Figure{Incomplete: l.Lacks}
	if m := l.Mean; m != nil {
		figure.X, figure.U = float64(m.X), float64(m.U)
		figure.Text, figure.ValueText, figure.UText, figure.Unit, figure.Formula = m.Text, m.ValueText, m.UText, m.UnitText, m.Formula
		c.Weakest = &sheet.ClaimChannel{Mean: figure}
	}
	c.Channels = []*sheet.ClaimChannel{{Mean: figure}}
	return c
}

// offersOf tells what the methodology page could work through with a sheet.
func offersOf(s *sheet.Sheet) (e offers) {
	for _, c := range s.Claims {
		bracketed, off := bracketed(s, c)
		e.Bracket = e.Bracket || bracketed && off > 0
		e.Clearly = e.Clearly || bracketed && off >= clearlyOff
	}
	_, ch := decidingRun(s)
	e.Budget = ch != nil
	return e
}

// examples picks the units that the methodology page works through: the first with a
// claim whose runs stood clearly off its supply voltage, or else the first with one,
// and the first with a budget. They are −1 where no unit offers it.
func examples(units []*brief) (bracket, budget int) {
	bracket = slices.IndexFunc(units, func(b *brief) bool { return b.Offers.Clearly })
	if bracket < 0 {
		bracket = slices.IndexFunc(units, func(b *brief) bool { return b.Offers.Bracket })
	}
	return bracket, slices.IndexFunc(units, func(b *brief) bool { return b.Offers.Budget })
}
