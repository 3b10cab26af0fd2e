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
	return new(Figure).of(name, symbol, formulaID, m, nil)
}

// of makes it that of a measured value, its budget's lines in a room.
func (f *Figure) of(name, symbol, formulaID string, m measured, room *quantity.Room) *Figure {
	b := m.BudgetIn(room)
	*f = Figure{
		Quantity: name, Symbol: symbol, Unit: m.Unit, X: m.X,
		Std: b.U, DoF: b.DoF, K: quantity.Coverage(quantity.Level, b.DoF), Formula: formulaID,
		Lines: b.Lines, Incomplete: m.lacks, value: m.Value,
	}
	f.U = f.K * f.Std
	f.say()
	return f
}

// say writes the figure for people: its texts are pieces of one.
func (f *Figure) say() {
	const between = " ± "
	var room [96]byte
	b, value := quantity.AppendPair(append(room[:0], '('), between, f.X, f.U)
	end, certain := len(b), len(b) == value
	if !certain {
		b = append(b, ')')
	}
	if f.Unit != "" {
		b = append(append(b, nbsp...), f.Unit...)
	}
	text := string(b)
	f.ValueText, f.Text = text[1:value], text
	if certain {
		f.Text = text[1:]
	} else {
		f.UText = text[value+len(between) : end]
	}
}

// nbsp is the no-break space between a number and its unit.
const nbsp = "\u00a0"
