package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
)

// manifestName is the file in the output folder in which the tool remembers
// what it wrote there.
const manifestName = ".wattsheet"

// A digest is the SHA-256 of a file's bytes, in hexadecimal.
type digest string

func digestOf(data []byte) digest {
	sum := sha256.Sum256(data)
	return digest(hex.EncodeToString(sum[:]))
}

// A manifest says which files the tool wrote into a folder, and with which
// bytes. While files are written, a path has two digests: that of the file as
// it was and that of the file as it shall be. So a run that was killed leaves
// nothing that the next run would not know.
//
// As text it has a line for each path and digest, sorted, as sha256sum reads
// it: the digest, two blanks, the path.
type manifest map[string][]digest

// manifestOf is the manifest of a folder that holds exactly these outputs.
func manifestOf(outputs []Output) manifest {
	digests := make([]digest, len(outputs))
	each(len(outputs), func(i int) { digests[i] = digestOf(outputs[i].Bytes) })
	m := make(manifest, len(outputs))
	for i, o := range outputs {
		m[o.Path] = digests[i : i+1 : i+1]
	}
	return m
}

// union has the paths and digests of both.
func (m manifest) union(other manifest) manifest {
	all := maps.Clone(m)
	if all == nil {
		all = manifest{}
	}
	for path, digests := range other {
		for _, d := range digests {
			if !slices.Contains(all[path], d) {
				all[path] = append(slices.Clone(all[path]), d)
			}
		}
	}
	return all
}

// text is the manifest as it is written.
func (m manifest) text() []byte {
	var b bytes.Buffer
	for _, path := range slices.Sorted(maps.Keys(m)) {
		for _, d := range slices.Sorted(slices.Values(m[path])) {
			b.WriteString(string(d) + "  " + path + "\n")
		}
	}
	return b.Bytes()
}

var errManifest = errors.New("this is not a list of digests and paths")

// parseManifest reads what text wrote.
func parseManifest(data []byte) (manifest, error) {
	m := manifest{}
	number := 0
	for line := range strings.Lines(string(data)) {
		number++
		sum, path, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		raw, err := hex.DecodeString(sum)
		if !ok || err != nil || len(raw) != sha256.Size || plain(path) != nil {
			return nil, fmt.Errorf("line %d: %w", number, errManifest)
		}
		m[path] = append(m[path], digest(sum))
	}
	return m, nil
}

func (p *publisher) readManifest() (manifest, error) {
	info, err := p.root.Lstat(manifestName)
	if errors.Is(err, fs.ErrNotExist) {
		return manifest{}, nil
	}
	if err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is %s; it should be the list of what wattsheet wrote\nhint: move it away, then build again", p.of(manifestName), whatIs(info))
	}
	data, err := p.root.ReadFile(manifestName)
	if err != nil {
		return nil, fmt.Errorf("%s can't be read: %w", p.of(manifestName), cause(err))
	}
	m, err := parseManifest(data)
	if err != nil {
		return nil, fmt.Errorf("%s, %w\nhint: delete %s, then build again", p.of(manifestName), err, p.name)
	}
	return m, nil
}

// writeManifest puts the manifest in its place, whole.
func (p *publisher) writeManifest(text []byte) error {
	err := p.write(hidden(manifestName), text)
	if err == nil {
		err = p.rename(hidden(manifestName), manifestName)
	}
	if err != nil {
		p.root.Remove(hidden(manifestName))
		return fmt.Errorf("%s can't be written: %w", p.of(manifestName), cause(err))
	}
	return nil
}
