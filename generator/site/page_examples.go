package site

import (
	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// An exampleRow is a claim made up to explain a verdict.
type exampleRow struct {
	claimRow
	Says string // what the verdict means, in plain words
}

// exampleRows are one made-up claim of 100 W for each verdict: they are drawn
// like any other and belong to no unit.
func exampleRows() []exampleRow {
	claims := []*sheet.Claim{
		example("example-met", verdict.Met, 104, 101.9, 106.1, 2.5),
		example("example-short", verdict.Short, 95, 92.9, 97.1, 2.5),
		example("example-open", verdict.Open, 99.6, 97.5, 101.7, 2.5),
		blank("example-untested", verdict.Untested),
		blank("example-incomparable", verdict.Incomparable),
	}
	says := []string{
		"The whole bar lies right of the stroke: even a pessimist's reading of these runs gives the claimed power.",
		"The whole bar lies left of the stroke: even an optimist's reading of these runs doesn't give it.",
		"The bar lies across the stroke: the unit may just give the claimed power or just not. This bench can't tell, and better instruments or more runs might.",
		"Nobody has measured it here, so there is no ring and no bar. It says nothing about the unit.",
		"It was measured, but not as the maker claims it: with other channels, bridging, signal or method. The sheet names which.",
	}
	rows := make([]exampleRow, len(claims))
	for i, r := range claimRows(claims, "index.html") {
		rows[i] = exampleRow{r, says[i]}
	}
	return rows
}

// example is a claim of 100 W with a mean, the interval that decides, and U.
func example(id string, word verdict.Word, mean, low, high, expanded float64) *sheet.Claim {
	value, u := quantity.Pair(mean, expanded)
	weakest := &sheet.ClaimChannel{Class: "at", Mean: &sheet.Figure{
		Quantity: "power", Symbol: "P", Unit: "W", X: mean, Std: expanded / 2, U: expanded, K: 2,
		ValueText: value, UText: u, Text: "(" + value + " ± " + u + ")" + nbsp + "W", Formula: formula.Mean,
	}}
	c := blank(id, word)
	c.Channels, c.Weakest, c.BarLow, c.BarHigh = []*sheet.ClaimChannel{weakest}, weakest, low, high
	return c
}

// blank is a claim of 100 W without any result.
func blank(id string, word verdict.Word) *sheet.Claim {
	return &sheet.Claim{
		ID: id, Label: "Example", Verdict: word, Word: sheet.Printed(word), ClaimW: 100, LimitW: 100,
		Rec: &record.Claim{ID: id, PowerW: record.Number{Value: 100, Text: "100"}},
	}
}
