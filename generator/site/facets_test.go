package site

import (
	"reflect"
	"slices"
	"testing"
)

// since lists the classes of what is not as it was when an output was made last.
func since(t *testing.T, d *Draft, path string) (out []class) {
	t.Helper()
	r, err := d.Why(path)
	if err != nil || r.Never {
		t.Fatalf("%s: %+v %v", path, r, err)
	}
	for _, in := range r.Since {
		out = append(out, in.Class)
	}
	return out
}

// edited builds the site, makes an edit, and gives a draft that has looked at it.
func edited(t *testing.T, root string, do func(*testing.T, string)) *Draft {
	t.Helper()
	built(t, root, "public", today)
	do(t, root)
	d, err := openDraft(root, stillOnly(), false)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(d.Close)
	refreshed(t, d, today)
	return d
}

// A list is made again only when its facet of the briefs says something else.
func TestListsFollowFromTheirFacets(t *testing.T) {
	root := several(t)
	d := edited(t, root, replaced(fieldfare+"record.toml", "out_v = 23", "out_v = 22"))
	if got := since(t, d, "index.html"); !slices.Equal(got, []class{theRows}) {
		t.Errorf("after an edit of a reading the front page is to be made again for %v", got)
	}
	if got := since(t, d, "corrections/index.html"); got != nil {
		t.Errorf("after an edit of a reading the page of corrections is to be made again for %v", got)
	}
	d = edited(t, root, appended(fieldfare+"record.toml", "\n[[video]]\nid = \"a\"\ntitle = \"a\"\naddress = \"https://videos.example/w/kkGMgK9ZtnKfYAgnEtQxbv\"\n"))
	if got := since(t, d, headersName); !slices.Equal(got, []class{theFrames}) {
		t.Errorf("after a video the headers are to be made again for %v", got)
	}
	if got := since(t, d, "index.html"); got != nil {
		t.Errorf("after a video the front page is to be made again for %v", got)
	}
	d = edited(t, root, appended(fieldfare+"notes.md", "\nOne more word.\n"))
	if got := since(t, d, "index.html"); got != nil {
		t.Errorf("after a word in the notes the front page is to be made again for %v", got)
	}
}

// One group made alone is that of all groups: members, units and inputs.
func TestOneGroupAlone(t *testing.T) {
	_, briefs, sides := scaledBriefs(t, 60)
	groups := listGroups(briefs, sides)
	members := 0
	for _, want := range groups {
		got := listGroup(want.kind, want.member, briefs, sides)
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %d units by %v, want %d by %v", want.key(), len(got.units), got.from, len(want.units), want.from)
		}
		if want.member != "" {
			members++
		}
	}
	if members < 10 || listGroup(kindMaker, "nobody", briefs, sides) != nil || listGroup(kindPage, "", briefs, sides) != nil {
		t.Errorf("%d members; or a group of what isn't there", members)
	}
}
