package site

import (
	"io/fs"
	"net/url"
	"path"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// A noOutput says that the site has no output of a name, and which may be meant.
type noOutput struct{ name, hint string }

func (n noOutput) Error() string { return "the site has no " + n.name + "\nhint: " + n.hint }

func (noOutput) Is(target error) bool { return target == fs.ErrNotExist }

func (d *Draft) noOutput(name string) error {
	if other := d.meant(name); other != "" {
		return noOutput{name, "did you mean " + other + "?"}
	}
	return noOutput{name, "name a file below public, such as units/NAME/index.html"}
}

// meant is the output that is probably meant by a name that none has: of a unit, if the name is that of its folder or of a
// file in it; empty where nothing is near.
func (d *Draft) meant(name string) string {
	way, ofContent := strings.CutPrefix(strings.TrimSuffix(name, "/index.html"), contentFolder+"/")
	below, ofUnit := strings.CutPrefix(way, unitsFolder+"/")
	slug, rest, _ := strings.Cut(below, "/")
	switch {
	case ofUnit, d.units[way] != nil:
		return d.meantOf(slug, rest, ofContent)
	case ofContent || d.lists == nil:
		return ""
	}
	var known []string
	for _, made := range d.lists.Kinds {
		for at := range made.Outputs.Paths() {
			if !strings.HasPrefix(at, unitsFolder+"/") {
				known = append(known, strings.TrimSuffix(at, "/index.html"))
			}
		}
	}
	slices.Sort(known)
	switch near := record.Nearest(way, known); {
	case near == "":
		return d.meantOf(way, "", false)
	case path.Ext(near) == "" && strings.HasSuffix(name, "/index.html"):
		return near + "/index.html"
	default:
		return near
	}
}

// meantOf is the output of a unit that is probably meant. Its page stands for files of its content, and for all that a unit
// of a name which none has could have.
func (d *Draft) meantOf(slug, rest string, ofContent bool) string {
	near := slug
	if d.units[slug] == nil {
		near = record.Nearest(slug, d.slugs)
	}
	u := d.units[near]
	if u == nil || u.entry == nil || u.entry.Kinds[kindPage] == nil {
		return ""
	}
	folder := unitsFolder + "/" + near + "/"
	if ofContent || rest == "" {
		return folder + "index.html"
	}
	var known []string
	for _, made := range u.entry.Kinds {
		for at := range made.Outputs.Paths() {
			known = append(known, strings.TrimPrefix(at, folder))
		}
	}
	slices.Sort(known)
	switch other := record.Nearest(rest, known); {
	case other != "":
		return folder + other
	case near != slug:
		return folder + "index.html"
	}
	return ""
}

// belowAddress is what an address names below the published folder, if it is one of this site or of a preview on this
// machine; the name as it is if it is none. ok is false for an address of another site.
func (d *Draft) belowAddress(name string) (below string, ok bool) {
	at, err := url.Parse(name)
	if err != nil || at.Scheme != "http" && at.Scheme != "https" {
		return name, true
	}
	if s := d.frame.content.Site; s != nil && s.Address != "" {
		if rest, is := strings.CutPrefix(at.Scheme+"://"+at.Host+at.Path, strings.TrimSuffix(s.Address, "/")); is && (rest == "" || rest[0] == '/') {
			return path.Join("/", rest), true
		}
	}
	if slices.Contains([]string{"localhost", "127.0.0.1", "::1"}, at.Hostname()) {
		return path.Join("/", at.Path), true
	}
	return name, false
}
