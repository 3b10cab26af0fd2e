package sheet

import (
	"math"
	"strings"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// spec decides one stated figure.
func (e *evaluator) spec(rec *record.Spec) *Spec {
	limits, how := limitsOf(rec)
	s := &Spec{Rec: rec, ID: rec.ID, Stated: stated(rec), Limits: limitsText(limits, rec.Unit, how), Verdict: verdict.Untested}
	if s.Measured, s.Captured = e.capturedSpec(rec); s.Measured == nil {
		if m, ok := measuredSpec(rec); ok {
			s.Measured = figure("measured", "y", typedFormula(rec), m)
		}
	}
	if s.Measured != nil {
		estimate := verdict.Estimate{Y: s.Measured.X, U: s.Measured.Std, DoF: s.Measured.DoF}
		s.Verdict, s.P, s.side = verdict.Spec(e.rule, limits, estimate)
		s.PText = "p " + equals(quantity.Chance(s.P, e.rule.MetFrom, e.rule.ShortTo))
		s.Coarse = s.Verdict != verdict.Missed && s.P <= e.rule.ShortTo && s.side > s.P
	}
	s.Word = printedSpec[s.Verdict]
	return s
}

var printedSpec = map[verdict.Word]string{
	verdict.Met: "Met", verdict.Missed: "Missed", verdict.Open: "Too close to call", verdict.Untested: "Not measured",
}

// measuredSpec is the mean of what was measured, with its half-width as one error
// common to repeats.
func measuredSpec(rec *record.Spec) (measured, bool) {
	n := len(rec.Measured.Items)
	if n == 0 {
		return measured{}, false
	}
	sum := 0.0
	for _, m := range rec.Measured.Items {
		sum += m.Value
	}
	how := rec.How
	if how == "" {
		how = "as measured"
	}
	v := quantity.New(sum/float64(n), rec.Unit, quantity.Rectangular(rec.PM.Value), quantity.Source{
		ID: "spec " + rec.ID, Name: how, Kind: "instrument", DoF: math.Inf(1),
	})
	return measured{Value: v.Add(scatter(rec))}, true
}

// scatter is the standard deviation of the mean of repeats (JCGM 100:2008, 4.2.3);
// exact with fewer than two.
func scatter(rec *record.Spec) quantity.Value {
	n := float64(len(rec.Measured.Items))
	if n < 2 {
		return quantity.Exact(0, rec.Unit)
	}
	mean, squares := 0.0, 0.0
	for _, m := range rec.Measured.Items {
		mean += m.Value / n
	}
	for _, m := range rec.Measured.Items {
		squares += (m.Value - mean) * (m.Value - mean)
	}
	return quantity.New(0, rec.Unit, math.Sqrt(squares/(n-1)/n), quantity.Source{
		ID: "spec " + rec.ID + " repeats", Name: "scatter of the repeats", Kind: "repeats", DoF: n - 1,
	})
}

// limitsOf are the limits that a stated figure sets: with the tolerance that the
// maker prints, else half the last digit as printed, one-sided limits too.
func limitsOf(rec *record.Spec) (l verdict.Limits, how string) {
	tolerance := func(n record.Number) float64 {
		switch {
		case rec.Tolerance.Given():
			return rec.Tolerance.Value
		case rec.TolerancePct.Given():
			return rec.TolerancePct.Value / 100 * math.Abs(n.Value)
		}
		return halfDigit(n.Text)
	}
	how = "half the last digit as printed"
	if rec.Tolerance.Given() || rec.TolerancePct.Given() {
		how = "the tolerance that the maker prints"
	}
	low, high := rec.Stated.Value-tolerance(rec.Stated), rec.Stated.Value+tolerance(rec.Stated)
	switch rec.Limit {
	case "at-least":
		return verdict.Limits{Low: low, High: math.Inf(1)}, how
	case "at-most":
		return verdict.Limits{Low: math.Inf(-1), High: high}, how
	case "between":
		return verdict.Limits{Low: low, High: rec.StatedTo.Value + tolerance(rec.StatedTo)}, how
	}
	return verdict.Limits{Low: low, High: high}, how
}

// halfDigit is half a unit of the last digit that a number was written with: 0.05
// for 4.5, 0.5 for 230.
func halfDigit(text string) float64 {
	mantissa, exponent := strings.ToLower(strings.ReplaceAll(text, "_", "")), 0.0
	if m, power, scientific := strings.Cut(mantissa, "e"); scientific && !strings.HasPrefix(mantissa, "0x") {
		mantissa = m
		for _, c := range strings.TrimLeft(power, "+-") {
			exponent = exponent*10 + float64(c-'0')
		}
		if strings.HasPrefix(power, "-") {
			exponent = -exponent
		}
	}
	_, decimals, _ := strings.Cut(mantissa, ".")
	return 0.5 * math.Pow(10, exponent-float64(len(decimals)))
}

// stated writes a figure as the maker states it.
func stated(rec *record.Spec) string {
	unit := ""
	if rec.Unit != "" {
		unit = nbsp + rec.Unit
	}
	if rec.Also.Given() {
		unit += " (" + rec.Also.Text + nbsp + rec.AlsoUnit + ")"
	}
	switch rec.Limit {
	case "at-least":
		return "at least " + rec.Stated.Text + unit
	case "at-most":
		return "at most " + rec.Stated.Text + unit
	case "between":
		return rec.Stated.Text + " to " + rec.StatedTo.Text + unit
	}
	return rec.Stated.Text + unit
}

func limitsText(l verdict.Limits, unit, how string) string {
	if unit != "" {
		unit = nbsp + unit
	}
	text := ""
	switch {
	case math.IsInf(l.High, 1):
		text = "from " + plain(l.Low) + unit
	case math.IsInf(l.Low, -1):
		text = "up to " + plain(l.High) + unit
	default:
		text = plain(l.Low) + " to " + plain(l.High) + unit
	}
	return text + ", with " + how
}

// equals writes "= 0.97", but leaves "< 0.01" as it is.
func equals(chance string) string {
	if strings.ContainsAny(chance, "<>") {
		return chance
	}
	return "= " + chance
}
