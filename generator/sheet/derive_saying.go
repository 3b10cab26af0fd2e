package sheet

// A saying is a sentence that is put together piece by piece. It holds the derivation's
// buffer until it ends.
type saying struct {
	sentence
	numbers *numerals
	indent  int
}

func (d *derivation) begun(indent int) saying {
	start := d.before(indent, false)
	return saying{sentence{b: d.buf, start: start}, &d.numbers, indent}
}

func (d *derivation) end(s *saying) {
	s.ends()
	if s.odd {
		s.b = append(s.b[:s.start], visible(string(s.b[s.start:]))...)
	}
	d.buf = s.b
	d.after(s.indent, false, !s.marked, s.start)
}

// add goes on with a sentence; see [write].
func (s *saying) add(format string, args ...any) { s.write(s.numbers, format, args) }

// put goes on with words of ours, which need no look: visible, one blank apart, none at
// an end where another follows, without & < > " and '.
func (s *saying) put(words string) *saying {
	s.b = append(s.b, words...)
	return s
}

// any goes on with any text.
func (s *saying) any(text string) *saying {
	if text == "" || text[len(text)-1] == ' ' {
		s.odd = true // two blanks may meet
	}
	s.text(text)
	return s
}

// named goes on with a name that a figure may follow, on a page: one from right to left stands
// between the signs of [Isolated], or "116.9 ± 6.3" behind it would be read as "6.3 ± 116.9".
func (s *saying) named(name string) *saying {
	if Isolated(name) == name {
		return s.any(name)
	}
	s.b = append(s.b, isolate...)
	s.any(name)
	s.b = append(s.b, isolated...)
	return s
}

// spelled goes on with a text that was looked at.
func (s *saying) spelled(words spelled) *saying {
	s.marked, s.odd = s.marked || words.marked, s.odd || words.odd
	s.b = append(s.b, words.text...)
	return s
}

// num goes on with a number for a pocket calculator; see [calc].
func (s *saying) num(x float64) *saying {
	s.b = s.numbers.append(s.b, x)
	return s
}

// amount goes on with a number and its unit; a bare number has none.
func (s *saying) amount(x float64, unit string) *saying { return s.num(x).unit(unit) }

// unit goes on with the unit of a number.
func (s *saying) unit(unit string) *saying {
	switch unit {
	case "":
		return s
	case "W", "V", "A", "Ω", "%", "°C", "dB", "K":
		s.b = append(append(s.b, nbsp...), unit...)
		return s
	}
	s.b = append(s.b, nbsp...)
	s.text(unit)
	return s
}

// cite goes on with a formula's id, in brackets.
func (s *saying) cite(id cited) *saying {
	s.b = append(append(append(s.b, " ["...), id...), ']')
	return s
}
