package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wattsheet/generator/formula"
	"wattsheet/generator/quantity"
)

// figure adds a figure: its formula with the numbers put in, its components, and
// how they make its uncertainty.
//
// Where the figure is a mean of repeats, these are its members: what an error brings
// to each of them is then shown.
func (d *derivation) figure(title string, f *Figure, putIn string, members ...quantity.Value) {
	known, _ := formula.ByID(f.Formula)
	d.say(2, "%s: %s  %s", title, known.Expression, d.by(f.Formula))
	if putIn != "" {
		d.say(4, "= %s", putIn)
	}
	d.say(4, "= %s, published as %s", amount(f.X, f.Unit), f.Text)
	d.budget(f, members...)
	for _, lacks := range f.Incomplete {
		d.say(4, "its uncertainty is not complete: %s", lacks)
	}
}

// The widths of the budget's columns.
const (
	sourceWide  = 28
	ownWide     = 16
	numberWide  = 13
	sharingWide = 3
)

// budget adds the components of a figure, and what they add up to.
func (d *derivation) budget(f *Figure, members ...quantity.Value) {
	some := *f
	some.Lines = slices.DeleteFunc(slices.Clone(f.Lines), func(l quantity.Line) bool { return l.C == 0 })
	f = &some
	if len(f.Lines) == 0 {
		d.say(4, "nothing in it is known to be uncertain")
		return
	}
	d.line("    " + pad("source", sourceWide) + padLeft("u of source", ownWide) + padLeft("c", numberWide) + padLeft("c·u", numberWide) + "  as")
	letters := groupLetters(f.Lines)
	for _, l := range f.Lines {
		d.component(l, letters[l.Source.Group], memberParts(l, members), len(members))
	}
	d.combined(f, letters)
}

// memberParts are what an error brings to each member of a mean; nil where its u is
// the same in all of them, so that one sensitivity says it.
func memberParts(l quantity.Line, members []quantity.Value) (parts []quantity.Part) {
	ids, same := l.Source.Joined, l.Source.U > 0
	if ids == nil {
		ids = []string{l.Source.ID}
	}
	for _, m := range members {
		for _, p := range m.Parts {
			if slices.Contains(ids, p.Source.ID) {
				parts = append(parts, p)
				same = same && p.Source.U == l.Source.U
			}
		}
	}
	if same || len(parts) < 2 {
		return nil
	}
	return parts
}

// component adds one row: the source's name may take several lines. An error that
// is joined from several runs has a u and a c in each of them.
func (d *derivation) component(l quantity.Line, letter string, parts []quantity.Part, n int) {
	u, c := "joined", ""
	if l.Source.U > 0 && parts == nil {
		u = strings.TrimSpace(calc(l.Source.U) + " " + cut(l.Source.Unit, 4))
		c = calc(l.C / l.Source.U)
	}
	defer d.joined(l, parts, n)
	mark := ""
	if l.Sharing == quantity.Common {
		mark = letter
	}
	for i, name := range wrap(l.Source.Name, sourceWide-2) {
		if i > 0 {
			d.line("      " + name)
			continue
		}
		d.line("    " + pad(name, sourceWide) + padLeft(u, ownWide) + padLeft(c, numberWide) + padLeft(calc(l.C), numberWide) + "  " + pad(mark, sharingWide))
	}
}

// joined writes how an error's contributions to each of n runs make the one to the
// mean.
func (d *derivation) joined(l quantity.Line, parts []quantity.Part, n int) {
	if parts == nil {
		return
	}
	terms := make([]string, len(parts))
	for i, p := range parts {
		if p.Source.U > 0 {
			terms[i] = calc(p.C/p.Source.U) + "·" + calc(p.Source.U)
		} else {
			terms[i] = calc(p.C)
		}
	}
	d.say(6, "c·u of each run: (%s)/%d = %s", strings.ReplaceAll(strings.Join(terms, " + "), "+ -", "− "), n, calc(l.C))
}

// groupLetters gives each group that was taken as one error a letter.
func groupLetters(lines []quantity.Line) map[string]string {
	letters := map[string]string{}
	for _, l := range lines {
		if l.Sharing == quantity.Common && letters[l.Source.Group] == "" {
			n := len(letters)
			letters[l.Source.Group] = string(rune('A' + n%26))
			if n >= 26 {
				letters[l.Source.Group] += fmt.Sprint(n / 26)
			}
		}
	}
	return letters
}

// combined adds how the components make u, ν, k and U.
func (d *derivation) combined(f *Figure, letters map[string]string) {
	if !d.saidC {
		d.saidC = true
		d.say(4, "c is the sensitivity: by how much the figure changes where its source does by one unit. To check one, change the source a little, compute the figure anew, and divide the one change by the other.")
	}
	if len(letters) > 0 {
		d.say(4, "Components with the same letter are taken as one error: they are added with their signs first, then squared.")
	}
	if slices.ContainsFunc(f.Lines, func(l quantity.Line) bool { return l.Source.U == 0 }) {
		d.say(4, "A component that is joined is one error in all repeats: what it contributes to each run, c·u there, is added, then divided by their number.")
	}
	alone := 0
	for _, l := range f.Lines {
		if l.Sharing == quantity.Independent {
			alone++
		}
	}
	if alone > 1 {
		d.say(4, "%s of groups whose sharing is not known are taken as independent: that gives the larger u.", capital(countOf(alone, "component")))
	}
	d.say(4, "u = √(%s) = %s  %s", d.squares(f.Lines), amount(f.Std, f.Unit), d.by(formula.Combined))
	d.freedom(f)
	d.say(4, "k = t(0.975; %s) = %s, U = k·u = %s·%s = %s  %s", calc(f.DoF), calc(f.K), calc(f.K), calc(f.Std), amount(f.U, f.Unit), d.by(formula.Expanded))
}

// amount writes a number with its unit; a bare number has none.
func amount(x float64, unit string) string {
	if unit == "" {
		return calc(x)
	}
	return calc(x) + nbsp + unit
}

// squares writes the sum that the variance is.
func (d *derivation) squares(lines []quantity.Line) string {
	var terms []string
	for _, v := range variances(lines) {
		terms = append(terms, v.text)
	}
	return strings.Join(terms, " + ")
}

// A variance is what one component, or a group taken as one error, adds to u².
type variance struct {
	text     string
	value    float64
	estimate string
	dof      float64
}

func variances(lines []quantity.Line) []variance {
	var out []variance
	for i := 0; i < len(lines); {
		l := lines[i]
		v := variance{calc(l.C) + "²", l.C * l.C, l.Source.Estimate, l.Source.DoF}
		if l.C < 0 {
			v.text = calc(-l.C) + "²"
		}
		if v.estimate == "" {
			v.estimate = l.Source.ID
		}
		n := i + 1
		if l.Sharing == quantity.Common {
			sum, terms := l.C, []string{calc(l.C)}
			for ; n < len(lines) && lines[n].Source.Group == l.Source.Group; n++ {
				sum += lines[n].C
				terms = append(terms, calc(lines[n].C))
				if source := lines[n].Source; source.DoF > 0 && source.DoF < v.dof {
					v.dof = source.DoF // of one error the fewest degrees of freedom count
					if v.estimate = source.Estimate; v.estimate == "" {
						v.estimate = source.ID
					}
				}
			}
			v.text = "(" + strings.ReplaceAll(strings.Join(terms, " + "), "+ -", "− ") + ")²"
			v.value = sum * sum
		}
		out = append(out, v)
		i = n
	}
	return out
}

// freedom adds the effective degrees of freedom, by the estimates that have
// finite ones.
func (d *derivation) freedom(f *Figure) {
	if math.IsInf(f.DoF, 1) {
		d.say(4, "ν = ∞: no component has finite degrees of freedom, so k is the normal distribution's  %s", d.by(formula.Freedom))
		return
	}
	sums, dofs, order := map[string]float64{}, map[string]float64{}, []string(nil)
	squares := map[string][]string{}
	for _, v := range variances(f.Lines) {
		if math.IsInf(v.dof, 1) || v.dof == 0 {
			continue
		}
		if dofs[v.estimate] == 0 {
			order = append(order, v.estimate)
		}
		sums[v.estimate] += v.value
		squares[v.estimate] = append(squares[v.estimate], v.text)
		dofs[v.estimate] = v.dof
	}
	var terms []string
	for _, e := range order {
		terms = append(terms, fmt.Sprintf("%s⁴/%s", calc(math.Sqrt(sums[e])), calc(dofs[e])))
	}
	d.say(4, "ν = %s⁴/(%s) = %s, of %s  %s", calc(f.Std), strings.Join(terms, " + "), calc(f.DoF), strings.Join(order, ", "), d.by(formula.Freedom))
	for _, e := range order {
		if len(squares[e]) > 1 {
			d.say(6, "with, from %s, √(%s) = %s", e, strings.Join(squares[e], " + "), amount(math.Sqrt(sums[e]), f.Unit))
		}
	}
}
