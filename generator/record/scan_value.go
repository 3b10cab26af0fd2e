package record

// value reads any value into a node that has its key.
func (s *scanner) value(n *node) {
	from := s.start(s.at)
	c := s.peek()
	switch c {
	case '[':
		s.within(n, s.list)
	case '{':
		s.within(n, s.inline)
	case '"', '\'':
		if s.triple(c) {
			s.long(c)
		} else {
			s.closing(c)
		}
		n.text = s.text[from.at:s.at]
	default:
		s.word()
		n.text = s.text[from.at:s.at]
	}
	n.value = s.end(from)
	if s.fault != nil && s.fault.open.line == 0 {
		s.fault.open = from
	}
	if s.fault != nil && (c == '[' || c == '{') {
		s.fault.list = from
	}
}

func (s *scanner) within(n *node, read func(*node)) {
	if s.depth++; s.depth > deepest {
		s.fail("lists and tables are nested too deeply")
	}
	s.at++
	read(n)
	s.depth--
}

func (s *scanner) list(n *node) {
	n.list = true
	for s.fault == nil {
		if s.blank(); s.take(']') {
			return
		}
		item := s.node()
		if n.items == nil {
			n.items = s.room(2)
		}
		n.items = append(n.items, item)
		s.value(item)
		if s.blank(); !s.take(',') && s.peek() != ']' {
			s.fail("")
		}
	}
}

func (s *scanner) inline(n *node) {
	for s.fault == nil {
		if s.blanks(); s.take('}') {
			s.odd = s.odd || len(n.kids) > 0
			return
		}
		s.pair(n)
		if s.blanks(); s.take('}') {
			return
		}
		if !s.take(',') {
			s.fail("")
		}
	}
}

// blanks is blank where a line end may not be allowed.
func (s *scanner) blanks() {
	s.gap()
	if s.peek() == '\n' || s.peek() == '#' {
		s.odd = true
	}
	s.blank()
}

// closing skips a quoted text of one line.
func (s *scanner) closing(quote byte) {
	for s.at++; s.at < len(s.text); s.at++ {
		switch c := s.text[s.at]; {
		case c == quote:
			s.at++
			return
		case c == '\n':
			s.fail("")
			return
		case c == '\\' && quote == '"':
			s.at++
		}
	}
	s.at = len(s.text)
	s.fail("")
}

// triple reports whether three quotes follow.
func (s *scanner) triple(quote byte) bool {
	rest := s.text[s.at:]
	return len(rest) > 2 && rest[0] == quote && rest[1] == quote && rest[2] == quote
}

// long skips a quoted text of several lines; it may end in up to two quotes of
// its own before the closing three.
func (s *scanner) long(quote byte) {
	for s.at += 3; s.at < len(s.text); s.at++ {
		switch c := s.text[s.at]; {
		case c == '\\' && quote == '"':
			s.at++
		case s.triple(quote):
			s.at += 3
			for n := 0; n < 2 && s.take(quote); n++ {
			}
			return
		}
	}
	s.at = len(s.text)
	s.fail("")
}

// word skips a number, a date or true and false. A date and its time may have
// a blank between them.
func (s *scanner) word() {
	from := s.at
	for s.at < len(s.text) {
		switch s.text[s.at] {
		case ',', ']', '}', '#', '\n', '\r', '\t':
		case ' ':
			if s.at-from != len("2026-10-09") || s.text[from+4] != '-' || s.at+1 >= len(s.text) || !digit(s.text[s.at+1]) {
				return
			}
			s.at++
			continue
		default:
			s.at++
			continue
		}
		break
	}
	if s.at == from {
		s.fail("")
	}
}

func digit(c byte) bool { return c >= '0' && c <= '9' }
