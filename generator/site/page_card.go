package site

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/picture"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// cardName is the picture that stands for a page where its link is shown, below the
// page's folder: of a unit, and of the site.
const cardName = "card.png"

// A preview is what a page says to who shows its link.
type preview struct {
	Title  string // the page's title without the site's
	Kind   string // article, or website
	Image  string // empty where the site's address isn't known: it has to be a whole one
	Alt    string // the card in words, for those who can't see it
	Width  int    // of the card, in pixels
	Height int    // of the card, in pixels
}

// previewOf is the preview of a page whose card is in a folder below the root.
func (b *binder) previewOf(title, kind, folder, alt string) preview {
	p := preview{Title: title, Kind: kind}
	if address := b.site.Content.Site.Address; address != "" {
		p.Image = strings.TrimRight(address, "/") + "/" + folder + cardName
		p.Alt, p.Width, p.Height = alt, picture.CardWidth, picture.CardHeight
	}
	return p
}

// unitPreview is the preview of a page of a sheet, with the sheet's card.
func (b *binder) unitPreview(title string, s *sheet.Sheet) preview {
	return b.previewOf(title, "article", unitsFolder+"/"+s.Slug+"/", cardAlternative(s))
}

// unitCard draws the card of a sheet.
func (b *binder) unitCard(s *sheet.Sheet) Output {
	return Output{Path: unitsFolder + "/" + s.Slug + "/" + cardName, Bytes: b.cardOf(s).Draw()}
}

// cardOf is what the card of a sheet says.
func (b *binder) cardOf(s *sheet.Sheet) picture.Card {
	card := b.siteCard()
	card.Sheet = "Sheet " + s.Number
	if st := b.site.Ledger(s.Slug); st != nil && st.Sealed() {
		card.Sheet += ", version " + itoa(len(st.Versions))
	}
	if s.Tested != "" {
		card.Tested = "tested " + dayOf(s.Tested).Text
	}
	card.Title, card.Name, card.Source = s.Headline, join(", ", s.Name, kindOf(&s.Record.Unit)), s.Disclosure
	// A name that the typeface can't write is not drawn as a row of boxes.
	if !picture.Writes(card.Name) {
		card.Name = s.Slug
	}
	if !picture.Writes(card.Source) {
		card.Source = sheet.DisclosureWithoutNames(s.Record.Source)
	}
	shown := foremost(s.Claims, picture.MostRows)
	spans := charts.ClaimSpans(shown)
	for i, c := range shown {
		one := picture.CardRow{Label: c.Label, Verdict: string(c.Verdict), Word: c.Word}
		one.Figure, one.Of = measuredOf(c)
		if one.Figure != "" {
			one.Of = strings.TrimSuffix(one.Of, " claimed")
		}
		if c.Brief != "" {
			one.Of = ""
		}
		if spans[i] != nil {
			line := picture.CardLine(*spans[i])
			one.Line = &line
		}
		card.Rows = append(card.Rows, one)
	}
	if more := len(s.Claims) - len(shown); more > 0 {
		card.More = fmt.Sprintf("%d more on the sheet.", more)
	}
	card.Foot = "± is the 95" + nbsp + "% uncertainty."
	if lacks := lacking(s.Claims); lacks != "" {
		card.Foot = lacks
	}
	if card.Where != "" {
		card.Where += unitsFolder + "/" + s.Slug + "/"
	}
	return card
}

// siteCard is what all cards of a site say.
func (b *binder) siteCard() picture.Card {
	site := b.site.Content.Site
	card := picture.Card{Site: site.Title}
	if site.Address != "" {
		_, card.Where, _ = strings.Cut(strings.TrimRight(site.Address, "/")+"/", "://")
	}
	if !picture.Writes(card.Site) {
		card.Site = strings.TrimSuffix(card.Where, "/")
	}
	return card
}

// foremost gives so many claims as they stand, and leaves out those that a reader would
// miss the least: untested ones first, those that fall short last.
func foremost(claims []*sheet.Claim, most int) []*sheet.Claim {
	if len(claims) <= most {
		return claims
	}
	order := []verdict.Word{verdict.Short, verdict.Open, verdict.Met, verdict.Incomparable, verdict.Untested}
	numbers := make([]int, len(claims))
	for i := range numbers {
		numbers[i] = i
	}
	slices.SortStableFunc(numbers, func(a, c int) int {
		return slices.Index(order, claims[a].Verdict) - slices.Index(order, claims[c].Verdict)
	})
	numbers = numbers[:most]
	slices.Sort(numbers)
	shown := make([]*sheet.Claim, most)
	for i, n := range numbers {
		shown[i] = claims[n]
	}
	return shown
}

// cardAlternative says in words what the card of a sheet shows.
func cardAlternative(s *sheet.Sheet) string {
	return oneLine(sheet.Isolated(s.Name) + ": " + s.Headline + " " + strings.Join(resultsOf(foremost(s.Claims, picture.MostRows)), " "))
}

// resultsOf says each claim's result in a sentence: "(63.1 ± 1.2) W of 60 W claimed at
// 8 Ω: met."
func resultsOf(claims []*sheet.Claim) []string {
	out := make([]string, len(claims))
	for i, c := range claims {
		figure, of := measuredOf(c)
		if c.Brief != "" {
			figure += ","
		}
		out[i] = join(" ", figure, of, "at", c.Label) + ": " + strings.ToLower(c.Word) + "."
	}
	return out
}

// describedIn is how many characters a description has at most. Search results show some
// 155 and link previews some 200 of them: common practice, no source.
const describedIn = 200

// describe says for search engines and previews, beside the headline, what was measured
// and who supplied the unit; as many of the claims as there is room for.
func describe(s *sheet.Sheet) string {
	source, _, _ := strings.Cut(s.Disclosure, ". ")
	source = oneLine(shortened(sentence(source), describedIn/2))
	for n := len(s.Claims); n > 0; n-- {
		told := strings.Join(append(resultsOf(foremost(s.Claims, n)), source), " ")
		if len([]rune(told)) <= describedIn {
			return told
		}
	}
	return source
}

// shortened gives a text of so many characters at most, with its end left out.
func shortened(text string, most int) string {
	letters := []rune(text)
	if len(letters) <= most {
		return text
	}
	return strings.TrimRight(string(letters[:most-1]), " ,.;:") + "…"
}

// frontCard is what the site's card says: how many claims have which verdict.
func (b *binder) frontCard(units []*brief) picture.Card {
	card := b.siteCard()
	card.Title, card.Name = card.Site, b.site.Content.Site.Tagline
	if !picture.Writes(card.Name) {
		card.Name = ""
	}
	card.Site = numbered(len(units), "unit")
	claims := 0
	for _, w := range verdict.Words {
		var counts []count
		for _, u := range units {
			for _, c := range u.Row.List.Counts {
				if c.Verdict == w {
					counts, claims = counted(counts, c), claims+c.N
				}
			}
		}
		for _, c := range counts {
			word := strings.Replace(strings.ToLower(c.Word), "falls", "fall", 1)
			card.Counts = append(card.Counts, picture.CardCount{Verdict: string(w), Text: word, Count: c.N})
		}
	}
	card.Sheet = numbered(claims, "claim")
	return card
}
