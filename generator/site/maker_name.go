package site

import (
	"slices"
	"strings"
	"unicode"
)

// makerSlug is the address of a maker's page below makers/, of its name as records write
// it. Spellings that differ in case, width, blanks, hyphens, full stops, commas, apostrophes,
// and in "and" or "&" only are one maker's. A name with anything else than a–z and digits
// besides gets a mark made of the whole name behind it, so that no two makers share a page
// and none depends on which others there are; a letter's own marks are left out of the
// address and of that: Ösel and Osel are two makers, Ösel and Ôsel one.
func makerSlug(name string) string {
	key, plain := makerKey(name)
	var b strings.Builder
	gap := false
	for _, r := range key {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			b.WriteRune(r)
		}
		gap = !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9')
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
	return slug + "-" + string(digestOf([]byte(key))[:8])
}

// makerKey is what all spellings of a maker's name have in common: its words, with a blank
// between them. It is plain if it was written with a–z, digits and what spellings differ in.
// The script of the front page does the same (front.js).
func makerKey(name string) (key string, plain bool) {
	var b strings.Builder
	plain = true
	lettered := false // the last one was a Latin letter
	for _, r := range strings.ToLower(strings.Map(narrow, name)) {
		of, after := latin[r], lettered
		lettered = r >= 'a' && r <= 'z' || of != "" || after && aMark(r)
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case r == '&':
			b.WriteString(" and ")
		case unicode.IsSpace(r), strings.ContainsRune("-.\u2010\u2011", r):
			b.WriteByte(' ')
		case strings.ContainsRune(",'’", r):
		case of != "":
			b.WriteString(of)
			plain = false
		case after && aMark(r):
			plain = false
		default:
			b.WriteRune(r)
			plain = false
		}
	}
	if key = strings.Join(strings.Fields(b.String()), " "); key == "" {
		return name, false
	}
	return key, plain
}

// aMark reports whether this is a mark by itself, behind its letter (Unicode, Combining
// Diacritical Marks).
func aMark(r rune) bool { return r >= 0x300 && r <= 0x36f }

// narrow gives the wide form of a letter, a digit or a sign as the usual one (Unicode,
// Halfwidth and Fullwidth Forms).
func narrow(r rune) rune {
	if r >= '！' && r <= '～' {
		return r - '！' + '!'
	}
	return r
}

// latin are the Latin letters that have a mark, or are two in one, by what they are without.
// Those with a mark are what the compatibility decomposition gives for U+00C0 to U+024F and
// U+1E00 to U+1EFF (Unicode Standard Annex 15); a test compares.
var latin = func() map[rune]string {
	out := map[rune]string{'ß': "ss", 'æ': "ae", 'œ': "oe", 'ø': "o", 'đ': "d", 'ð': "d", 'ł': "l", 'þ': "th", 'ı': "i", 'ħ': "h", 'ŧ': "t", 'ŋ': "n"}
	for base, all := range withMarks {
		for _, r := range all {
			out[r] = base
		}
	}
	return out
}()

var withMarks = map[string]string{
	"a":  "àáâãäåāăąǎǟǡǻȁȃȧḁạảấầẩẫậắằẳẵặ",
	"b":  "ḃḅḇ",
	"c":  "çćĉċčḉ",
	"d":  "ďḋḍḏḑḓ",
	"dz": "ǆǳ",
	"e":  "èéêëēĕėęěȅȇȩḕḗḙḛḝẹẻẽếềểễệ",
	"f":  "ḟ",
	"g":  "ĝğġģǧǵḡ",
	"h":  "ĥȟḣḥḧḩḫẖ",
	"i":  "ìíîïĩīĭįǐȉȋḭḯỉị",
	"ij": "ĳ",
	"j":  "ĵǰ",
	"k":  "ķǩḱḳḵ",
	"l":  "ĺļľḷḹḻḽ",
	"lj": "ǉ",
	"m":  "ḿṁṃ",
	"n":  "ñńņňǹṅṇṉṋ",
	"nj": "ǌ",
	"o":  "òóôõöōŏőơǒǫǭȍȏȫȭȯȱṍṏṑṓọỏốồổỗộớờởỡợ",
	"p":  "ṕṗ",
	"r":  "ŕŗřȑȓṙṛṝṟ",
	"s":  "śŝşšſșṡṣṥṧṩẛ",
	"t":  "ţťțṫṭṯṱẗ",
	"u":  "ùúûüũūŭůűųưǔǖǘǚǜȕȗṳṵṷṹṻụủứừửữự",
	"v":  "ṽṿ",
	"w":  "ŵẁẃẅẇẉẘ",
	"x":  "ẋẍ",
	"y":  "ýÿŷȳẏẙỳỵỷỹ",
	"z":  "źżžẑẓẕ",
}

// longestMaker is how long the words of an address may be.
const longestMaker = 60

// deviceNames can't be the name of a folder on Windows, where a site may be kept.
var deviceNames = []string{"aux", "con", "nul", "prn",
	"com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8", "com9",
	"lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9"}
