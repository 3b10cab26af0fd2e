package site

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// A pointsBrief is what pages by load show of a unit at one nominal load. Made packs its
// [pointPart]s: they are kept for every unit, and read for few pages.
type pointsBrief struct {
	Load string // names the load's page: "4-ohm"
	Rows int    // how many there are: each is a row of the page
	Made packed
}

// A pointPart is a unit at one load by one method.
type pointPart struct {
	Standing *sheet.Compact
	Claims   []pointClaim `json:",omitempty"`
	Price    string       `json:",omitempty"` // with its currency
}

// A pointClaim is a claim that runs at a point decide.
type pointClaim struct {
	ID, Label, Word string
	Verdict         verdict.Word
	Claimed         string // "280 W claimed"
}

// loadFolder names the page of a nominal load: "4-ohm", "0.5-ohm", "2.67-ohm".
func loadFolder(ohm float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(ohm, 'g', 3, 64), 64)
	if err != nil {
		rounded = ohm
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64) + ohmFolder
}

const ohmFolder = "-ohm"

// ohmsOf is the load of a page's name.
func ohmsOf(folder string) float64 {
	ohm, _ := strconv.ParseFloat(strings.TrimSuffix(folder, ohmFolder), 64) // loadFolder wrote it
	return ohm
}

// standingsOf are where a unit stands at each of its points.
func standingsOf(s *sheet.Sheet) (out []*sheet.Standing) {
	for _, at := range sheet.Points([]*sheet.Sheet{s}) {
		out = append(out, sheet.StandingOf(s, at))
	}
	return out
}

// pointsOf gives what pages by load show of a sheet, by load, where it stands as given.
func pointsOf(s *sheet.Sheet, standings []*sheet.Standing) (out []pointsBrief) {
	parts := map[string][]pointPart{}
	price := with(s.Record.Unit.Price, s.Content.Site.Currency)
	for _, st := range standings {
		folder := loadFolder(st.At.Ohm)
		parts[folder] = append(parts[folder], pointPart{st.Compact(), claimsAt(s, st.At), price})
	}
	for folder, of := range parts {
		out = append(out, pointsBrief{folder, len(of), pack(of)})
	}
	slices.SortFunc(out, func(a, b pointsBrief) int { return cmp.Compare(ohmsOf(a.Load), ohmsOf(b.Load)) })
	return out
}

// claimsAt are the claims that runs at a point decide.
func claimsAt(s *sheet.Sheet, at sheet.Point) (out []pointClaim) {
	for _, c := range s.Claims {
		by := func(id string) bool {
			r := runOf(s, id)
			return r != nil && r.Method != nil && r.Method.ID == at.Method.ID
		}
		decides := slices.ContainsFunc(c.Channels, func(ch *sheet.ClaimChannel) bool { return slices.ContainsFunc(ch.Runs, by) })
		if decides && at.Near(c.Rec.LoadOhm.Value) && c.Rec.Bridged == at.Bridged {
			out = append(out, pointClaim{c.ID, c.Label, c.Word, c.Verdict, with(c.Rec.PowerW, "W") + " claimed"})
		}
	}
	return out
}

// partsAt reads what a unit shows on the page of a load.
func (b *brief) partsAt(ohm float64) (out []pointPart) {
	for _, p := range b.Points {
		if !nearLoad(ohmsOf(p.Load), ohm) {
			continue
		}
		var parts []pointPart
		p.Made.into(&parts)
		out = append(out, parts...)
	}
	slug := b.slug()
	for i := range out {
		out[i].Standing.Slug, out[i].Standing.Name = slug, b.Row.Link.Text
	}
	return out
}

// nearLoad reports whether two nominal loads are one, within 1 %; a page's name has three
// digits of its load.
func nearLoad(a, b float64) bool { return math.Abs(a-b) <= 0.0101*math.Min(a, b) }

// oneLoad gives the page of each load: those within 1 % of each other share that of the
// roundest, so that 3.98 Ω stands with 4 Ω whatever was measured first.
func oneLoad(folders []string) map[string]string {
	order := slices.Clone(folders)
	slices.SortFunc(order, func(a, b string) int {
		return cmp.Or(cmp.Compare(digitsOf(a), digitsOf(b)), cmp.Compare(ohmsOf(a), ohmsOf(b)))
	})
	page := map[string]string{}
	for _, one := range order {
		if page[one] != "" {
			continue
		}
		for _, other := range order {
			if page[other] == "" && nearLoad(ohmsOf(one), ohmsOf(other)) {
				page[other] = one
			}
		}
	}
	return page
}

// digitsOf counts the digits that count of a load's name.
func digitsOf(folder string) int {
	text := strings.TrimSuffix(folder, ohmFolder)
	return len(strings.Trim(strings.ReplaceAll(text, ".", ""), "0"))
}
