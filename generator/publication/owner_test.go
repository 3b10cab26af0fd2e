package publication

import (
	"strings"
	"testing"
)

// By what a folder is known as a site's own: where it left it so, by nothing else; elsewhere by address, and by title and
// units where one of the two sites has no address.
func TestWhoseAFolderIs(t *testing.T) {
	const here, there = "https://here.example/", "https://there.example/"
	left := Mark{"Old", there}
	for _, row := range []struct {
		Name   string
		title  string
		at     string
		First  string
		Units  string // of this site
		Left   Digest
		stated Mark
		files  string // that the folder has
		owns   bool
	}{
		{"the same", "T", here, "", "a", "", Mark{"T", here}, "units/a/index.html", true},
		{"another title", "U", here, "", "a", "", Mark{"T", here}, "units/a/index.html", true},
		{"another address", "T", here, "", "a", "", Mark{"T", there}, "units/a/index.html", false},
		{"another address, which it had first", "U", here, there, "b", "", Mark{"T", there}, "units/a/index.html", true},
		{"an address from now on", "T", here, "", "a", "", Mark{"T", ""}, "units/a/index.html", true},
		{"no address any more", "T", "", "", "a b", "", Mark{"T", here}, "index.html units/b/index.html", true},
		{"a common title", "T", "", "", "a", "", Mark{"T", ""}, "index.html units/b/index.html", false},
		{"a unit whose name begins the same", "T", "", "", "a", "", Mark{"T", ""}, "units/ab/index.html", false},
		{"a file for the units", "T", "", "", "a", "", Mark{"T", ""}, "units/index.html", true},
		{"no unit there yet", "T", "", "", "a", "", Mark{"T", ""}, "index.html", true},
		{"no unit here yet", "T", "", "", "", "", Mark{"T", ""}, "units/b/index.html", true},
		{"another title without address", "U", "", "", "a", "", Mark{"T", ""}, "units/a/index.html", false},
		{"as it left it", "New", here, "", "b", DigestOf([]byte(left.Line())), left, "units/a/index.html", true},
		{"left once, and another's since", "New", here, "", "a", DigestOf([]byte(Mark{"New", here}.Line())), left, "units/a/index.html", false},
	} {
		o := &Owner{Mark: Mark{row.title, row.at}, First: row.First, Units: map[string]bool{}, Left: row.Left}
		for _, slug := range strings.Fields(row.Units) {
			o.Units[slug] = true
		}
		var lines []string
		for _, at := range strings.Fields(row.files) {
			lines = append(lines, lineOf(at, DigestOf(nil)))
		}
		if got := o.owns(row.stated, sorted(lines), "units/"); got != row.owns {
			t.Errorf("%s: own is %t, want %t", row.Name, got, row.owns)
		}
	}
}
