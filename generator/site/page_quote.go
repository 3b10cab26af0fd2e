package site

import (
	"cmp"
	"html/template"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A citePart is how a sheet is quoted: a sentence for each claim and for the sheet as a
// whole, and the parts that the script makes the sentences of runs and charts of.
type citePart struct {
	Stays  string        // whether what the addresses lead to may still change, in a sentence
	Claims []quoteRow    // one for each claim
	Whole  quoteRow      // of the sheet as a whole
	Data   template.HTML // what the script makes other sentences of
}

// A quoteRow is one sentence and the address that it ends with.
type quoteRow struct {
	ID   string // of the claim
	Text string // up to the address
	Href string // the address
	Link string // how it is written
}

// A quoter writes the sentences of one sheet.
type quoter struct {
	s      *sheet.Sheet
	tester string
	number string // "sheet PW-0030, version 2"
	at     string // the address that holds what was measured: of a sealed version, where there is one with all of it
	here   string // the address of the page
	known  bool   // the site's address is known, so both are whole
}

func (b *binder) quoterOf(page *unitPage, s *sheet.Sheet) quoter {
	q := quoter{
		s: s, tester: sheet.Isolated(cmp.Or(b.site.Content.Site.Tester, b.site.Content.Site.Title)), number: "sheet " + s.Number,
		at: page.Canonical, here: page.Canonical, known: page.Canonical != "",
	}
	version := ""
	switch l := &page.Ledger; {
	case l.Version == 0:
		q.number += ", not sealed"
	case l.Unsealed:
		q.number += ", newer than version " + itoa(l.Version)
	default:
		q.number += ", version " + itoa(l.Version)
		version = "v/" + itoa(l.Version) + "/"
	}
	if q.known {
		q.at += version
	} else {
		q.here = "index.html"
		q.at = version + "index.html"
	}
	return q
}

// quotes makes the figures of a sheet's page quotable.
func (b *binder) quotes(page *unitPage, s *sheet.Sheet) {
	page.Cite = b.citeOf(page, s)
	for i := range page.Claims {
		page.Claims[i].Quote = page.Claims[i].ID
	}
	b.uses(&page.head, "quote.css", "quote.js")
}

// citeOf is the part of a sheet's page that says how to quote it.
func (b *binder) citeOf(page *unitPage, s *sheet.Sheet) *citePart {
	q := b.quoterOf(page, s)
	part := &citePart{}
	switch {
	case q.at != q.here:
		part.Stays = "The addresses are those of the sealed version, which stays as it is."
	case page.Ledger.Version > 0:
		part.Stays = "Some results are newer than the sealed version, so what the addresses lead to may still change."
	default:
		part.Stays = "No version is sealed yet, so what the addresses lead to may still change."
	}
	for _, c := range s.Claims {
		part.Claims = append(part.Claims, q.row(c.ID, q.claim(c)+q.by(q.claimRuns(c))+"; ", "#claim-"+c.ID))
	}
	whole := q.tester + ": " + sentence(sheet.Isolated(s.Name)+q.tested()) + " " + sentence(s.Headline) + " " + sheet.Isolated(page.Site) + ", "
	part.Whole = q.row("", whole, "")
	part.Data = q.data()
	return part
}

// row is a sentence with the sheet that it is from, and the address of a part of it.
func (q quoter) row(id, text, fragment string) quoteRow {
	if !q.known {
		return quoteRow{id, text, q.at + fragment, q.number}
	}
	return quoteRow{id, text + q.number + ": ", q.at + fragment, q.at + fragment}
}

// by says who measured, and on which days; nobody did where there are no runs.
func (q quoter) by(runs []*sheet.Run) string {
	if len(runs) == 0 {
		return " Published by " + q.tester
	}
	return " Measured by " + q.tester + onDays(runs)
}

// claim is a claim and what was measured of it, under which conditions.
func (q quoter) claim(c *sheet.Claim) string {
	text := sheet.Isolated(q.s.Name) + ", " + c.Label + ": "
	figure, _ := measuredOf(c)
	if c.Weakest != nil && c.Weakest.Mean != nil && c.Brief == "" {
		text += figure + " measured (" + q.measured(c) + ") against "
	} else if figure != "" {
		text += figure + ", against "
	}
	text += with(c.Rec.PowerW, "W")
	if len(c.Channels) > 1 {
		text += " a channel"
	}
	text += " claimed (" + c.Conditions
	if len(c.Assumed) > 0 {
		text += "; assumed: " + strings.Join(c.Assumed, ", ")
	}
	return text + "): " + strings.ToLower(c.Word) + "."
}

// measured are the conditions of a claim's mean, and how well it is known.
func (q quoter) measured(c *sheet.Claim) string {
	var parts []string
	if len(c.Channels) > 1 {
		parts = append(parts, "channel "+c.Weakest.Name+", which decides")
	}
	if c.Weakest.Class != "at" {
		parts = append(parts, classes[c.Weakest.Class])
	}
	var volts []*sheet.Figure
	for _, r := range q.claimRuns(c) {
		if r.SupplyV != nil {
			volts = append(volts, r.SupplyV)
		}
	}
	if len(volts) > 0 {
		byX := func(a, b *sheet.Figure) int { return cmp.Compare(a.X, b.X) }
		low, high := slices.MinFunc(volts, byX), slices.MaxFunc(volts, byX)
		text := "supply " + low.ValueText
		if high.ValueText != low.ValueText {
			text += " to " + high.ValueText
		}
		parts = append(parts, text+nbsp+high.Unit)
	}
	return join("; ", append(parts, howWell(c.Weakest.Mean))...)
}

// knownTo says at which level U is; k follows.
const knownTo = "95" + nbsp + "% uncertainty, k" + nbsp + "=" + nbsp

const notKnown = "uncertainty not known"

func howWell(f *sheet.Figure) string {
	if f.UText == "" {
		return notKnown
	}
	text := knownTo + quantity.Fixed(f.K, 2)
	if len(f.Incomplete) > 0 {
		text += ", incomplete"
	}
	return text
}

// claimRuns are the runs that a claim's figure is the mean of; all that were looked at,
// where there is none.
func (q quoter) claimRuns(c *sheet.Claim) []*sheet.Run {
	var ids []string
	if c.Weakest != nil {
		ids = c.Weakest.Runs
	} else {
		for _, u := range c.Uses {
			ids = append(ids, u.Run)
		}
	}
	var out []*sheet.Run
	for _, id := range ids {
		if r := runOf(q.s, id); r != nil {
			out = append(out, r)
		}
	}
	return out
}

// tested says when the unit was; nothing where no valid run is there, or none has its time.
func (q quoter) tested() string {
	if days := onDays(q.validRuns()); days != "" {
		return ", tested" + days
	}
	return ""
}

func (q quoter) validRuns() []*sheet.Run {
	return slices.DeleteFunc(slices.Clone(q.s.Runs), func(r *sheet.Run) bool { return !r.Valid })
}

// onDays says on which day runs were made, or from which to which; nothing where no run
// has its time.
func onDays(runs []*sheet.Run) string {
	var days []string
	for _, r := range runs {
		if at := r.Rec.At.Text; len(at) >= len(time.DateOnly) {
			days = append(days, at[:len(time.DateOnly)])
		}
	}
	if len(days) == 0 {
		return ""
	}
	first, last := slices.Min(days), slices.Max(days)
	if first != last {
		return " from " + dayOf(first).Text + " to " + dayOf(last).Text
	}
	return " on " + dayOf(first).Text
}
