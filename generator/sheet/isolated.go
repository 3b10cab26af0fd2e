package sheet

import "strings"

// Isolated is a name as it stands within a sentence in plain text: one that is written from
// right to left, in whole or in part, is put between U+2068 and U+2069, so that neither turns
// the order of what is beside it (Unicode Standard Annex 9, FSI and PDI). HTML has <bdi> for that.
func Isolated(name string) string {
	if !strings.ContainsFunc(name, fromRight) {
		return name
	}
	return isolate + name + isolated
}

// isolate and isolated stand around a name that is isolated.
const isolate, isolated = "\u2068", "\u2069"

// fromRight reports whether a letter belongs to the blocks that are kept for scripts from
// right to left (Unicode Character Database, DerivedBidiClass, the defaults for R and AL), or
// is a mark of that direction.
func fromRight(r rune) bool {
	return r >= 0x590 && r <= 0x8ff || r == 0x200f || r >= 0xfb1d && r <= 0xfdff || r >= 0xfe70 && r <= 0xfeff ||
		r >= 0x10800 && r <= 0x10fff || r >= 0x1e800 && r <= 0x1efff
}
