package site

import (
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"hash"
	"maps"
	"slices"
	"strings"

	"wattsheet/generator/publication"
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
	// joined gives for all members that units name the one whose outputs they are on; nil
	// where that is the same.
	joined func(members []string) map[string]string
	// near says that a unit says the same to the members of all units near it.
	near bool
}

// The classes of the facets.
const (
	theRows         class = "rows"          // what the front page shows of all units
	theAllCorrected class = "all corrected" // what the page of all corrections shows
	theFeeds        class = "feeds"         // what feeds say of all units
	thePages        class = "pages"         // which pages the units have, and when what they say moved last
	theMakers       class = "makers"        // what the index of makers shows
	theMade         class = "made"          // what a maker's page shows of its units
	theLoads        class = "loads"         // what the index of loads shows
	theTabled       class = "tabled"        // what the tables of the whole site have of all units
	theTables       class = "tables"        // what those have of claims and runs
	theNear         class = "near"          // what a unit's page of those near it shows of it and of them
	theFrames       class = "frames"        // the players that units' pages may frame
	thePoints       class = "points"        // what a load's page shows of the units measured there
)

// facets are all of them.
var facets = []facet{
	{class: theRows, name: "the list of all units", of: func(b *brief) map[string]any {
		return once(struct {
			Row     unitRow
			Leading *leading
		}{b.Row, b.Leading})
	}},
	{class: theAllCorrected, name: "the corrections of all units", of: func(b *brief) map[string]any {
		if !b.Sealed && len(b.Corrections) == 0 {
			return nil
		}
		return once(struct {
			Link        link
			Sealed      bool
			Corrections []correctionRow
		}{b.Row.Link, b.Sealed, b.Corrections})
	}},
	{class: theFeeds, name: "the results of all units and their days", of: func(b *brief) map[string]any {
		return once(struct {
			Link        link
			Tested      day
			Lacks       string
			Corrections []correctionRow
			Dated       dated
		}{b.Row.Link, b.Row.Tested, b.Row.Lacks, b.Corrections, b.Dated})
	}},
	{class: thePages, name: "the pages of all units and their days", of: func(b *brief) map[string]any {
		return once(struct {
			Link        link
			Corrections []correctionRow
			Dated       dated
			Maker       string
			Loads       []pointRows
		}{b.Row.Link, b.Corrections, b.Dated, b.Maker.Slug, b.pointRows()})
	}},
	{class: theFrames, name: "the players of all units' videos", of: func(b *brief) map[string]any {
		if len(b.Frames) == 0 {
			return nil
		}
		return once(b.Frames)
	}},
	{class: theMakers, name: "the makers of all units", of: func(b *brief) map[string]any {
		return once([]any{b.Maker.Slug, b.Maker.Name, b.Maker.At})
	}},
	{class: theMade, name: "the units of the maker", of: func(b *brief) map[string]any { return map[string]any{b.Maker.Slug: b.Maker.Made} }},
	{class: theLoads, name: "the loads of all units", of: func(b *brief) map[string]any {
		return once(b.loads())
	}},
	{class: thePoints, name: "the units measured at", joined: oneLoad, of: func(b *brief) map[string]any {
		out := map[string]any{}
		for _, p := range b.Points {
			out[p.Load] = struct {
				Link link // a standing is told with the unit's name and address, and has neither
				Made packed
			}{b.Row.Link, p.Made}
		}
		return out
	}},
	{class: theTabled, name: "the tables of all units", of: func(b *brief) map[string]any { return once(b.Tabled) }},
	{class: theTables, name: "the claims and runs of table", joined: tableOf, of: func(b *brief) map[string]any {
		return map[string]any{b.slug(): b.Tabled.Rows}
	}},
	{class: theNear, name: "the unit and those near it:", near: true, of: func(b *brief) map[string]any {
		return map[string]any{b.slug(): struct {
			Row    link
			Kind   string
			Maker  [2]string
			Near   nearBrief
			Points []pointsBrief
		}{b.Row.Link, b.Row.Kind, [2]string{b.Maker.Slug, b.Maker.Name}, b.Near, b.Points}}
	}},
}

// once is what a unit says to a list that the site has once.
func once(value any) map[string]any { return map[string]any{"": value} }

// memberKinds are the kinds of lists with a group of outputs for each member; their
// outputs stand in <folder>/<member>/.
var memberKinds = map[kind]string{kindMaker: makersFolder, kindLoad: loadsFolder, kindNear: unitsFolder, kindTables: dataFolder}

// memberOf is the member that a path of a kind belongs to.
func memberOf(k kind, path string) string {
	folder, isMembers := memberKinds[k]
	if !isMembers {
		return ""
	}
	if k == kindTables {
		return tableNumber(strings.TrimPrefix(path, folder+"/"))
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
			out = append(out, side{f.class, member, publication.DigestOf(data)})
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
	all := saidBy(facets, units, sides)
	for _, k := range listKinds {
		of := facetsOf(k)
		for _, member := range membersIn(k, of, all) {
			out = append(out, groupOf(k, member, of, all, units))
		}
	}
	return out
}

// listGroup is the one group of a kind and member, of what its own facets say; nil where
// there is none.
func listGroup(k kind, member string, units []*brief, sides [][]side) *group {
	of := facetsOf(k)
	all := saidBy(of, units, sides)
	if !slices.Contains(listKinds, k) || !slices.Contains(membersIn(k, of, all), member) {
		return nil
	}
	return groupOf(k, member, of, all, units)
}

// membersIn are the members of a kind that has some, sorted; else the one without a name.
func membersIn(k kind, of []facet, all map[class]map[string]*gathered) []string {
	if _, isMembers := memberKinds[k]; !isMembers {
		return []string{""}
	}
	members := map[string]bool{}
	for _, f := range of {
		for member := range all[f.class] {
			members[member] = true
		}
	}
	return slices.Sorted(maps.Keys(members))
}

func groupOf(k kind, member string, of []facet, all map[class]map[string]*gathered, units []*brief) *group {
	if len(of) == 0 {
		return &group{kind: k, units: units}
	}
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
	return g
}

// saidBy gathers the sides of all units in some facets, by facet and member.
func saidBy(facets []facet, units []*brief, sides [][]side) map[class]map[string]*gathered {
	all, joined := map[class]map[string]*gathered{}, map[class]map[string]string{}
	for _, f := range facets {
		all[f.class] = map[string]*gathered{}
		if f.joined != nil {
			joined[f.class] = f.joined(membersOf(f.class, sides))
		}
	}
	for i := range sides {
		for _, s := range sides[i] {
			if all[s.Of] == nil {
				continue // of another facet
			}
			member := cmp.Or(joined[s.Of][s.Member], s.Member)
			to := all[s.Of][member]
			if to == nil {
				to = &gathered{sum: sha256.New()}
				all[s.Of][member] = to
			}
			to.add(i, s)
		}
	}
	for _, f := range facets {
		if f.near {
			sayAround(all[f.class], f.class, units, sides)
		}
	}
	return all
}

// add takes over what a unit says.
func (g *gathered) add(unit int, s side) {
	g.units = append(g.units, unit)
	g.sum.Write([]byte(s.Digest))
}

// sayAround adds what the units near each say to its member of a facet.
func sayAround(all map[string]*gathered, of class, units []*brief, sides [][]side) {
	own := func(i int) side {
		return sides[i][slices.IndexFunc(sides[i], func(s side) bool { return s.Of == of })]
	}
	for i, near := range nearUnits(units) {
		for _, j := range near {
			all[own(i).Member].add(j, own(j))
		}
	}
}

// membersOf are the members that units name of a facet, sorted.
func membersOf(of class, sides [][]side) []string {
	named := map[string]bool{}
	for i := range sides {
		for _, s := range sides[i] {
			if s.Of == of {
				named[s.Member] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(named))
}

// input is the facet as an input of one member's group.
func (f facet) input(member string, of *gathered) Input {
	in := Input{Class: f.class, Name: f.name}
	if member != "" {
		in.Name += " " + member
	}
	if of != nil {
		in.Digest = publication.DigestIn(of.sum)
	}
	return in
}

// loads are the members of the pages by load that a unit is on.
func (b *brief) loads() (out []string) {
	for _, p := range b.Points {
		out = append(out, p.Load)
	}
	return out
}

// A pointRows is how many rows a unit has on the pages of a load.
type pointRows struct {
	Load string
	Rows int
}

func (b *brief) pointRows() (out []pointRows) {
	for _, p := range b.Points {
		out = append(out, pointRows{p.Load, p.Rows})
	}
	return out
}
