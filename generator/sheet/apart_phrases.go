package sheet

import (
	"maps"
	"strings"
)

// apartPhrases are the words of a comparison of two units, with gaps in braces. Pages
// hand them to the script that compares in a browser, so that it has no words of its
// own that could drift from these.
var apartPhrases = map[string]string{
	"told":  "{more} gives more than {less} into {at}: told apart at every corner of the conditions.",
	"not":   "Not told apart: {why}.",
	"at":    "{load}, {method}",
	"twin":  "{name} ({slug})",
	"range": "{low} … {high}",

	apartSame:      "it is one unit",
	apartNoFigure:  "{unit} has no figure here ({why})",
	apartFrequency: "{a} was measured at {a_freq}, {b} at {b_freq}",
	apartVoltage:   "the supply stood at {a_supply} for {a} and at {b_supply} for {b}, and a run more than 10" + nbsp + "% off their mean is not carried there",
	"close":        "the uncertainty of the difference spans zero",
	"supply":       "what they would give at one supply voltage depends on how each is built",
	"load":         "what they would give into exactly {load} depends on what limits each",
	"supply, load": "what they would give at one supply voltage and into exactly {load} depends on how each is built",
	"doubt":        "{unit}: {doubt}",
	"and":          "; ",
	"chance":       "P({unit} gives more) {p} at {corners} corners",
	"carried":      "carried to {volts}" + nbsp + "V and {load}: {a_watts} and {b_watts}",
}

// ApartPhrases are the words of a comparison, by what they are for. Gaps are {name}.
func ApartPhrases() map[string]string { return maps.Clone(apartPhrases) }

// phrase is one of the phrases with its gaps filled: pairs of a gap's name and a text.
// What stands in a text is no gap, and each gap has its text.
func phrase(id string, gaps ...string) string {
	var out strings.Builder
	for rest := apartPhrases[id]; ; {
		before, after, found := strings.Cut(rest, "{")
		out.WriteString(before)
		if !found {
			return out.String()
		}
		name, after, _ := strings.Cut(after, "}")
		for i := 0; i < len(gaps); i += 2 {
			if gaps[i] == name {
				out.WriteString(gaps[i+1])
			}
		}
		rest = after
	}
}

// An ApartRules is the numbers that a comparison of two units goes by, for who
// compares elsewhere.
type ApartRules struct {
	MetFrom      float64 `json:"met_from"` // from this probability on the first is told to give more
	ShortTo      float64 `json:"short_to"` // up to it, the second
	SupplyMost   float64 `json:"supply_most"`
	SupplyReach  float64 `json:"supply_reach"`
	NominalReach float64 `json:"nominal_reach"`
}

// ApartRulesOf are the same on every site.
func ApartRulesOf() ApartRules {
	return ApartRules{apartRule.MetFrom, apartRule.ShortTo, supplyMost, supplyReach, nominalReach}
}
