package record

// A Place is where something stands in a source file: the value of a key, or
// the head of a table. It lets every later room say file:line:column of what
// it finds odd, without the text being read again.
//
// The zero Place stands nowhere: the key was not written.
type Place struct {
	file *File
	node *node
}

// A File is one source file as it was given to the decoder.
type File struct {
	// Name is the file's path as messages print it, relative to the site's root.
	Name string
	// Text is the whole file, for the source line under a message.
	Text []byte
}

// Given reports whether the thing was written in a file at all.
func (p Place) Given() bool { return p.node != nil }

// A Number is one number as somebody typed it: its value in the unit that the
// key names, and the text as written, which is kept so that 74.30 stays 74.30.
type Number struct {
	Place
	Value float64
	Text  string
}

// Or returns the number's value, or otherwise when none was written.
func (n Number) Or(otherwise float64) float64 {
	if n.Given() {
		return n.Value
	}
	return otherwise
}

// Numbers is a key that takes one number or an array of numbers, as readings a
// channel are written.
type Numbers struct {
	Place
	Items []Number
}

// A Ref names something that is defined elsewhere: a load, a method, an
// instrument.
type Ref struct {
	Place
	ID string
}

// Refs is a key that takes one reference or an array of them.
type Refs struct {
	Place
	Items []Ref
}

// A Date is a calendar day as written, YYYY-MM-DD.
type Date struct {
	Place
	Text string
}

// A Moment is an instant as written: a TOML offset date-time (RFC 3339).
type Moment struct {
	Place
	Text string
}

// Unread reports whether nothing of the record's file could be read: what it lacks says nothing then.
func (r *Record) Unread() bool { return r.Place.unread() }

// unread reports whether this is the top of a file of which nothing could be read.
func (p Place) unread() bool { return p.node != nil && p.node.unread }

// Headed reports whether this is a table with a head of its own, [unit] or [[run]],
// and not one in braces.
func (p Place) Headed() bool { return p.node != nil && p.node.headed }
