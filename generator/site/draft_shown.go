package site

import (
	"fmt"
	"regexp"
	"strings"
)

// picturesOf is how a page names pictures: by the folder of their unit.
var picturesOf = regexp.MustCompile(unitsFolder + `/([a-z0-9-]+)/pictures/`)

// Shows tells of what a page shows and doesn't say in its bytes: a text that is another once a picture of it is, though it
// has the name and size of the one before. Of a unit that has mistakes it tells of those that it had without.
func (d *Draft) Shows(page []byte) string {
	d.mu.LockFirst()
	defer d.mu.Unlock()
	var b strings.Builder
	told := map[string]bool{}
	for _, m := range picturesOf.FindAllSubmatch(page, -1) {
		u := d.units[string(m[1])]
		if u == nil || told[u.slug] {
			continue
		}
		told[u.slug] = true
		in := u.shown
		if in == nil {
			in = u.own.of([]class{thePictures})
		}
		for _, one := range in {
			fmt.Fprintln(&b, one.Name, one.Digest)
		}
	}
	return b.String()
}
