package site

import (
	"slices"
	"testing"
)

// whyOf is what a draft that only looks, as the command's does, says of an output.
func whyOf(t *testing.T, root, name string) Reason {
	t.Helper()
	d, err := openDraft(root, stillOnly(), true)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if err := d.Look(today); err != nil {
		t.Fatal(err)
	}
	r, err := d.Why(name)
	if err != nil || r.Never {
		t.Fatalf("%s: %+v %v", name, r, err)
	}
	return r
}

func inputNames(in []Input) (names []string) {
	for _, one := range in {
		names = append(names, one.Name)
	}
	return names
}

// What is said of a list is true without a build between: units that changed are looked at, and named as far as the list
// shows what is another of them.
func TestWhyFollowsListsToRecords(t *testing.T) {
	root := several(t)
	built(t, root, "public", today)
	for name, units := range map[string][]string{
		"index.html":                        {"badgercog-1", "fieldfarelug-1"},
		"feed.atom":                         {"badgercog-1", "fieldfarelug-1"},
		"makers/badgercog-1/index.html":     {"badgercog-1"},
		"units/fieldfarelug-1/near/":        {"fieldfarelug-1"},
		methodologyName + "/":               {"badgercog-1"},
		"loads/4-ohm/":                      {"badgercog-1", "fieldfarelug-1"},
		"units/badgercog-1/sheet.json":      nil,
		"about/":                            nil,
		"units/fieldfarelug-1/derivation/":  nil,
		correctionsName + "/" + "feed.json": {"fieldfarelug-1"},
	} {
		beyond := inputNames(whyOf(t, root, name).Beyond)
		for _, unit := range units {
			if !slices.Contains(beyond, "content/units/"+unit+"/record.toml") {
				t.Errorf("%s: the record of %s is not among %q", name, unit, beyond)
			}
		}
		if units == nil && beyond != nil {
			t.Errorf("%s shows nothing of units, but %q", name, beyond)
		}
	}
	before := tree(t, root)
	replaceIn(t, root, fieldfare+"record.toml", "out_v = 23", "out_v = 22")
	replaceIn(t, root, badger+"record.toml", "[source]\n", "[settings]\nremarks = \"as it came\"\n\n[source]\n")
	for name, want := range map[string][]string{
		"index.html":            {fieldfare + "record.toml", "the list of all units"},
		"makers/index.html":     nil,
		"corrections/":          nil,
		"data/SHA256SUMS":       {fieldfare + "record.toml", "the tables of all units"},
		"loads/4-ohm/":          {fieldfare + "record.toml", "the units measured at 4-ohm"},
		"data/datapackage.json": {fieldfare + "record.toml", "the tables of all units"},
	} {
		if got := inputNames(whyOf(t, root, name).Since); !slices.Equal(got, want) {
			t.Errorf("%s is to be made again for %q, want %q", name, got, want)
		}
	}
	replaceIn(t, root, fieldfare+"record.toml", "[unit]", "[[[unit]")
	if !whyOf(t, root, "index.html").Wrong {
		t.Error("nothing says that there is a mistake")
	}
	delete(before, fieldfare+"record.toml")
	delete(before, badger+"record.toml")
	for name, text := range tree(t, root) {
		if was, is := before[name]; is && was != text {
			t.Errorf("%s was written", name)
		}
	}
}
