package site

import (
	"maps"
	"net/url"
	"path"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A withheld is what stands behind a site: its content with everything that is
// held. It is for the tester's eyes: nothing that is published is made from it.
type withheld struct {
	asOf    time.Time
	content *record.Content
	notes   map[string]*record.File
	held    []record.Held // everything with a hold, also what is open by now
	digests []digest      // of the pictures that are held
	// captures are the digests of the captures that are held.
	captures []digest
}

// withhold takes what is held at an instant out of the site, before anything is
// evaluated: content, notes and pictures.
func (s *Site) withhold(asOf time.Time) {
	s.behind = withheld{asOf: asOf, content: s.Content, notes: s.Notes, held: s.Content.Held()}
	s.Content = s.Content.Visible(asOf)
	s.Notes = map[string]*record.File{}
	seen, heard := map[pictureName]bool{}, map[captureName]bool{}
	for _, r := range s.Content.Records {
		if f := s.behind.notes[r.Slug]; f != nil {
			s.Notes[r.Slug] = f
		}
		for i := range r.Pictures {
			seen[pictureName{r.Slug, r.Pictures[i].File}] = true
		}
		for i := range r.Captures {
			heard[captureName{r.Slug, r.Captures[i].File}] = true
		}
	}
	maps.DeleteFunc(s.captures, func(name captureName, from *captured) bool {
		if !heard[name] {
			s.behind.captures = append(s.behind.captures, from.digest)
		}
		return !heard[name]
	})
	for name, from := range s.pictures {
		if !seen[name] {
			s.behind.digests = append(s.behind.digests, from.digest)
			delete(s.pictures, name)
		}
	}
}

// Held lists everything with a hold, also what is open by now, by opening, then by
// unit; what opens by hand comes last.
func (s *Site) Held() []record.Held {
	held := slices.Clone(s.behind.held)
	slices.SortStableFunc(held, func(a, b record.Held) int {
		switch {
		case b.Opens.After(a.Opens):
			return -1
		case a.Opens.After(b.Opens):
			return 1
		}
		return strings.Compare(a.Slug, b.Slug)
	})
	return held
}

// StillHeld counts what is held at the site's instant, in one unit or, for an
// empty slug, in all.
func (s *Site) StillHeld(slug string) int {
	n := 0
	for _, h := range s.behind.held {
		if (slug == "" || h.Slug == slug) && !h.Opens.Reached(s.behind.asOf) {
			n++
		}
	}
	return n
}

// Whole gives the sheets of all records with everything that is held in them, by
// slug: what the tester has to know, and nobody else. They are not the site's.
func (s *Site) Whole() []*sheet.Sheet {
	known := map[*record.Record]*sheet.Sheet{}
	for _, one := range s.Sheets {
		known[one.Record] = one
	}
	sheets := make([]*sheet.Sheet, len(s.behind.content.Records))
	each(len(sheets), func(i int) {
		r := s.behind.content.Records[i]
		if sheets[i] = known[r]; sheets[i] == nil {
			sheets[i] = sheet.Evaluate(s.behind.content, r)
		}
	})
	return sheets
}

// unopened finds the mistakes in the notes of held units: they should be known
// before the unit opens.
func (s *Site) unopened() (problems record.Problems) {
	records, opens := s.behind.content.Unopened(s.behind.asOf)
	for i, r := range records {
		if file := s.behind.notes[r.Slug]; file != nil {
			m := notesManner(sheet.Evaluate(s.behind.content, r), s.keptBack(opens[i]))
			_, more := renderMarkdown(file, m)
			problems = append(problems, more...)
		}
	}
	return problems
}

// A keptBack knows what can't be seen yet when a text can.
type keptBack struct {
	held    []record.Held
	at      record.Opening
	address string            // the site's
	names   map[string]string // of all units, by slug
}

func (s *Site) keptBack(at record.Opening) keptBack {
	k := keptBack{held: s.behind.held, at: at, names: map[string]string{}}
	if s.behind.content != nil && len(k.held) > 0 {
		for _, r := range s.behind.content.Records {
			k.names[r.Slug] = r.Unit.Maker + " " + r.Unit.Model
		}
	}
	if s.Content != nil && s.Content.Site != nil {
		k.address = s.Content.Site.Address
	}
	return k
}

// now is what is kept back at the site's instant.
func (s *Site) now() keptBack { return s.keptBack(record.Opening{At: s.behind.asOf}) }

// find gives what is kept back of a unit, by its table's name and its own.
func (k keptBack) find(slug, kind, name string) *record.Held {
	for i := range k.held {
		h := &k.held[i]
		if h.Slug == slug && h.Kind == kind && h.Name == name && h.Opens.After(k.at) {
			return h
		}
	}
	return nil
}

// linked gives what a link on the page in a folder would name before its time:
// a unit, or a part of one by its anchor or by its file.
func (k keptBack) linked(folder, to string) *record.Held {
	if len(k.held) == 0 {
		return nil
	}
	u, err := url.Parse(strings.TrimSpace(to))
	if err != nil {
		return nil
	}
	way := u.Path
	if u.Host != "" {
		site, err := url.Parse(k.address)
		if err != nil || !strings.EqualFold(site.Host, u.Host) {
			return nil
		}
		rest, below := strings.CutPrefix(way, strings.TrimRight(site.Path, "/"))
		if !below {
			return nil
		}
		way = "/" + rest
	} else if u.Scheme != "" {
		return nil
	}
	if !strings.HasPrefix(way, "/") {
		way = "/" + folder + way
	}
	rest, isUnit := strings.CutPrefix(path.Clean(way), "/"+unitsFolder+"/")
	if !isUnit {
		return nil
	}
	slug, file, _ := strings.Cut(rest, "/")
	if h := k.find(slug, "unit", ""); h != nil {
		return h
	}
	for _, kind := range []string{"claim", "run", "spec"} {
		if id, ok := strings.CutPrefix(u.Fragment, kind+"-"); ok {
			return k.find(slug, kind, id)
		}
	}
	return k.file(slug, file)
}

// file gives what a file of a unit's folder would show before its time.
func (k keptBack) file(slug, file string) *record.Held {
	if badge, ok := strings.CutPrefix(file, "badge/"); ok {
		return k.find(slug, "claim", strings.TrimSuffix(badge, path.Ext(badge)))
	}
	if shown, ok := strings.CutPrefix(file, picturesFolder+"/"); ok {
		for i := range k.held {
			if h := &k.held[i]; h.Slug == slug && h.Kind == "picture" && h.Opens.After(k.at) && strings.HasPrefix(shown, stem(h.Name)+"-") {
				return h
			}
		}
	}
	return nil
}

// A notice stands where something is held, in the tester's words.
type notice struct {
	On   string // what is held: the runs
	Text string // the tester's words
	Lang string // its language where it isn't the page's
}

// notices are those of a page, by the table that the held things are in.
type notices struct {
	Claims    []notice // on claims
	Runs      []notice // on runs
	Specs     []notice // on other stated figures
	Functions []notice // on things tried out
	Thermals  []notice // on temperatures
	Pictures  []notice // on pictures
	Opinions  []notice // on opinions
}

// notices gives the notices of a unit: each once for each kind of thing that its
// group keeps back. The language is the tester's where it isn't the page's.
func (s *Site) notices(slug, lang string) notices {
	var out notices
	for _, h := range s.behind.held {
		if h.Slug != slug || h.Notice == "" || h.Opens.Reached(s.behind.asOf) {
			continue
		}
		add := func(to *[]notice, on string) {
			if n := (notice{on, h.Notice, lang}); !slices.Contains(*to, n) {
				*to = append(*to, n)
			}
		}
		switch h.Kind {
		case "claim":
			add(&out.Claims, "the claims")
		case "run":
			add(&out.Runs, "the runs")
		case "spec":
			add(&out.Specs, "stated figures")
		case "function":
			add(&out.Functions, "what was tried out")
		case "thermal":
			add(&out.Thermals, "the temperatures")
		case "picture":
			add(&out.Pictures, "the pictures")
		case "opinion":
			add(&out.Opinions, "the opinion")
		}
	}
	return out
}
