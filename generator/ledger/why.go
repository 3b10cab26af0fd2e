package ledger

import (
	"fmt"
	"strings"
)

// A cause is one thing that results rest on and that is another now.
type cause struct {
	what string
	text string // "the readings of run r1 were edited"
	gone bool   // it is there no more
}

// find lists the causes, in the order of the sealed state and then of the new one.
func (d *difference) find() {
	was, now := d.was.basis(), d.now.basis()
	add := func(what, text string, gone bool) {
		if text != "" {
			d.causes = append(d.causes, cause{what: what, text: text, gone: gone})
		}
	}
	for _, b := range d.was.RestsOn {
		other, there := now[b.What]
		switch {
		case !there:
			add(b.What, goneText(b.What), true)
		case b.Revision != other.Revision:
			add(b.What, fmt.Sprintf("%s has revision %d, and had %d", b.What, other.Revision, b.Revision), false)
		default:
			if b.Digest != other.Digest {
				add(b.What, editedText(b.What), false)
			}
			if b.Invalid != other.Invalid {
				add(b.What, b.What+" was marked "+validity(other), false)
			}
		}
	}
	for _, b := range d.now.RestsOn {
		if _, there := was[b.What]; !there {
			add(b.What, addedText(b.What), false)
		}
	}
}

// parted splits the name of a basis into its kind and the id.
func parted(what string) (kind, id string) {
	for _, k := range []string{"instruments of run ", "pool of ", "wording of claim ", "wording of spec ", "reason of run ", "function ", "letter of ", "run ", "claim ", "spec ", "temperature ", "instrument ", "load ", "method ", "formula "} {
		if id, is := strings.CutPrefix(what, k); is {
			return strings.TrimSuffix(k, " "), id
		}
	}
	return what, ""
}

func editedText(what string) string {
	switch kind, id := parted(what); kind {
	case "run":
		return "run " + id + " was edited"
	case "instruments of run":
		return "run " + id + " is read with another instrument"
	case "claim", "spec", "temperature":
		return what + " was edited"
	case "instrument", "load":
		return what + " was changed in bench.toml"
	case "method", "pool of":
		return article(kind) + what + " was changed in methods.toml"
	case "rule":
		return "the rule or the assumptions were changed in site.toml"
	case "unit":
		return "the unit's channels, supply, size or mass were edited"
	}
	return what + " was changed"
}

func article(kind string) string {
	if kind == "pool of" {
		return "the "
	}
	return ""
}

func goneText(what string) string {
	switch kind, id := parted(what); kind {
	case "run":
		return "run " + id + " was taken out"
	case "claim", "spec", "temperature":
		return what + " was taken out"
	case "instrument", "load", "method":
		return what + " is used no more"
	case "formula":
		return what + " is used no more"
	}
	return ""
}

func addedText(what string) string {
	switch kind, _ := parted(what); kind {
	case "run":
		return what + " was added"
	case "instrument", "load", "method", "formula":
		return what + " is used now"
	}
	return ""
}

// why says what of all that changed a result rests on.
func (d *difference) why(of string) []string {
	head := headOf(of)
	if c := d.own(head); c != "" {
		return []string{c}
	}
	needs := d.now.needsOf(head)
	kind, _ := parted(head)
	var texts, formulas []string
	for _, c := range d.causes {
		what, _ := parted(c.what)
		switch {
		case c.gone && (kind == "spec" || kind == "temperature" || kind == "run" && what == "run"):
		case c.gone, needs[c.what]:
			if what == "formula" {
				formulas = append(formulas, c.text)
			} else {
				texts = append(texts, c.text)
			}
		}
	}
	if len(texts) == 0 && len(formulas) > 0 && !d.raised() {
		texts = d.elsewhere()
	}
	// Another formula is used because something else changed, unless nothing did.
	if len(texts) == 0 || len(formulas) > 0 && d.raised() {
		texts = append(texts, formulas...)
	}
	if len(texts) == 0 {
		return []string{"nothing that it rests on changed: this program computes it otherwise"}
	}
	return texts
}

// own is what was done to the run or claim that a result is one of, where that is
// enough to explain it: it was taken out.
func (d *difference) own(head string) string {
	for _, c := range d.causes {
		if c.what == head && c.gone {
			return c.text
		}
	}
	return ""
}

// elsewhere are the causes that any fit may rest on: a run that is of another method or
// channel now was one of a load line that is gone, which no list of now shows.
func (d *difference) elsewhere() (texts []string) {
	for _, c := range d.causes {
		switch kind, _ := parted(c.what); kind {
		case "run", "instruments of run", "instrument", "load", "method", "unit":
			texts = append(texts, c.text)
		}
	}
	return texts
}

// raised reports whether a formula's revision is another.
func (d *difference) raised() bool {
	now := d.now.basis()
	for _, b := range d.was.RestsOn {
		if other, there := now[b.What]; there && other.Revision != b.Revision {
			return true
		}
	}
	return false
}
