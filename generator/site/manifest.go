package site

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"slices"
	"strings"
)

// manifestName is the file in the output folder in which the tool remembers
// what it wrote there.
const manifestName = ".wattsheet"

// A digest is the SHA-256 of a file's bytes, in hexadecimal.
type digest string

// digestDigits is how many digits a digest has.
const digestDigits = 2 * sha256.Size

func digestOf(data []byte) digest {
	sum := sha256.Sum256(data)
	return digest(hex.EncodeToString(sum[:]))
}

// digestOfFile is the digest of what can be read; empty where that fails.
func digestOfFile(r io.Reader) digest {
	h := sha256.New()
	if _, err := io.Copy(h, r); err != nil {
		return ""
	}
	return digestIn(h)
}

// digestIn is the digest of what was written into a hash.
func digestIn(h hash.Hash) digest { return digest(hex.EncodeToString(h.Sum(nil))) }

// A manifest says which files the tool wrote into a folder, and with which
// bytes. Together with the journal of a run that was killed, a path may have two:
// that of the file as it was and that of the file as it should become.
//
// As text it has a line for each path and digest, sorted, as sha256sum reads
// it: the digest, two blanks, the path. In the file the site's [mark] stands above.
type manifest map[string][]digest

// add takes over the paths and digests of another manifest.
func (m manifest) add(other manifest) manifest {
	for path, digests := range other {
		for _, d := range digests {
			if !slices.Contains(m[path], d) {
				m[path] = append(slices.Clone(m[path]), d)
			}
		}
	}
	return m
}

// text is the manifest as it is written.
func (m manifest) text() string {
	var b strings.Builder
	paths, size := make([]string, 0, len(m)), 0
	for path, digests := range m {
		paths = append(paths, path)
		size += len(digests) * (digestDigits + 2 + len(path) + 1)
	}
	slices.Sort(paths)
	b.Grow(size)
	for _, path := range paths {
		digests := m[path]
		if len(digests) > 1 {
			digests = slices.Sorted(slices.Values(digests))
		}
		for _, d := range digests {
			b.WriteString(lineOf(path, d))
		}
	}
	return b.String()
}

var errManifest = errors.New("this is not a list of digests and paths")

// parseManifest reads what text wrote, behind a line with a mark or without.
func parseManifest(text string) (manifest, error) {
	n := strings.Count(text, "\n") + 1
	m, sums := make(manifest, n), make([]digest, 0, n) // in one piece
	number := 0
	for line := range strings.Lines(text) {
		if number++; number == 1 && strings.HasPrefix(line, markBegin) {
			continue
		}
		sum, path, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		raw, err := hex.DecodeString(sum)
		if !ok || err != nil || len(raw) != sha256.Size || plain(path) != nil {
			return nil, fmt.Errorf("line %d: %w", number, errManifest)
		}
		if m[path] != nil {
			m[path] = append(m[path], digest(sum))
			continue
		}
		sums = append(sums, digest(sum))
		m[path] = sums[len(sums)-1 : len(sums) : len(sums)]
	}
	return m, nil
}

// readManifest gives the manifest of the folder, and notes its text and mark.
func (p *publisher) readManifest() (manifest, error) {
	info, err := p.root.Lstat(manifestName)
	if errors.Is(err, fs.ErrNotExist) {
		p.stated = p.journal.stated
		return manifest{}, nil
	}
	if err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is %s; it should be the list of what wattsheet wrote\nhint: move it away, then build again", p.of(manifestName), whatIs(info))
	}
	data, err := p.root.ReadFile(manifestName)
	if err != nil {
		return nil, fmt.Errorf("%s can't be read: %w\n%s", p.of(manifestName), cause(err), readHint)
	}
	p.listed = string(data)
	stated, m, err := parseMarked(p.listed)
	p.stated = stated
	if err != nil {
		return nil, fmt.Errorf("%s, %w\nhint: delete %s, then build again", p.of(manifestName), err, p.name)
	}
	return m, nil
}

// parseMarked reads a manifest behind a mark, if there is one.
func parseMarked(text string) (mark, manifest, error) {
	stated, err := markIn(text)
	if err != nil {
		return stated, nil, err
	}
	m, err := parseManifest(text)
	return stated, m, err
}

// writeManifest puts the manifest in its place, whole.
func (p *publisher) writeManifest(text string) error {
	err := p.write(hidden(manifestName), strings.NewReader(text))
	if err == nil {
		err = p.rename(hidden(manifestName), manifestName)
	}
	if err != nil {
		p.root.Remove(hidden(manifestName))
		return fmt.Errorf("%s can't be written: %w\nhint: the site is new, but not the list of what was written there; build again once it can be", p.of(manifestName), cause(err))
	}
	return nil
}
