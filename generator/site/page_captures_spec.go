package site

import (
	"html/template"

	"wattsheet/generator/quantity"
	"wattsheet/generator/sheet"
)

// A captureSpec is what one stated figure was read from, and what that gave.
type captureSpec struct {
	ID        string        // the stated figure's id
	Spec      link          // its row on the unit's page
	About     string        // which part was read, and as what, in a sentence
	Figures   factList      // what the maker states, and what came of the capture
	Verdict   template.HTML // the verdict with its sign
	Disagrees string        // that what was typed disagrees, in a sentence; empty where it doesn't
	Chart     template.HTML // the response; empty where another figure of it shows it, and for noise
}

// specsOf are the stated figures that were read from a capture, in the record's order.
func specsOf(s *sheet.Sheet, c *sheet.Capture) (out []*sheet.Spec) {
	for _, sp := range s.Specs {
		if sp.Captured != nil && sp.Captured.Rec.ID == c.ID {
			out = append(out, sp)
		}
	}
	return out
}

// captureSpec is what one stated figure was read from, without its drawing.
func (b *binder) captureSpec(sp *sheet.Spec) captureSpec {
	c := sp.Captured
	methodology := b.methodologyFrom(capturesDepth)
	out := captureSpec{
		ID: sp.ID, Spec: link{"../index.html#spec-" + sp.ID, capital(sp.Rec.Name)}, About: "Read from " + c.Where + ", as " + c.AsText + ".",
		Verdict: verdictMarkup(sp.Verdict, sp.Word),
	}
	out.Figures = facts(
		fact{Name: "Stated", Text: sp.Stated},
		fact{Name: "Measured", Text: sp.Measured.Text, Href: formulaHref(methodology, sp.Measured)},
	)
	if sp.Rec.CaptureAs == "signal-to-noise" {
		out.Figures = append(out.Figures, fact{Name: "Noise, rms", Text: quantity.Significant(1000*c.Taken.Value.X, 4) + nbsp + "mV"})
	}
	if one := c.Other; one != nil && one.Disagrees {
		out.Disagrees = "It was typed as " + one.Typed.Text + " and is " + one.Captured.Text + " by the capture, which counts; the difference is " + one.Difference.Text + "."
	}
	return out
}
