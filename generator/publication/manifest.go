package publication

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"iter"
	"slices"
	"sort"
	"strings"

	"wattsheet/generator/disk"
)

// manifestName is the file in the output folder in which the tool remembers
// what it wrote there.
const ManifestName = ".wattsheet"

// A Digest is the SHA-256 of a file's bytes, in hexadecimal.
type Digest string

// digestDigits is how many digits a digest has.
const digestDigits = 2 * sha256.Size

// DigestOf is the digest of some bytes.
func DigestOf(data []byte) Digest {
	sum := sha256.Sum256(data)
	return Digest(hex.EncodeToString(sum[:]))
}

// DigestOfFile is the digest of what can be read; empty where that fails.
func DigestOfFile(r io.Reader) Digest {
	h := sha256.New()
	if _, err := io.Copy(h, r); err != nil {
		return ""
	}
	return DigestIn(h)
}

// DigestIn is the digest of what was written into a hash.
func DigestIn(h hash.Hash) Digest { return Digest(hex.EncodeToString(h.Sum(nil))) }

// A manifest says which files the tool wrote into a folder, and with which bytes. Together with the journal of a run that
// was killed, a path may have two lines: of the file as it was and of the file as it should become.
//
// It is a text that has a line for each path and digest, as sha256sum reads it: the digest, two blanks, the path. They
// are sorted by path, then by digest, and none is there twice. In the file the site's [Mark] stands above. Ten thousand
// units have half a million lines: as one text they take half of what a map of them does, and nothing to be looked
// through for garbage.
type manifest struct {
	text  string
	lines []int // where each begins
}

// size is how many lines a manifest has.
func (m manifest) size() int { return len(m.lines) }

// line is the i-th line, with its end.
func (m manifest) line(i int) string {
	if i+1 < len(m.lines) {
		return m.text[m.lines[i]:m.lines[i+1]]
	}
	return m.text[m.lines[i]:]
}

func (m manifest) path(i int) string { return pathOf(m.line(i)) }

// Paths gives each path once, sorted.
func (m manifest) Paths() iter.Seq[string] {
	return func(yield func(string) bool) {
		last := ""
		for i := range m.lines {
			if path := m.path(i); path != last {
				if !yield(path) {
					return
				}
				last = path
			}
		}
	}
}

// All gives each path with its digests.
func (m manifest) All() iter.Seq2[string, []Digest] {
	return func(yield func(string, []Digest) bool) {
		for from := 0; from < len(m.lines); {
			sums := []Digest{m.digest(from)}
			path, to := m.path(from), from+1
			for ; to < len(m.lines) && m.path(to) == path; to++ {
				sums = append(sums, m.digest(to))
			}
			if !yield(path, sums) {
				return
			}
			from = to
		}
	}
}

func (m manifest) digest(i int) Digest { return Digest(m.line(i)[:digestDigits]) }

// at is where the lines of a path begin and end; both the same where it has none.
func (m manifest) at(path string) (from, to int) {
	from, found := sort.Find(m.size(), func(i int) int { return strings.Compare(path, m.path(i)) })
	if to = from; found {
		for to++; to < m.size() && m.path(to) == path; to++ {
		}
	}
	return from, to
}

// lists reports whether a path is in a manifest.
func (m manifest) lists(path string) bool {
	from, to := m.at(path)
	return from < to
}

// digests are those of a path.
func (m manifest) digests(path string) (sums []Digest) {
	from, to := m.at(path)
	for i := from; i < to; i++ {
		sums = append(sums, m.digest(i))
	}
	return sums
}

// below is the part of a manifest whose paths begin with a text.
func (m manifest) below(begin string) manifest {
	from := sort.Search(m.size(), func(i int) bool { return m.path(i) >= begin })
	to := from + sort.Search(m.size()-from, func(i int) bool { return !strings.HasPrefix(m.path(from+i), begin) })
	if to < m.size() {
		return manifest{m.text[:m.lines[to]], m.lines[from:to]}
	}
	return manifest{m.text, m.lines[from:to]}
}

// Add is a manifest that has the lines of two.
func (m manifest) Add(other manifest) manifest {
	switch {
	case other.size() == 0:
		return m
	case m.size() == 0:
		return other
	}
	return sorted(append(m.all(), other.all()...))
}

// all are the lines one by one.
func (m manifest) all() []string {
	lines := make([]string, len(m.lines))
	for i := range lines {
		lines[i] = m.line(i)
	}
	return lines
}

// sorted is the manifest of lines in any order.
func sorted(lines []string) manifest {
	slices.SortFunc(lines, compareLines)
	lines = slices.Compact(lines)
	m, at := manifest{strings.Join(lines, ""), make([]int, len(lines))}, 0
	for i, line := range lines {
		m.lines[i] = at
		at += len(line)
	}
	return m
}

// compareLines is negative where a line stands before another.
func compareLines(a, b string) int {
	return cmp.Or(cmp.Compare(pathOf(a), pathOf(b)), cmp.Compare(a[:digestDigits], b[:digestDigits]))
}

// lineOf is a line of a manifest.
func lineOf(path string, sum Digest) string { return string(sum) + "  " + path + "\n" }

var errManifest = errors.New("this is not a list of digests and paths")

// isLine reports whether a text is a line of a manifest, with its end.
func isLine(line string) bool {
	if len(line) < digestDigits+3 || line[digestDigits:digestDigits+2] != "  " || line[len(line)-1] != '\n' {
		return false
	}
	for _, c := range []byte(line[:digestDigits]) {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return Plain(pathOf(line)) == nil
}

// parseManifest reads lines in any order, behind a line with a mark or without.
func parseManifest(text string) (manifest, error) {
	if text != "" && !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	m, number, last, inOrder := manifest{text, make([]int, 0, strings.Count(text, "\n"))}, 0, "", true
	at := 0
	for line := range strings.Lines(text) {
		if number++; number == 1 && strings.HasPrefix(line, markBegin) {
			m.text = text[len(line):]
			continue
		}
		if !isLine(line) {
			return manifest{}, fmt.Errorf("line %d: %w", number, errManifest)
		}
		m.lines = append(m.lines, at)
		at += len(line)
		inOrder = inOrder && (last == "" || compareLines(last, line) < 0)
		last = line
	}
	if !inOrder { // somebody else sorted it
		return sorted(m.all()), nil
	}
	return m, nil
}

// readManifest gives the manifest of the folder, and notes its text and mark.
func (p *Publisher) readManifest() (manifest, error) {
	info, err := p.root.Lstat(ManifestName)
	if errors.Is(err, fs.ErrNotExist) {
		p.stated = p.journal.stated
		return manifest{}, nil
	}
	if err == nil && !info.Mode().IsRegular() {
		return manifest{}, fmt.Errorf("%s is %s; it should be the list of what wattsheet wrote\nhint: move it away, then build again", p.Of(ManifestName), whatIs(info))
	}
	data, err := p.root.ReadFile(ManifestName)
	if err != nil {
		return manifest{}, fmt.Errorf("%s can't be read: %w\n%s", p.Of(ManifestName), disk.Cause(err), readHint)
	}
	p.listed = string(data)
	stated, m, err := ParseMarked(p.listed)
	p.stated = stated
	if err != nil {
		return manifest{}, fmt.Errorf("%s, %w\nhint: put that file back as it was, or move %s away and build again; nothing was changed", p.Of(ManifestName), err, p.Name)
	}
	return m, nil
}

// ParseMarked reads a manifest behind a mark, if there is one.
func ParseMarked(text string) (Mark, manifest, error) {
	stated, err := markIn(text)
	if err != nil {
		return stated, manifest{}, err
	}
	m, err := parseManifest(text)
	return stated, m, err
}

// both is two texts, written one after the other.
type both [2]string

// WriteTo is for [io.WriterTo].
func (b both) WriteTo(w io.Writer) (n int64, err error) {
	for _, text := range b {
		m, err := io.WriteString(w, text)
		n += int64(m)
		if err != nil {
			return n, err
		}
	}
	return n, nil
}

// writeManifest puts the manifest in its place, whole, behind the line of a mark.
func (p *Publisher) writeManifest(mark, text string) error {
	err := p.write(Hidden(ManifestName), both{mark, text})
	if err == nil {
		err = p.rename(Hidden(ManifestName), ManifestName)
	}
	if err != nil {
		p.root.Remove(Hidden(ManifestName))
		return fmt.Errorf("%s can't be written: %w\nhint: the site is new, but not the list of what was written there; build again once it can be", p.Of(ManifestName), disk.Cause(err))
	}
	return nil
}
