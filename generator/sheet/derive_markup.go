package sheet

// A Markup frames the parts of a derivation for a page, while they are written: so
// that they stand in the page's text at once. What it appends is its own affair.
type Markup interface {
	// Head appends the head of a passage, which ends the one before.
	Head(b []byte, text string) []byte
	// Begin appends what stands before a part. See [Part] for indent and row.
	Begin(b []byte, indent int, row bool) []byte
	// End appends what stands after a part, whose text is b[from:]. It may frame that
	// anew; a plain one is sure to hold none of & < > " and '.
	End(b []byte, from int, row, plain bool) []byte
	// Close ends the last passage.
	Close(b []byte) []byte
}

// AppendRun appends what [Deriver.Run] tells, framed by a markup: the same one for all
// that a deriver appends. What others have in common with it is left to
// [Deriver.AppendCommon].
func (v *Deriver) AppendRun(b []byte, r *Run, by Markup) []byte {
	d := v.into(b, by)
	d.aboutRun(r)
	return d.appended()
}

// AppendClaim appends what [Deriver.Claim] tells, framed by a markup; what its runs
// tell is left to [Deriver.AppendRun].
func (v *Deriver) AppendClaim(b []byte, c *Claim, by Markup) []byte {
	d := v.into(b, by)
	d.aboutClaim(c)
	return d.appended()
}

// into starts the next derivation at the end of a text.
func (v *Deriver) into(b []byte, by Markup) *derivation {
	d := v.begin()
	d.kept, d.buf, d.markup = d.buf, b, by
	d.page, d.formulas = true, d.common.formulas
	return d
}

// appended is the text, with what was derived. The deriver keeps none of it.
func (d *derivation) appended() []byte {
	b := d.markup.Close(d.buf)
	d.buf, d.kept, d.markup, d.common.formulas = d.kept, nil, nil, d.formulas
	return b
}

// before starts a part that is about to be put into the buffer, and returns where its
// text begins.
func (d *derivation) before(indent int, row bool) (start int) {
	if d.markup != nil {
		d.buf = d.markup.Begin(d.buf, indent, row)
	}
	return len(d.buf)
}

// after ends the part that before started.
func (d *derivation) after(indent int, row, plain bool, start int) {
	d.told++
	if d.markup != nil {
		d.buf = d.markup.End(d.buf, start, row, plain)
		return
	}
	d.pieces = append(d.pieces, piece{indent: indent, row: row, plain: plain, start: start, end: len(d.buf)})
}

// fixed adds parts whose texts are fixed.
func (d *derivation) fixed(pieces ...piece) {
	d.told += len(pieces)
	if d.markup == nil {
		d.pieces = append(d.pieces, pieces...)
		return
	}
	for i := range pieces {
		p := &pieces[i]
		start := d.before(p.indent, p.row)
		d.buf = append(d.buf, p.fixed...)
		d.buf = d.markup.End(d.buf, start, p.row, p.plain)
	}
}
