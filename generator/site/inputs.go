package site

import (
	"cmp"
	"slices"
)

// An Input is something that outputs are made from.
type Input struct {
	Class  class
	Name   string // for people; of a file its path from the root
	Digest digest // of all that counts of it
}

// programName is the input that this program is.
const programName = "this program"

// inputs are sorted by class and name; each is there once.
type inputs []Input

func (in inputs) sort() {
	slices.SortFunc(in, func(a, b Input) int { return cmp.Or(cmp.Compare(a.Class, b.Class), cmp.Compare(a.Name, b.Name)) })
}

// of gives those of some classes.
func (in inputs) of(classes []class) inputs {
	var out inputs
	for _, one := range in {
		if slices.Contains(classes, one.Class) {
			out = append(out, one)
		}
	}
	return out
}

// changedSince lists what is not the same in two lists of inputs, of some classes: those that
// are new or have another digest, and those that are gone.
func changedSince(was, now inputs, classes []class) inputs {
	var out inputs
	was, now = was.of(classes), now.of(classes)
	for _, one := range now {
		if !slices.Contains(was, one) {
			out = append(out, one)
		}
	}
	for _, one := range was {
		if !slices.ContainsFunc(now, func(i Input) bool { return i.Class == one.Class && i.Name == one.Name }) {
			out = append(out, one)
		}
	}
	return out
}

// same reports whether two lists of inputs are the same in some classes.
func same(was, now inputs, classes []class) bool {
	i, j := 0, 0
	for {
		for i < len(was) && !slices.Contains(classes, was[i].Class) {
			i++
		}
		for j < len(now) && !slices.Contains(classes, now[j].Class) {
			j++
		}
		if i == len(was) || j == len(now) {
			return i == len(was) && j == len(now)
		}
		if was[i] != now[j] {
			return false
		}
		i, j = i+1, j+1
	}
}
