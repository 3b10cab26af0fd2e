package site

import (
	"path"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"wattsheet/generator/theme"
)

// No published number is what rounding left of a zero: processors differ in it, so the same
// content would have other bytes elsewhere. A probability may be as small as it is.
func TestNoRoundingIsPublished(t *testing.T) {
	_, outputs := demo()
	number := regexp.MustCompile(`(?:"([a-z_]+)": ?)?\[?\[?(-?[0-9.]+e-[0-9]+)`)
	seen := 0
	for _, o := range outputs {
		switch path.Ext(o.Path) {
		case ".json", ".js": // the tables have the numbers of the first
		default:
			continue
		}
		if path.Dir(o.Path) == theme.AssetsFolder {
			continue
		}
		for _, m := range number.FindAllSubmatch(o.Bytes, -1) {
			seen++
			if x, err := strconv.ParseFloat(string(m[2]), 64); err != nil || x > -1e-12 && x < 1e-12 && !slices.Contains([]string{"p", "low", "high"}, string(m[1])) {
				t.Errorf("%s has %s", o.Path, m[0])
			}
		}
	}
	if seen == 0 {
		t.Error("there is no small number at all")
	}
}
