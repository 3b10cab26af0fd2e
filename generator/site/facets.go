package site

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"hash"
	"maps"
	"slices"
	"strings"
)

// A facet is what the briefs say for some lists and not for others, so that a list is made
// again only when something changes that it shows.
//
// A kind of lists names the classes of its facets in [madeFrom]. A kind of [memberKinds]
// has one group of outputs for each member that its facets name (one page a maker), each
// with the digest of what the units on it say; of any other kind the only member is "".
type facet struct {
	class class
	// name tells people of it as an input; a member's name follows it.
	name string
	// of is what a unit says, by member; a value is anything that JSON can write. It has all
	// that outputs take from the brief for that member.
	of func(b *brief) map[string]any
}

// The classes of the facets.
const (
	theRows         class = "rows"          // what the front page shows of all units
	theAllCorrected class = "all corrected" // what the page of all corrections shows
	theFeeds        class = "feeds"         // what feeds say of all units
	thePages        class = "pages"         // which pages the units have, and when what they say moved last
)

// facets are all of them.
var facets = []facet{
	{theRows, "the list of all units", func(b *brief) map[string]any {
		return once(struct {
			Row     unitRow
			Leading *leading
		}{b.Row, b.Leading})
	}},
	{theAllCorrected, "the corrections of all units", func(b *brief) map[string]any {
		if !b.Sealed && len(b.Corrections) == 0 {
			return nil
		}
		return once(struct {
			Link        link
			Sealed      bool
			Corrections []correctionRow
		}{b.Row.Link, b.Sealed, b.Corrections})
	}},
	{theFeeds, "the results of all units and their days", func(b *brief) map[string]any {
		return once(struct {
			Link        link
			Tested      day
			Lacks       string
			Corrections []correctionRow
			Dated       dated
		}{b.Row.Link, b.Row.Tested, b.Row.Lacks, b.Corrections, b.Dated})
	}},
	{thePages, "the pages of all units and their days", func(b *brief) map[string]any {
		return once(struct {
			Link        link
			Corrections []correctionRow
			Dated       dated
		}{b.Row.Link, b.Corrections, b.Dated})
	}},
}

// once is what a unit says to a list that the site has once.
func once(value any) map[string]any { return map[string]any{"": value} }

// memberKinds are the kinds of lists with a group of outputs for each member; their
// outputs stand in <folder>/<member>/.
var memberKinds = map[kind]string{}

// memberOf is the member that a path of a kind belongs to.
func memberOf(k kind, path string) string {
	folder, isMembers := memberKinds[k]
	if !isMembers {
		return ""
	}
	member, _, _ := strings.Cut(strings.TrimPrefix(path, folder+"/"), "/")
	return member
}

// facetsOf are the facets that a kind is made from.
func facetsOf(k kind) (out []facet) {
	for _, f := range facets {
		if slices.Contains(madeFrom[k], f.class) {
			out = append(out, f)
		}
	}
	return out
}

// A side is what one unit says to one member of a facet, as a digest. It follows from the
// brief, and is remembered with it so that no brief has to be written down again for it.
type side struct {
	Of     class
	Member string `json:",omitempty"`
	Digest digest
}

// sidesOf gives all sides of a brief, sorted; none of a unit that is held.
func sidesOf(b *brief) (out []side) {
	if b == nil {
		return nil
	}
	for _, f := range facets {
		said := f.of(b)
		for _, member := range slices.Sorted(maps.Keys(said)) {
			data, err := json.Marshal(said[member])
			if err != nil {
				panic(err) // texts and numbers always can be written
			}
			out = append(out, side{f.class, member, digestOf(data)})
		}
	}
	return out
}

// A group is the outputs of a list that are made together: all of a kind, or those of one
// of its members.
type group struct {
	kind   kind
	member string
	units  []*brief // those that are on it, in the order given; of a kind without facets all
	from   inputs   // the facets, as inputs of this group
}

// key names the group among all that the site has.
func (g *group) key() kind {
	if g.member == "" {
		return g.kind
	}
	return g.kind + kind(" "+g.member)
}

// gathered is what all units say to one member of a facet.
type gathered struct {
	units []int // by number
	sum   hash.Hash
}

// listGroups are the groups of all kinds of lists, by kind and member, given the units
// that may be seen, by slug, and their sides.
func listGroups(units []*brief, sides [][]side) (out []*group) {
	all := saidBy(sides)
	for _, k := range listKinds {
		of := facetsOf(k)
		if len(of) == 0 {
			out = append(out, &group{kind: k, units: units})
			continue
		}
		members := map[string]bool{}
		if _, isMembers := memberKinds[k]; !isMembers {
			members[""] = true
		} else {
			for _, f := range of {
				for member := range all[f.class] {
					members[member] = true
				}
			}
		}
		for _, member := range slices.Sorted(maps.Keys(members)) {
			g := &group{kind: k, member: member}
			var on []int
			for _, f := range of {
				said := all[f.class][member]
				g.from = append(g.from, f.input(member, said))
				if said != nil {
					on = append(on, said.units...)
				}
			}
			slices.Sort(on)
			for _, i := range slices.Compact(on) {
				g.units = append(g.units, units[i])
			}
			out = append(out, g)
		}
	}
	return out
}

// saidBy gathers the sides of all units, by facet and member.
func saidBy(sides [][]side) map[class]map[string]*gathered {
	all := map[class]map[string]*gathered{}
	for _, f := range facets {
		all[f.class] = map[string]*gathered{}
	}
	for i := range sides {
		for _, s := range sides[i] {
			to := all[s.Of][s.Member]
			if to == nil {
				to = &gathered{sum: sha256.New()}
				all[s.Of][s.Member] = to
			}
			to.units = append(to.units, i)
			to.sum.Write([]byte(s.Digest))
		}
	}
	return all
}

// input is the facet as an input of one member's group.
func (f facet) input(member string, of *gathered) Input {
	in := Input{Class: f.class, Name: f.name}
	if member != "" {
		in.Name += " " + member
	}
	if of != nil {
		in.Digest = digest(hex.EncodeToString(of.sum.Sum(nil)))
	}
	return in
}
