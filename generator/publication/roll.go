package publication

import (
	"bytes"
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

// begin is what all paths begin with.
func (r Roll) begin() string {
	begin, _, _ := strings.Cut(string(r), "\n")
	return begin
}

// written gives the paths and the digests as they are written. It ends where a cache was
// tampered with.
func (r Roll) written() iter.Seq2[string, string] {
	return func(yield func(path, signs string) bool) {
		begin, lines, _ := strings.Cut(string(r), "\n")
		for rest, signs := range rests(lines) {
			if begin != "" {
				rest = begin + rest
			}
			if !yield(rest, signs) {
				return
			}
		}
	}
}

// rests gives of the lines of a roll what is behind the begin of all paths, and the digests.
func rests(lines string) iter.Seq2[string, string] {
	return func(yield func(rest, signs string) bool) {
		for line := range strings.Lines(lines) {
			if len(line) <= rollDigits || !yield(strings.TrimSuffix(line[rollDigits:], "\n"), line[:rollDigits]) {
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

// manifestOf is the manifest of several rolls. It is put together folder by folder: there may be half a million lines.
func manifestOf(rolls []Roll) (manifest, error) {
	type share struct { // what is in one folder of a folder, or one file above those
		rolls []Roll
		lines [][]byte
	}
	shares, size, count := map[string]*share{}, 0, 0
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
		count += r.Count()
		if strings.Count(begin, "/") > 1 {
			one := of(begin)
			one.rolls = append(one.rolls, r)
			continue
		}
		for path, signs := range r.written() {
			one := of(path)
			one.lines = append(one.lines, appendLine(nil, "", path, signs))
		}
	}
	var text strings.Builder
	text.Grow(size)
	m := manifest{lines: make([]int, 0, count)}
	var room []byte // for the lines of a folder, one after the other
	var lines [][]byte
	for _, key := range slices.Sorted(maps.Keys(shares)) {
		one := shares[key]
		room, lines = room[:0], append(lines[:0], one.lines...)
		for _, r := range one.rolls {
			begin, rest, _ := strings.Cut(string(r), "\n")
			room = slices.Grow(room, len(rest)+r.Count()*(len(begin)+digestDigits+2-rollDigits)) // what stands in it stays where it is
			for rest, signs := range rests(rest) {
				at := len(room)
				room = appendLine(room, begin, rest, signs)
				lines = append(lines, room[at:len(room):len(room)])
			}
		}
		slices.SortFunc(lines, func(a, b []byte) int { return bytes.Compare(pathOf(a), pathOf(b)) })
		for _, line := range lines {
			m.lines = append(m.lines, text.Len())
			text.Write(line)
		}
	}
	m.text = text.String()
	last := ""
	for i := range m.lines {
		path := m.path(i)
		if err := Plain(path); err != nil {
			return manifest{}, err
		}
		if path == last {
			return manifest{}, fmt.Errorf("two outputs have the path %s", path)
		}
		last = path
	}
	return m, nil
}

// appendLine appends the line of a manifest for that of a roll.
func appendLine(to []byte, begin, rest, signs string) []byte {
	return append(append(append(append(appendDigest(to, signs), "  "...), begin...), rest...), '\n')
}

// pathOf is the path of a line of a manifest.
func pathOf[text string | []byte](line text) text { return line[digestDigits+2 : len(line)-1] }
