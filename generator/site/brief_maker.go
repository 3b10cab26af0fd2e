package site

import (
	"strconv"

	"wattsheet/generator/ledger"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A makerBrief is what lists of makers show of a unit.
type makerBrief struct {
	Slug, Name string
	At         [2]int // line and column of the name in its record
	// Made packs a [makerPart]: it is kept for every unit, and read for one page.
	Made packed
}

// A makerPart is what the page of its maker shows of a unit.
type makerPart struct {
	Maker       string
	Model       string
	Link        link
	Kind        string
	Year        string `json:",omitempty"` // as written; empty where the record has none
	Slug        string
	Follows     string `json:",omitempty"` // the slug of the earlier model
	Tested      day
	Claims      []leading      `json:",omitempty"`
	Reply       *replyPart     `json:",omitempty"`
	Corrections []makerCorrect `json:",omitempty"`
}

// A makerCorrect is a correction of a unit, in a word.
type makerCorrect struct {
	At      string // its id on the unit's page
	Day     day
	Kind    string
	Verdict bool `json:",omitempty"` // it changed a verdict
}

// makerBriefOf gives what lists of makers show of a sheet and its ledger.
func makerBriefOf(s *sheet.Sheet, st *ledger.Status) makerBrief {
	u := &s.Record.Unit
	p := makerPart{
		Maker: u.Maker, Model: u.Model, Link: unitLink(s), Kind: kindOf(u), Year: yearOf(u), Slug: s.Slug,
		Follows: u.Follows.ID, Tested: dayOf(s.Tested), Reply: replyOf(s.Record),
	}
	for _, c := range s.Claims {
		p.Claims = append(p.Claims, *leadingOf(c))
	}
	if st != nil {
		for _, c := range correctionRows(st, "") {
			p.Corrections = append(p.Corrections, makerCorrect{c.ID, c.Date, c.Kind, c.Verdict})
		}
	}
	_, line, column := u.Place.Key("maker").Position()
	return makerBrief{makerSlug(u.Maker), u.Maker, [2]int{line, column}, pack(p)}
}

// unitLink leads from the site's root to a unit.
func unitLink(s *sheet.Sheet) link { return link{unitsFolder + "/" + s.Slug + "/index.html", s.Name} }

// yearOf is a unit's model year, for people and as it sorts; empty without one.
func yearOf(u *record.Unit) string {
	if !u.Year.Given() {
		return ""
	}
	return strconv.Itoa(int(u.Year.Value))
}

// part reads what was made.
func (m *makerBrief) part() *makerPart {
	p := new(makerPart)
	m.Made.into(p)
	return p
}

// counts are claims by verdict, in the order of [verdict.Words].
func counts(claims []leading) []int {
	out := make([]int, len(verdict.Words))
	for _, c := range claims {
		for i, w := range verdict.Words {
			if c.Verdict == w {
				out[i]++
			}
		}
	}
	return out
}
