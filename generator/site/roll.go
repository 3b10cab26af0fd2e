package site

import (
	"fmt"
	"iter"
	"strings"
)

// A roll lists outputs by path and digest, as lines of a manifest: the digest, two blanks,
// the path. As one text they take less than half the memory of paths and digests by
// themselves, of which ten thousand units have half a million.
type roll string

// A rolling writes a roll.
type rolling struct{ text strings.Builder }

// rollFor begins the roll of some outputs.
func rollFor(outputs []Output) *rolling {
	size := 0
	for _, o := range outputs {
		size += digestDigits + 2 + len(o.Path) + 1
	}
	var r rolling
	r.text.Grow(size)
	return &r
}

func (r *rolling) add(path string, sum digest) {
	r.text.WriteString(string(sum))
	r.text.WriteString("  ")
	r.text.WriteString(path)
	r.text.WriteByte('\n')
}

// roll is what was added.
func (r *rolling) roll() roll { return roll(r.text.String()) }

// all gives the paths and digests, in the order in which they were added.
func (r roll) all() iter.Seq2[string, digest] {
	return func(yield func(string, digest) bool) {
		for line := range strings.Lines(string(r)) {
			sum, path, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
			if !yield(path, digest(sum)) {
				return
			}
		}
	}
}

// count is how many outputs there are.
func (r roll) count() int { return strings.Count(string(r), "\n") }

// has reports whether an output is listed.
func (r roll) has(name string) bool {
	for path := range r.all() {
		if path == name {
			return true
		}
	}
	return false
}

// manifestOf is the manifest of what several rolls list. A path that can't be one, or that is
// there twice, is an error.
func manifestOf(rolls []roll) (manifest, error) {
	n := 0
	for _, r := range rolls {
		n += r.count()
	}
	m, sums := make(manifest, n), make([]digest, 0, n)
	for _, r := range rolls {
		for path, sum := range r.all() {
			if err := plain(path); err != nil {
				return nil, err
			}
			if _, twice := m[path]; twice {
				return nil, fmt.Errorf("two outputs have the path %s", path)
			}
			sums = append(sums, sum)
			m[path] = sums[len(sums)-1 : len(sums) : len(sums)]
		}
	}
	return m, nil
}
