package site

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/publication"
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

// A basis is all inputs of a unit, or of the site's lists: those that all units share, and its own. Ten thousand units share
// some seventy, which would be most of what is remembered of a unit.
type basis struct {
	Common digest `json:",omitempty"` // of those that all units share; empty where there are none
	Own    inputs
	common inputs // one list for all units of a frame, never changed
}

// sharing is a basis that has no inputs but those that all units share.
func sharing(common inputs) basis {
	var b strings.Builder
	for _, one := range common {
		fmt.Fprintf(&b, "%q %q %s\n", one.Class, one.Name, one.Digest)
	}
	return basis{Common: publication.DigestOf([]byte(b.String())), common: common}
}

// all are the inputs of a basis.
func (b basis) all() inputs {
	in := slices.Concat(b.common, b.Own)
	in.sort()
	return in
}

// of gives those of some classes.
func (b basis) of(classes []class) inputs {
	in := slices.Concat(b.common.of(classes), b.Own.of(classes))
	in.sort()
	return in
}

// has reports whether an input is one of a basis.
func (b basis) has(one Input) bool {
	return slices.Contains(b.Own, one) || slices.Contains(b.common, one)
}

func (b basis) equal(other basis) bool {
	return b.Common == other.Common && slices.Equal(b.Own, other.Own)
}

// same reports whether two bases are the same in some classes.
func (b basis) same(now basis, classes []class) bool {
	return (b.Common == now.Common || same(b.common, now.common, classes)) && same(b.Own, now.Own, classes)
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
