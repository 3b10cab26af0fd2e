package main

import (
	"fmt"
	"sync"

	"wattsheet/generator/kit"
	"wattsheet/generator/record"
	"wattsheet/generator/site"
)

// staleOf finds what of the kits that are remembered disagrees with a unit.
func staleOf(kits []keptKit, seen site.Seen) (problems record.Problems) {
	for _, k := range kits {
		if k.memory.Unit != seen.Slug {
			continue
		}
		of := kit.Subject{Sheet: seen.Sheet, Site: seen.Site, Held: k.memory.Held, Plain: k.memory.Plain, Template: seen.Description}
		if of.Held {
			of.Sheet = seen.Whole
		}
		if of.Sheet == nil {
			problems = append(problems, k.problem(k.name, "this kit is of a unit that is held by now", "keep it from the public; "+k.again()+" --with-held makes one whose files say so"))
			continue
		}
		for _, s := range k.memory.Stale(of) {
			hint := k.again() + " makes them again"
			if where := s.Where(); where != "" {
				hint += "; a film that has it burned in is wrong " + where
			}
			problems = append(problems, k.problem("", s.Says(), hint))
		}
	}
	return problems
}

// alsoOf is what a check does beside its own work; nothing where there is no kit.
func alsoOf(kits []keptKit) func(site.Seen) record.Problems {
	if len(kits) == 0 {
		return nil
	}
	return func(seen site.Seen) record.Problems { return staleOf(kits, seen) }
}

// goneUnits finds the kits of units that there are no more.
func goneUnits(kits []keptKit, units []site.CheckedUnit) (problems record.Problems) {
	there := map[string]bool{}
	for _, one := range units {
		there[one.Slug] = true
	}
	for _, k := range kits {
		if !there[k.memory.Unit] {
			problems = append(problems, k.problem(k.name, "there is no unit "+k.memory.Unit+" any more, which this kit is of", "delete the folder, or make a kit under the unit's new name"))
		}
	}
	return problems
}

// staleKits lists what of the kits disagrees with the records; that is a failure, so that
// a script can ask.
func (u *ui) staleKits(root, out string) int {
	kits, stale := keptKits(root, out)
	if out != "" && len(kits)+len(stale) == 0 {
		return u.failed(fmt.Errorf("there is no kit in %s\nhint: a kit's folder has a %s", out, kit.MemoryName))
	}
	var found site.Checked
	var err error
	var mu sync.Mutex
	gather := func(seen site.Seen) record.Problems {
		one := staleOf(kits, seen)
		mu.Lock()
		defer mu.Unlock()
		stale = append(stale, one...)
		return nil
	}
	u.during("looking at the content", func() { found, err = site.CheckAlso(root, u.clock(), gather) })
	if err != nil {
		return u.failed(err)
	}
	if found.Problems.Errors() {
		u.problems(found.Problems)
		u.note("", "%s", tally(found.Problems))
		return exitFailed
	}
	stale = append(stale, goneUnits(kits, found.Units)...)
	stale.Sort()
	u.problems(stale)
	if len(stale) > 0 {
		u.say("%s: %s out of date", count(len(kits), "kit"), count(len(stale), "thing"))
		return exitFailed
	}
	u.say("%s: nothing out of date", count(len(kits), "kit"))
	return exitDone
}
