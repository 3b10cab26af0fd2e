package site

import (
	"slices"
	"strings"
)

// makerSlug is the address of a maker's page below makers/, of its name as records write
// it. Spellings that differ in case, blanks, hyphens, full stops, commas and apostrophes
// only are one maker's. A name with anything else than a–z and digits besides gets a mark
// made of the whole name behind it, so that no two makers share a page and none depends on
// which others there are.
func makerSlug(name string) string {
	name = strings.ToLower(strings.Join(strings.Fields(name), " "))
	var b strings.Builder
	plain, gap := true, false
	for _, r := range name {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			b.WriteRune(r)
			gap = false
		case strings.ContainsRune(" -.", r):
			gap = true
		case strings.ContainsRune(",'’", r):
		default:
			plain, gap = false, true
		}
	}
	slug := b.String()
	if plain && slug != "" && len(slug) <= longestMaker && !slices.Contains(deviceNames, slug) {
		return slug
	}
	if len(slug) > longestMaker {
		slug = strings.TrimRight(slug[:longestMaker], "-")
	}
	if slug == "" {
		slug = "maker"
	}
	return slug + "-" + string(digestOf([]byte(name))[:8])
}

// longestMaker is how long the words of an address may be.
const longestMaker = 60

// deviceNames can't be the name of a folder on Windows, where a site may be kept.
var deviceNames = []string{"aux", "con", "nul", "prn",
	"com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8", "com9",
	"lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9"}
