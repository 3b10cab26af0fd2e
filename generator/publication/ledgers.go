package publication

import (
	"bytes"
	"fmt"
	"path"
	"slices"
	"strings"
)

// checkLedger refuses to take back what was sealed and published: a ledger in the
// folder has to stay, and to begin with the bytes that it has there. The content may
// have lost it with the folder of its unit, or be an older copy; nothing of that is
// seen in the content itself. A ledger that somebody edited in the folder counts for
// nothing, and is replaced.
func (p *Publisher) checkLedger(o Output) error {
	if !p.isLedger(o.Path) {
		return nil
	}
	if old := p.sealedThere(o.Path); old != nil && !bytes.HasPrefix(o.Bytes, old) {
		return p.takenBack(o.Path, fmt.Sprintf("its entries are %d, and the content's doesn't begin with the same",
			bytes.Count(old, []byte("\n[[entry]]\n"))))
	}
	return nil
}

// checkTakenBack refuses to remove a ledger that was published.
func (p *Publisher) checkTakenBack() error {
	for at := range staleOf(p.written, p.now) {
		if p.isLedger(at) && p.sealedThere(at) != nil {
			return p.takenBack(at, "it has sealed results of "+path.Base(path.Dir(at))+", which the content doesn't have or holds")
		}
	}
	return nil
}

// sealedThere is a ledger as it stands in the folder; nil where there is none that
// this program wrote.
func (p *Publisher) sealedThere(at string) []byte {
	old, err := p.ReadFile(at)
	if err != nil || !slices.Contains(p.written.digests(at), DigestOf(old)) {
		return nil
	}
	return old
}

// isLedger reports whether a path is that of a unit's ledger.
func (l Layout) isLedger(at string) bool {
	return path.Base(at) == l.Ledger && strings.HasPrefix(at, l.Units+"/")
}

func (p *Publisher) takenBack(at, why string) error {
	return fmt.Errorf("%s would be taken back: %s\nhint: put the unit's folder back as it was published, with ledger.toml and sealed; "+
		"to publish without it all the same, take %s away first, and say so on the corrections page", p.Of(at), why, p.Of(at))
}
