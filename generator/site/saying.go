package site

// A saying is what lists have to know of a unit.
type saying struct {
	Brief *brief // nil for a unit that is held
	Sides []side `json:",omitempty"` // of the brief
}

// say notes what was found of a unit. It is kept packed until lists ask for it: while the
// outputs of ten thousand units are made, it isn't looked at, and garbage is collected often.
func (e *entry) say(b *brief) {
	e.Looked, e.Said, e.saying = true, pack(saying{b, sidesOf(b)}), nil
}

// saySame takes over what another entry says.
func (e *entry) saySame(was *entry) { e.Looked, e.Said, e.saying = true, was.Said, was.saying }

// packed is the entry as it is kept on the disk.
func (e entry) packed() *entry {
	if e.Said == nil && e.saying != nil {
		e.Said = pack(*e.saying)
	}
	return &e
}

// said is what lists have to know of the unit, once it was looked at. From then on it isn't
// held packed as well.
func (e *entry) said() *saying {
	if e.saying == nil {
		e.saying = new(saying)
		e.Said.into(e.saying)
		e.saying.own()
		e.Said = nil
	}
	return e.saying
}
