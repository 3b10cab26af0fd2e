package sheet

import (
	"slices"

	"wattsheet/generator/quantity"
)

// A measured value is a quantity and what its uncertainty lacks, in words:
// missing is not zero, so what is not known is told.
type measured struct {
	quantity.Value
	lacks []string
}

// with returns the value v as made of the given measured ones: what each lacks,
// the result lacks.
func with(v quantity.Value, of ...measured) measured {
	m := measured{Value: v}
	for _, o := range of {
		for _, l := range o.lacks {
			if !slices.Contains(m.lacks, l) {
				m.lacks = append(m.lacks, l)
			}
		}
	}
	return m
}

// figure evaluates a measured value for publication.
func figure(name, symbol, formulaID string, m measured) *Figure {
	b := m.Budget()
	f := &Figure{
		Quantity: name, Symbol: symbol, Unit: m.Unit, X: m.X,
		Std: b.U, DoF: b.DoF, K: quantity.Coverage(quantity.Level, b.DoF), Formula: formulaID,
		Lines: b.Lines, Incomplete: m.lacks, value: m.Value,
	}
	f.U = f.K * f.Std
	f.ValueText, f.UText = quantity.Pair(f.X, f.U)
	f.Text = f.ValueText
	if f.UText != "" {
		f.Text = "(" + f.ValueText + " ± " + f.UText + ")"
	}
	if f.Unit != "" {
		f.Text += nbsp + f.Unit
	}
	return f
}

// nbsp is the no-break space between a number and its unit.
const nbsp = "\u00a0"
