package publication

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// An Owner is the site that publishes into a folder, as far as it is told from others by that. A folder is its own if
// it left it so itself, as it remembers; else by what the folder says of itself, which is the same on any machine.
type Owner struct {
	Mark
	First string          // the address that the site had first
	Units map[string]bool // the slugs of all its units
	Left  Digest          // of the mark that this site left in the folder last; empty where that isn't remembered
}

// A Mark says in a published folder, in the first line of its manifest, which site it has.
type Mark struct {
	Title   string `json:"title"`
	Address string `json:"address,omitempty"`
}

// markBegin begins the line of a mark. sha256sum passes over such a line.
const markBegin = "# "

// Line is a mark as it is written; empty for none.
func (m Mark) Line() string {
	if m == (Mark{}) {
		return ""
	}
	data, err := json.Marshal(m)
	if err != nil {
		panic(err) // texts always can be written
	}
	return markBegin + string(data) + "\n"
}

// markIn is the mark in the first line of a manifest or a journal; none where somebody took that line away.
func markIn(text string) (m Mark, err error) {
	line, _, _ := strings.Cut(text, "\n")
	said, is := strings.CutPrefix(line, markBegin)
	if is && (json.Unmarshal([]byte(said), &m) != nil || m.Title == "") {
		return Mark{}, errors.New("line 1: this doesn't say which site the folder has")
	}
	return m, nil
}

// checkOwner refuses a folder that holds another site: what that has and this one hasn't would be removed.
func (p *Publisher) checkOwner() error {
	there := p.stated
	if p.Owner == nil || there == (Mark{}) || p.written.size() == 0 || p.Owner.owns(there, p.written, p.Units+"/") {
		return nil
	}
	what := fmt.Sprintf("the site %s, and this one is %s", there.told(), p.Owner.told())
	if there == p.Owner.Mark {
		for at := range p.written.Paths() {
			if p.isLedger(at) && p.sealedThere(at) != nil {
				return nil // as a rule its unit was renamed: to take its ledger back is refused, in better words
			}
		}
		what = fmt.Sprintf("another site %s, which has none of the units of this one", there.told())
	}
	return fmt.Errorf("%s holds %s; nothing was changed\nhint: choose another folder with --out; or delete %s first, if that site isn't needed there; "+
		"if both are one site that has another name now, take the first line out of %s", p.Name, what, p.Name, p.Of(ManifestName))
}

// owns reports whether a folder with this mark, in which these files were written, is the site's own. Who moves keeps
// the title or states first_address; a title alone, which others may have too, counts where a unit is the same.
func (o *Owner) owns(there Mark, written manifest, units string) bool {
	switch {
	case o.Left != "" && o.Left == DigestOf([]byte(there.Line())):
		return true
	case o.Address != "" && there.Address != "":
		return there.Address == o.Address || there.Address == o.First
	case there.Title != o.Title:
		return false
	}
	empty := true // it has no unit yet
	for at := range written.Paths() {
		at, is := strings.CutPrefix(at, units)
		slug, _, below := strings.Cut(at, "/")
		if !is || !below {
			continue
		}
		if empty = false; o.Units[slug] {
			return true
		}
	}
	return empty || len(o.Units) == 0
}

// told is a mark for people.
func (m Mark) told() string {
	text := fmt.Sprintf("%q", m.Title)
	if m.Address != "" {
		text += " of " + m.Address
	}
	return text
}

// MarkLine is the line that the manifest begins with after this run.
func (p *Publisher) MarkLine() string {
	if p.Owner == nil {
		return p.stated.Line()
	}
	return p.Owner.Line()
}
