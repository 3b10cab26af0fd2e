package site

import (
	"html/template"
	"strings"

	"wattsheet/charts"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// compareName is the folder of the page that sets units beside each other.
const compareName = "compare"

// A besidePage is where units stand beside each other: its script fills it with the units that its
// address names. It has nothing of any unit.
type besidePage struct {
	head
	Words besideWords  // what the script reads; the element has the id beside-words
	Marks []besideMark // the shapes of all verdicts
	Note  string       // what pairwise comparisons are
}

// A besideMark is a verdict's shape, for the script to copy.
type besideMark struct {
	Class string        // the verdict as a class for the style: met
	Mark  template.HTML // its shape, drawn
}

// besideWords are the words and numbers that the script has from here.
type besideWords struct {
	Phrases map[string]string `json:"phrases"`
	Rule    sheet.ApartRules  `json:"rule"`
	Methods []besideMethod    `json:"methods"` // in the order of methods.toml
	List    string            `json:"list"`    // the folder of the list of all units
	Units   string            `json:"units"`   // the folder of the units
	Script  string            `json:"script"`  // the name of a unit's own script
}

// A besideMethod is a method by which units were measured.
type besideMethod struct {
	ID    string `json:"id"`
	Title string `json:"title"`
}

// beside makes the page that sets units beside each other.
func (b *binder) besidePage() Output {
	page := besidePage{
		head: b.head(compareName+"/", "Units beside each other", "Two to four units at one load and method: claimed, measured, and whether the measurements tell them apart."),
		Note: sheet.PairwiseNote,
	}
	if style := b.assets["beside.css"]; style != "" {
		page.Styles = append(page.Styles, page.Root+style)
	}
	for _, name := range []string{"list.js", "apart.js", "beside-live.js", "beside-chart.js", "beside.js"} {
		if script := b.assets[name]; script != "" {
			page.Scripts = append(page.Scripts, page.Root+script)
		}
	}
	page.Words = besideWordsOf(b.site.Content.Methods)
	page.Words.List, page.Words.Units = page.Root+page.Words.List, page.Root+page.Words.Units
	for _, w := range verdict.Words {
		page.Marks = append(page.Marks, besideMark{string(w), template.HTML(charts.Mark(w))})
	}
	return b.put("beside", compareName+"/", page)
}

// besideWordsOf are the words of a site with these methods; paths are below its root.
func besideWordsOf(methods *record.Methods) besideWords {
	words := besideWords{
		Phrases: sheet.ApartPhrases(), Rule: sheet.ApartRulesOf(), Methods: []besideMethod{},
		List: dataFolder + "/", Units: unitsFolder + "/", Script: besideName,
	}
	if methods != nil {
		for _, m := range methods.Methods {
			words.Methods = append(words.Methods, besideMethod{m.ID, m.Title})
		}
	}
	return words
}

// besideHref is the address at which units stand beside each other, from a page whose
// way to the root is given; with a point, at that one. A unit alone waits for others.
func besideHref(root string, at *sheet.Point, slugs ...string) string {
	to := root + compareName + "/index.html#" + strings.Join(slugs, "+")
	if at != nil {
		to += "&at=" + pointKey(*at)
	}
	return to
}
