package site

import (
	"cmp"
	"html/template"
	"math"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A replyPart is the maker's answer on a page, word for word.
type replyPart struct {
	From  string   // who answered
	Day   day      // when they answered
	Paras []string // the whole answer, a paragraph each: leave nothing out
}

// A contactRow is one letter to the maker, or from them.
type contactRow struct {
	Day   day    // when it was sent
	About string // what it was about
	How   string // by which way: e-mail
	Until day    // until when the maker had time to answer
}

func replyOf(r *record.Record) *replyPart {
	if !r.Reply.Given() {
		return nil
	}
	return &replyPart{From: r.Reply.From, Day: dayOf(r.Reply.Date.Text), Paras: paragraphs(r.Reply.Text)}
}

func contactRows(r *record.Record) []contactRow {
	var out []contactRow
	for _, c := range r.Contacts {
		out = append(out, contactRow{Day: dayOf(c.Date.Text), About: c.About, How: c.How, Until: dayOf(c.AnswerBy.Text)})
	}
	return out
}

// A pairPart is a unit beside the model that it follows, or that follows it.
type pairPart struct {
	Title string    // which of the two the other is: The model before
	Other link      // the other unit
	Rows  []pairRow // claims of both
	// Apart says for each load and method that both were measured at whether the
	// measurements tell them apart.
	Apart []string
	// Beside is where both are set beside each other.
	Beside string
}

// A pairRow is the claims of both for one load.
type pairRow struct {
	Label string     // the load, channels and bridging
	Sides []pairSide // the earlier model first
}

// A pairSide is one unit's claim in a pair.
type pairSide struct {
	Name    string        // the unit: Mossfettle Brackenjar 100
	Href    string        // the address of the claim
	Mark    template.HTML // the shape of the verdict, drawn
	Word    string        // the verdict in words: falls short
	Class   string        // the verdict as a class for the style: met, short, open, untested or incomparable
	Line    template.HTML // the claim line; empty where there is nothing to draw
	Figure  string        // the measured mean; empty where nothing was measured
	Of      string        // of 110 W claimed
	InWords bool          // Figure is no figure, but says what happened
}

// pairs are a unit's pairs with its predecessor and its successors.
func (b *binder) pairs(s *sheet.Sheet) []pairPart {
	var out []pairPart
	for _, other := range b.site.beside() {
		switch {
		case other.Slug == s.Record.Unit.Follows.ID:
			out = append(out, b.pair("Beside the earlier model", other, s, other))
		case other.Record.Unit.Follows.ID == s.Slug:
			out = append(out, b.pair("Beside the later model", s, other, other))
		}
	}
	return out
}

// pair puts the claims of two units side by side, on one scale.
func (b *binder) pair(title string, earlier, later, other *sheet.Sheet) pairPart {
	part := pairPart{
		Title: title, Other: link{"../" + other.Slug + "/index.html", other.Name}, Beside: besideHref("../../", nil, later.Slug, earlier.Slug),
	}
	var claims []*sheet.Claim
	for _, old := range earlier.Claims {
		for _, now := range later.Claims {
			if sameTerms(old.Rec, now.Rec) {
				claims = append(claims, old, now)
			}
		}
	}
	rows := claimRows(claims, "")
	for i := 0; i < len(rows); i += 2 {
		part.Rows = append(part.Rows, pairRow{Label: rows[i].Label, Sides: []pairSide{
			sideOf(rows[i], earlier, other), sideOf(rows[i+1], later, other),
		}})
	}
	for _, at := range sheet.Points([]*sheet.Sheet{earlier, later}) {
		if pair := sheet.Apart(later, earlier, at); pair.A.Total != nil && pair.B.Total != nil {
			part.Apart = append(part.Apart, at.Title()+": "+pair.Why)
		}
	}
	return part
}

func sideOf(row claimRow, of, other *sheet.Sheet) pairSide {
	href := "#claim-" + row.ID
	if of == other {
		href = "../" + other.Slug + "/index.html" + href
	}
	return pairSide{Name: of.Name, Href: href, Mark: row.Mark, Word: row.Word, Class: row.Class, Line: row.Line, Figure: row.Figure, Of: row.Of, InWords: row.InWords}
}

// sameTerms reports whether two claims are for the same load, in the same way: what
// can stand beside each other.
func sameTerms(a, b *record.Claim) bool {
	const near = 0.01
	return math.Abs(a.LoadOhm.Value-b.LoadOhm.Value) <= near*b.LoadOhm.Value &&
		a.Bridged == b.Bridged && a.Signal == b.Signal && a.Channels.Value == b.Channels.Value &&
		cmp.Compare(a.DurationS.Value, b.DurationS.Value) == 0
}
