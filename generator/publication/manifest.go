package publication

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

// A manifest says which files the tool wrote into a folder, and with which
// bytes. Together with the journal of a run that was killed, a path may have two:
// that of the file as it was and that of the file as it should become.
//
// As text it has a line for each path and digest, sorted, as sha256sum reads
// it: the digest, two blanks, the path. In the file the site's [Mark] stands above.
type manifest map[string][]Digest

// Add takes over the paths and digests of another manifest.
func (m manifest) Add(other manifest) manifest {
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
	m, sums := make(manifest, n), make([]Digest, 0, n) // in one piece
	number := 0
	for line := range strings.Lines(text) {
		if number++; number == 1 && strings.HasPrefix(line, markBegin) {
			continue
		}
		sum, path, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		raw, err := hex.DecodeString(sum)
		if !ok || err != nil || len(raw) != sha256.Size || Plain(path) != nil {
			return nil, fmt.Errorf("line %d: %w", number, errManifest)
		}
		if m[path] != nil {
			m[path] = append(m[path], Digest(sum))
			continue
		}
		sums = append(sums, Digest(sum))
		m[path] = sums[len(sums)-1 : len(sums) : len(sums)]
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
		return nil, fmt.Errorf("%s is %s; it should be the list of what wattsheet wrote\nhint: move it away, then build again", p.Of(ManifestName), whatIs(info))
	}
	data, err := p.root.ReadFile(ManifestName)
	if err != nil {
		return nil, fmt.Errorf("%s can't be read: %w\n%s", p.Of(ManifestName), Cause(err), readHint)
	}
	p.listed = string(data)
	stated, m, err := ParseMarked(p.listed)
	p.stated = stated
	if err != nil {
		return nil, fmt.Errorf("%s, %w\nhint: delete %s, then build again", p.Of(ManifestName), err, p.Name)
	}
	return m, nil
}

// ParseMarked reads a manifest behind a mark, if there is one.
func ParseMarked(text string) (Mark, manifest, error) {
	stated, err := markIn(text)
	if err != nil {
		return stated, nil, err
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
		return fmt.Errorf("%s can't be written: %w\nhint: the site is new, but not the list of what was written there; build again once it can be", p.Of(ManifestName), Cause(err))
	}
	return nil
}
