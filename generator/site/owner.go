package site

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// An owner is the site that publishes into a folder, as far as it is told from others by that. A folder is its own if
// it left it so itself, as it remembers; else by what the folder says of itself, which is the same on any machine.
type owner struct {
	mark
	first string          // the address that the site had first
	units map[string]bool // the slugs of all its units
	left  digest          // of the mark that this site left in the folder last; empty where that isn't remembered
}

// A mark says in a published folder, in the first line of its manifest, which site it has.
type mark struct {
	Title   string `json:"title"`
	Address string `json:"address,omitempty"`
}

// markBegin begins the line of a mark. sha256sum passes over such a line.
const markBegin = "# "

// line is a mark as it is written; empty for none.
func (m mark) line() string {
	if m == (mark{}) {
		return ""
	}
	data, err := json.Marshal(m)
	if err != nil {
		panic(err) // texts always can be written
	}
	return markBegin + string(data) + "\n"
}

// markIn is the mark in the first line of a manifest or a journal; none where somebody took that line away.
func markIn(text string) (m mark, err error) {
	line, _, _ := strings.Cut(text, "\n")
	said, is := strings.CutPrefix(line, markBegin)
	if is && (json.Unmarshal([]byte(said), &m) != nil || m.Title == "") {
		return mark{}, errors.New("line 1: this doesn't say which site the folder has")
	}
	return m, nil
}

// owner is the site of a loaded content; nil where it says nothing of itself.
func (s *Site) owner() *owner {
	if s.Content == nil || s.Content.Site == nil {
		return nil
	}
	o := &owner{mark: mark{s.Content.Site.Title, s.Content.Site.Address}, first: s.Content.Site.FirstAddress, units: map[string]bool{}}
	for _, r := range s.Content.Records {
		o.units[r.Slug] = true
	}
	return o
}

// owner is the site of a draft, for a folder of which is known how it was left; nil where the content says nothing of it.
func (d *Draft) owner(there *stamps) *owner {
	site := d.frame.content.Site
	if site == nil || site.Title == "" {
		return nil
	}
	o := &owner{mark: mark{site.Title, site.Address}, first: site.FirstAddress, units: map[string]bool{}, left: there.units[markStamp]}
	for _, slug := range d.slugs {
		o.units[slug] = true
	}
	return o
}

// checkOwner refuses a folder that holds another site: what that has and this one hasn't would be removed.
func (p *publisher) checkOwner() error {
	there := p.stated
	if p.owner == nil || there == (mark{}) || len(p.written) == 0 || p.owner.owns(there, p.written) {
		return nil
	}
	what := fmt.Sprintf("the site %s, and this one is %s", there.told(), p.owner.told())
	if there == p.owner.mark {
		what = fmt.Sprintf("another site %s, which has none of the units of this one", there.told())
	}
	return fmt.Errorf("%s holds %s; nothing was changed\nhint: choose another folder with --out; or delete %s first, if that site isn't needed there; "+
		"if both are one site that has another name now, take the first line out of %s", p.name, what, p.name, p.of(manifestName))
}

// owns reports whether a folder with this mark, in which these files were written, is the site's own. Who moves keeps
// the title or states first_address; a title alone, which others may have too, counts where a unit is the same.
func (o *owner) owns(there mark, written manifest) bool {
	switch {
	case o.left != "" && o.left == digestOf([]byte(there.line())):
		return true
	case o.Address != "" && there.Address != "":
		return there.Address == o.Address || there.Address == o.first
	case there.Title != o.Title:
		return false
	}
	empty := true // it has no unit yet
	for at := range written {
		slug, _, below := strings.Cut(strings.TrimPrefix(at, unitsFolder+"/"), "/")
		if !below || !strings.HasPrefix(at, unitsFolder+"/") {
			continue
		}
		if empty = false; o.units[slug] {
			return true
		}
	}
	return empty || len(o.units) == 0
}

// told is a mark for people.
func (m mark) told() string {
	text := fmt.Sprintf("%q", m.Title)
	if m.Address != "" {
		text += " of " + m.Address
	}
	return text
}

// markStamp is where stamps keep the mark that was left; no unit can have that name.
const markStamp = "_" + manifestName

// mark notes the mark that a run leaves.
func (s *stamps) mark(p *publisher) {
	if line := p.markLine(); line != "" {
		s.now[markStamp] = digestOf([]byte(line))
	}
}

// markLine is the line that the manifest begins with after this run.
func (p *publisher) markLine() string {
	if p.owner == nil {
		return p.stated.line()
	}
	return p.owner.line()
}
