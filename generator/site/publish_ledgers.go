package site

import (
	"bytes"
	"fmt"
	"path"
	"slices"
	"strings"
)

// checkLedgers refuses to take back what was sealed and published: a ledger in the
// folder has to stay, and to begin with the bytes that it has there. The content may
// have lost it with the folder of its unit, or be an older copy; nothing of that is
// seen in the content itself. A ledger that somebody edited in the folder counts for
// nothing, and is replaced.
func (p *publisher) checkLedgers(outputs []Output, written manifest) error {
	for _, at := range sealedPaths(written) {
		old, err := p.root.ReadFile(at)
		if err != nil || !slices.Contains(written[at], digestOf(old)) {
			continue
		}
		i := slices.IndexFunc(outputs, func(o Output) bool { return o.Path == at })
		switch {
		case i < 0:
			return p.takenBack(at, "it has sealed results of "+path.Base(path.Dir(at))+", which the content doesn't have or holds")
		case !bytes.HasPrefix(outputs[i].Bytes, old):
			return p.takenBack(at, fmt.Sprintf("its entries are %d, and the content's doesn't begin with the same",
				bytes.Count(old, []byte("\n[[entry]]\n"))))
		}
	}
	return nil
}

// sealedPaths lists the ledgers that were published, sorted.
func sealedPaths(written manifest) (paths []string) {
	for at := range written {
		if path.Base(at) == ledgerFile && strings.HasPrefix(at, unitsFolder+"/") {
			paths = append(paths, at)
		}
	}
	slices.Sort(paths)
	return paths
}

func (p *publisher) takenBack(at, why string) error {
	return fmt.Errorf("%s would be taken back: %s\nhint: put the unit's folder back as it was published, with ledger.toml and sealed; "+
		"to publish without it all the same, take %s away first, and say so on the corrections page", p.of(at), why, p.of(at))
}
