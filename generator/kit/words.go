package kit

import (
	"fmt"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// measured says what was measured for a claim, and of what, as the page does.
func measured(c *sheet.Claim) (figure, of string) {
	of = c.Rec.PowerW.Text + nbsp + "W claimed"
	if c.Weakest != nil && c.Weakest.Mean != nil {
		figure, of = c.Weakest.Mean.Text, "of "+of
	}
	if c.Brief != "" {
		figure = c.Brief
	}
	return figure, of
}

// claimSays is a claim's result in a line: "4 Ω: (880 ± 17) W of 850 W claimed, met".
func claimSays(c *sheet.Claim) string {
	figure, of := measured(c)
	if c.Brief != "" && figure != "" {
		figure += ";"
	}
	return c.Label + ": " + strings.TrimSpace(figure+" "+of) + ", " + strings.ToLower(c.Word)
}

// resultOf is what a claim says, to be remembered.
func resultOf(c *sheet.Claim) Result { return Result{"claim " + c.ID, claimSays(c)} }

// mostNamed is how many channels a run's result names each: more can't be read while it stands.
const mostNamed = 4

// runSays is a run's result in a line: "4 Ω, at 1 % THD+N: (880 ± 17) W a channel"; empty
// for one that doesn't count, or gives no power.
func runSays(r *sheet.Run) string {
	if !r.Valid {
		return ""
	}
	var powers []string
	var weakest *sheet.Channel
	for _, ch := range r.Channels {
		if ch.Power == nil {
			continue
		}
		text := ch.Power.Text
		if len(r.Channels) > 1 {
			text = sheet.Isolated(ch.Name) + " " + text // a figure behind it would turn round: 6.3 ± 116.9
		}
		powers = append(powers, text)
		if weakest == nil || ch.Power.X < weakest.Power.X {
			weakest = ch
		}
	}
	if len(powers) == 0 {
		return ""
	}
	if n := len(powers); n > mostNamed {
		powers = []string{fmt.Sprintf("%s %s, the weakest of %d channels", sheet.Isolated(weakest.Name), weakest.Power.Text, n)}
		if r.Total != nil {
			powers = append(powers, r.Total.Text+" in all")
		}
	}
	says := runTitle(r) + ": " + strings.Join(powers, ", ")
	if !r.Completed && r.OutcomeText != "" {
		says += "; " + r.OutcomeText
	}
	return says
}

// runTitle says what a run is: load, bridging, method.
func runTitle(r *sheet.Run) string {
	text := fmt.Sprintf("%g", r.Nominal) + nbsp + "Ω"
	if r.Bridged {
		text += " bridged"
	}
	if r.Method != nil && r.Method.Title != "" {
		text += ", " + sheet.Isolated(r.Method.Title)
	}
	return text
}

// resultOfRun is what a run says, to be remembered.
func resultOfRun(r *sheet.Run) Result { return Result{"run " + r.ID, runSays(r)} }

// headline is the verdicts in a sentence, and of which unit.
func (m *maker) headline() Result {
	return Result{"headline", sheet.Isolated(m.Sheet.Name) + ": " + m.Sheet.Headline}
}

// disclosed is who supplied the unit.
func (m *maker) disclosed() Result { return Result{"disclosure", m.Sheet.Disclosure} }

// plusMinus says what ± means, and what the uncertainty lacks.
func (m *maker) plusMinus() string {
	for _, c := range m.Sheet.Claims {
		for _, ch := range c.Channels {
			if ch.Mean != nil && len(ch.Mean.Incomplete) > 0 {
				return "± is the 95" + nbsp + "% uncertainty; of some it lacks a part, which the sheet names."
			}
		}
	}
	return "± is the 95" + nbsp + "% uncertainty."
}

// chapterOf says in a few words what a mark shows; empty where that isn't known.
func (m *maker) chapterOf(mark record.Mark) string {
	switch mark.Kind {
	case "claim":
		for _, c := range m.Sheet.Claims {
			if c.ID == mark.Name {
				return "The claim: " + c.Label + ", " + c.Rec.PowerW.Text + nbsp + "W"
			}
		}
	case "run":
		for _, r := range m.Sheet.Runs {
			if r.ID == mark.Name {
				return runTitle(r)
			}
		}
	case "settings":
		return "How it was set"
	case "opinion":
		return "What I think of it"
	case "thermal":
		return "Temperature: " + mark.Name
	case "spec", "function":
		return upper(mark.Name)
	}
	return mark.Name
}

func upper(text string) string {
	for i := range text {
		if i > 0 {
			return strings.ToUpper(text[:i]) + text[i:]
		}
	}
	return strings.ToUpper(text)
}

// untested reports whether a claim has nothing to show.
func untested(c *sheet.Claim) bool { return c.Verdict == verdict.Untested }
