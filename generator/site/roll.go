package site

import (
	"cmp"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"iter"
	"maps"
	"path"
	"slices"
	"strings"
)

// A roll lists outputs by path and digest. Its first line is what all paths begin with; each
// other one has a digest, by 43 signs, and the rest of a path. As one short text they take much
// less memory than paths and digests by themselves, of which ten thousand units have half a
// million.
type roll string

// A rolling writes a roll.
type rolling struct {
	text  strings.Builder
	begin string // what all paths begin with
}

// inRolls is how a roll writes the bytes of a digest.
var inRolls = base64.RawURLEncoding

// rollDigits is how many signs of a line are its digest.
var rollDigits = inRolls.EncodedLen(sha256.Size)

// rollFor begins the roll of some outputs.
func rollFor(outputs []Output) *rolling {
	var r rolling
	if len(outputs) > 0 {
		r.begin = path.Dir(outputs[0].Path) + "/"
	}
	size := 0
	for _, o := range outputs {
		for !strings.HasPrefix(o.Path, r.begin) {
			r.begin = r.begin[:strings.LastIndexByte(r.begin[:len(r.begin)-1], '/')+1]
		}
		size += rollDigits + len(o.Path) + 1
	}
	r.text.Grow(size + len(r.begin) + 1 - len(outputs)*len(r.begin))
	return &r
}

// add adds an output, by the digest of its bytes ([digestOf]).
func (r *rolling) add(path string, sum digest) {
	if r.text.Len() == 0 {
		r.text.WriteString(r.begin)
		r.text.WriteByte('\n')
	}
	var raw [sha256.Size]byte
	var signs [2 * sha256.Size]byte
	if _, err := hex.Decode(raw[:], []byte(sum)); err != nil {
		panic(err) // digestOf and manifests give no others
	}
	r.text.Write(inRolls.AppendEncode(signs[:0], raw[:]))
	r.text.WriteString(strings.TrimPrefix(path, r.begin))
	r.text.WriteByte('\n')
}

// roll is what was added.
func (r *rolling) roll() roll { return roll(r.text.String()) }

// all gives the paths and digests, in the order in which they were added.
func (r roll) all() iter.Seq2[string, digest] {
	return func(yield func(string, digest) bool) {
		var room [digestDigits]byte
		for path, signs := range r.written() {
			if !yield(path, digest(appendDigest(room[:0], signs))) {
				return
			}
		}
	}
}

// paths gives the paths alone.
func (r roll) paths() iter.Seq[string] {
	return func(yield func(string) bool) {
		for path := range r.written() {
			if !yield(path) {
				return
			}
		}
	}
}

// written gives the paths and the digests as they are written. It ends where a cache was
// tampered with.
func (r roll) written() iter.Seq2[string, string] {
	return func(yield func(path, signs string) bool) {
		begin, lines, _ := strings.Cut(string(r), "\n")
		for line := range strings.Lines(lines) {
			if len(line) <= rollDigits {
				return
			}
			path := strings.TrimSuffix(line[rollDigits:], "\n")
			if begin != "" {
				path = begin + path
			}
			if !yield(path, line[:rollDigits]) {
				return
			}
		}
	}
}

// appendDigest appends a digest as it was written in a roll; what was none is 0.
func appendDigest(to []byte, signs string) []byte {
	var raw [sha256.Size + 2]byte
	var room [64]byte
	_, _ = inRolls.Decode(raw[:], append(room[:0], signs...))
	return hex.AppendEncode(to, raw[:sha256.Size])
}

// count is how many outputs there are.
func (r roll) count() int { return max(0, strings.Count(string(r), "\n")-1) }

// has reports whether an output is listed.
func (r roll) has(name string) bool {
	for path := range r.paths() {
		if path == name {
			return true
		}
	}
	return false
}

// manifestOf is the manifest of what several rolls list, and its text, of which its paths and
// digests are parts. A path that can't be one, or that is there twice, is an error.
func manifestOf(rolls []roll) (manifest, string, error) {
	text, err := manifestText(rolls)
	if err != nil {
		return nil, "", err
	}
	m, err := parseManifest(text)
	return m, text, err
}

// manifestText is the text of a manifest of several rolls. It is put together folder by folder: there
// may be half a million lines.
func manifestText(rolls []roll) (string, error) {
	type share struct { // what is in one folder of a folder, or one file above those
		rolls []roll
		lines []string
	}
	shares, size := map[string]*share{}, 0
	of := func(path string) *share {
		key := path
		if first := strings.IndexByte(path, '/') + 1; first > 0 {
			if second := strings.IndexByte(path[first:], '/') + 1; second > 0 {
				key = path[:first+second]
			}
		}
		if shares[key] == nil {
			shares[key] = &share{}
		}
		return shares[key]
	}
	for _, r := range rolls {
		begin, lines, _ := strings.Cut(string(r), "\n")
		size += len(lines) + r.count()*(len(begin)+digestDigits+2-rollDigits)
		if strings.Count(begin, "/") > 1 {
			one := of(begin)
			one.rolls = append(one.rolls, r)
			continue
		}
		for path, signs := range r.written() {
			one := of(path)
			one.lines = append(one.lines, writtenLine(path, signs))
		}
	}
	var b strings.Builder
	b.Grow(size)
	for _, key := range slices.Sorted(maps.Keys(shares)) {
		lines := shares[key].lines
		for _, r := range shares[key].rolls {
			for path, signs := range r.written() {
				lines = append(lines, writtenLine(path, signs))
			}
		}
		slices.SortFunc(lines, func(a, b string) int { return cmp.Compare(pathOf(a), pathOf(b)) })
		for i, line := range lines {
			if err := plain(pathOf(line)); err != nil {
				return "", err
			}
			if i > 0 && pathOf(line) == pathOf(lines[i-1]) {
				return "", fmt.Errorf("two outputs have the path %s", pathOf(line))
			}
			b.WriteString(line)
		}
		shares[key] = nil
	}
	return b.String(), nil
}

// lineOf is a line of a manifest.
func lineOf(path string, sum digest) string { return string(sum) + "  " + path + "\n" }

// writtenLine is [lineOf] of a line of a roll.
func writtenLine(path, signs string) string {
	var room [256]byte
	return string(append(append(append(appendDigest(room[:0], signs), "  "...), path...), '\n'))
}

// pathOf is the path of a line of a manifest.
func pathOf(line string) string { return line[digestDigits+2 : len(line)-1] }
