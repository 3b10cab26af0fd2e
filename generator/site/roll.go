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
// other one has a digest, by 43 signs, and the rest of a path. As one short text they take a
// quarter of the memory of paths and digests by themselves, of which ten thousand units have
// half a million.
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
		begin, lines, _ := strings.Cut(string(r), "\n")
		var raw [sha256.Size + 2]byte
		for line := range strings.Lines(lines) {
			if len(line) <= rollDigits {
				return // a cache that was tampered with
			}
			if _, err := inRolls.Decode(raw[:], []byte(line[:rollDigits])); err != nil {
				return
			}
			path := strings.TrimSuffix(line[rollDigits:], "\n")
			if begin != "" {
				path = begin + path
			}
			if !yield(path, digest(hex.EncodeToString(raw[:sha256.Size]))) {
				return
			}
		}
	}
}

// count is how many outputs there are.
func (r roll) count() int { return max(0, strings.Count(string(r), "\n")-1) }

// has reports whether an output is listed.
func (r roll) has(name string) bool {
	for path := range r.all() {
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
		for path, sum := range r.all() {
			one := of(path)
			one.lines = append(one.lines, lineOf(path, sum))
		}
	}
	var b strings.Builder
	b.Grow(size)
	for _, key := range slices.Sorted(maps.Keys(shares)) {
		lines := shares[key].lines
		for _, r := range shares[key].rolls {
			for path, sum := range r.all() {
				lines = append(lines, lineOf(path, sum))
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

// pathOf is the path of a line of a manifest.
func pathOf(line string) string { return line[digestDigits+2 : len(line)-1] }
