package site

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"wattsheet/generator/publication"
)

// makerSlug is the address of a maker's page below makers/, of its name as records write
// it. Spellings that differ in case, width, blanks, hyphens, full stops, commas, apostrophes,
// and in "and" or "&" only are one maker's. A name with anything else than a–z and digits
// besides gets a mark made of the whole name behind it, so that no two makers share a page
// and none depends on which others there are. A letter's own marks are left out of what is
// read, and count in the mark: Osel, Ösel and Ôsel are three makers.
func makerSlug(name string) string {
	key := makerKey(name)
	slug, plain := addressWords(key)
	if plain && len(slug) <= longestWords && !slices.Contains(deviceNames, slug) {
		return slug
	}
	return cmp.Or(cutWords(slug), "maker") + "-" + string(publication.DigestOf([]byte(cmp.Or(key, name)))[:8])
}

// UnitFolder is what a unit's folder may be called, of its maker's and model's names: their
// words as in the address of a maker's page, without a mark. Two names may have one folder,
// so that whoever makes it has to look.
func UnitFolder(name string) string {
	words, _ := addressWords(makerKey(strings.ReplaceAll(name, ",", " "))) // a decimal comma in a model's name, too
	if words = cutWords(words); words == "" || slices.Contains(deviceNames, words) {
		return strings.TrimPrefix(words+"-unit", "-")
	}
	return words
}

// addressWords writes the words of a name in a–z and digits, with a hyphen between two.
// Letters lose their marks, whatever the language: an ö is oe in some and another letter in
// others, and nobody says of which a name is. It is plain if nothing was lost.
func addressWords(key string) (words string, plain bool) {
	var b strings.Builder
	gap, plain := false, key != ""
	for _, r := range norm.NFKD.String(key) {
		text := undivided[r]
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			text = string(r)
		}
		plain = plain && (text == string(r) || r == ' ')
		if text != "" {
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			b.WriteString(text)
		}
		gap = text == "" && (gap || !unicode.Is(unicode.M, r))
	}
	return b.String(), plain
}

// cutWords leaves of an address's words what may stand in one.
func cutWords(words string) string {
	return strings.TrimRight(words[:min(len(words), longestWords)], "-")
}

// makerKey is what all spellings of a maker's name have in common: its words in small
// letters, with a blank between them, in the form of Unicode Standard Annex 15 in which
// letters with a mark are one, and wide ones the usual ones. It is "" for a name of nothing
// but what spellings differ in. The script of the front page does the same (front.js).
func makerKey(name string) string {
	small := strings.ToLower(norm.NFKD.String(name))
	return strings.Join(strings.Fields(spelled.Replace(norm.NFKC.String(small))), " ")
}

// spelled takes out of a name what its spellings differ in. A sigma at the end of a word has
// a form of its own in small letters only.
var spelled = strings.NewReplacer("&", " and ", "-", " ", ".", " ", "\u2010", " ", ",", "", "'", "", "’", "", "ς", "σ")

// undivided are the Latin letters that have no decomposition into a letter and marks, by
// what stands for them in an address.
var undivided = map[rune]string{
	'ß': "ss", 'æ': "ae", 'œ': "oe", 'ø': "o", 'đ': "d", 'ð': "d", 'ł': "l", 'þ': "th", 'ı': "i", 'ħ': "h", 'ŧ': "t", 'ŋ': "n",
}

// longestWords is how long the words of an address may be; a mark or a number fits behind.
const longestWords = 60

// deviceNames can't be the name of a folder on Windows, where a site may be kept.
var deviceNames = []string{"aux", "con", "nul", "prn",
	"com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8", "com9",
	"lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9"}
