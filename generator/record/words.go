package record

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// quotable is how many characters of a text a message shows.
const quotable = 40

// quoted is a text as a message shows it.
func quoted(text string) string { return `"` + short(text) + `"` }

func short(text string) string {
	if utf8.RuneCountInString(text[:min(len(text), 4*quotable)]) <= quotable && len(text) <= 4*quotable {
		return text
	}
	n := 0
	for i := range text {
		if n++; n >= quotable {
			return text[:i] + "…"
		}
	}
	return text
}

// orList is "a, b or c".
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// nearest gives the known word that a slip of the finger would make of this
// one, or "".
func nearest(word string, known []string) string {
	if len(word) > 2*quotable {
		return ""
	}
	if i := slices.IndexFunc(known, func(one string) bool { return strings.EqualFold(one, word) }); i >= 0 {
		return known[i]
	}
	best, least := "", max(1, (len(word)+1)/3)+1
	for _, one := range known {
		if len(one) < 2 {
			continue
		}
		if d := Distance(word, one); d < least && d < len(word) && d < len(one) {
			best, least = one, d
		}
	}
	return best
}

// Nearest is the known word that a slip of the finger would make of another one, or "": of
// several as near the first.
func Nearest(word string, known []string) string { return nearest(word, known) }

// Distance counts the letters that have to be added, dropped, changed or swapped with their neighbour to make one word of
// another (optimal string alignment: the edit distance of V. I. Levenshtein, 1965, with neighbours that are swapped).
func Distance(a, b string) int {
	from, to := []rune(a), []rune(b)
	before, row, next := make([]int, len(to)+1), make([]int, len(to)+1), make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i, r := range from {
		next[0] = i + 1
		for j, q := range to {
			change := row[j]
			if r != q {
				change++
			}
			next[j+1] = min(row[j+1]+1, next[j]+1, change)
			if i > 0 && j > 0 && r == to[j-1] && from[i-1] == q {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row, next = row, next, before
	}
	return row[len(to)]
}
