package publication

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

// A Roll lists outputs by path and digest. Its first line is what all paths begin with; each
// other one has a digest, by 43 signs, and the rest of a path. As one short text they take much
// less memory than paths and digests by themselves, of which ten thousand units have half a
// million.
type Roll string

// A Rolling writes a roll.
type Rolling struct {
	text  strings.Builder
	Begin string // what all paths begin with
}

// inRolls is how a roll writes the bytes of a digest.
var inRolls = base64.RawURLEncoding

// rollDigits is how many signs of a line are its digest.
var rollDigits = inRolls.EncodedLen(sha256.Size)

// RollFor begins the roll of some outputs.
func RollFor(outputs []Output) *Rolling {
	var r Rolling
	if len(outputs) > 0 {
		r.Begin = path.Dir(outputs[0].Path) + "/"
	}
	size := 0
	for _, o := range outputs {
		for !strings.HasPrefix(o.Path, r.Begin) {
			r.Begin = r.Begin[:strings.LastIndexByte(r.Begin[:len(r.Begin)-1], '/')+1]
		}
		size += rollDigits + len(o.Path) + 1
	}
	r.text.Grow(size + len(r.Begin) + 1 - len(outputs)*len(r.Begin))
	return &r
}

// Add adds an output, by the digest of its bytes ([DigestOf]).
func (r *Rolling) Add(path string, sum Digest) {
	if r.text.Len() == 0 {
		r.text.WriteString(r.Begin)
		r.text.WriteByte('\n')
	}
	var raw [sha256.Size]byte
	var signs [2 * sha256.Size]byte
	if _, err := hex.Decode(raw[:], []byte(sum)); err != nil {
		panic(err) // DigestOf and manifests give no others
	}
	r.text.Write(inRolls.AppendEncode(signs[:0], raw[:]))
	r.text.WriteString(strings.TrimPrefix(path, r.Begin))
	r.text.WriteByte('\n')
}

// Roll is what was added.
func (r *Rolling) Roll() Roll { return Roll(r.text.String()) }

// All gives the paths and digests, in the order in which they were added.
func (r Roll) All() iter.Seq2[string, Digest] {
	return func(yield func(string, Digest) bool) {
		var room [digestDigits]byte
		for path, signs := range r.written() {
			if !yield(path, Digest(appendDigest(room[:0], signs))) {
				return
			}
		}
	}
}

// Paths gives the paths alone.
func (r Roll) Paths() iter.Seq[string] {
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
func (r Roll) written() iter.Seq2[string, string] {
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

// Count is how many outputs there are.
func (r Roll) Count() int { return max(0, strings.Count(string(r), "\n")-1) }

// Has reports whether an output is listed.
func (r Roll) Has(name string) bool {
	for path := range r.Paths() {
		if path == name {
			return true
		}
	}
	return false
}

// manifestText is the text of a manifest of several rolls. It is put together folder by folder: there
// may be half a million lines.
func manifestText(rolls []Roll) (string, error) {
	type share struct { // what is in one folder of a folder, or one file above those
		rolls []Roll
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
		size += len(lines) + r.Count()*(len(begin)+digestDigits+2-rollDigits)
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
			if err := Plain(pathOf(line)); err != nil {
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
func lineOf(path string, sum Digest) string { return string(sum) + "  " + path + "\n" }

// writtenLine is [lineOf] of a line of a roll.
func writtenLine(path, signs string) string {
	var room [256]byte
	return string(append(append(append(appendDigest(room[:0], signs), "  "...), path...), '\n'))
}

// pathOf is the path of a line of a manifest.
func pathOf(line string) string { return line[digestDigits+2 : len(line)-1] }
