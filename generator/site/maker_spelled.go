package site

import (
	"fmt"
	"maps"
	"path"
	"slices"

	"wattsheet/generator/record"
)

// spelledTwice warns of makers whose name is written in several ways, at the first record with
// each but the usual one.
func spelledTwice(units []*brief) (problems record.Problems) {
	makers := map[string][]*brief{}
	for _, of := range units {
		makers[of.Maker.Slug] = append(makers[of.Maker.Slug], of)
	}
	for _, slug := range slices.Sorted(maps.Keys(makers)) {
		first, spellings := map[string]*brief{}, []string{}
		for _, of := range makers[slug] {
			spellings = append(spellings, of.Maker.Name)
			if was := first[of.Maker.Name]; was == nil || of.slug() < was.slug() {
				first[of.Maker.Name] = of
			}
		}
		name, also := usual(spellings)
		for _, other := range also {
			usually := first[name]
			p := first[other].spelled()
			p.Summary = fmt.Sprintf("this maker is written %s here, and %s in %s", record.Quote(other), record.Quote(name), usually.spelled().File)
			p.Hint = "they are one maker, at /" + makersFolder + "/" + slug + "/: write the name in one way; in a sealed record that takes a [[correction]]"
			problems = append(problems, p)
		}
	}
	return problems
}

// spelled is where a unit's record names its maker, as a warning without words.
func (b *brief) spelled() record.Problem {
	return record.Problem{
		Severity: record.Warning, File: path.Join(contentFolder, unitsFolder, b.slug(), recordFile),
		Line: b.Maker.At[0], Column: b.Maker.At[1], Length: len([]rune(b.Maker.Name)) + 2,
	}
}
