package kit

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// MemoryName is the file of a kit that remembers what its files were made from, HeldMemoryName
// that of a kit with held results.
const (
	MemoryName     = "kit.json"
	HeldMemoryName = "kit.held.json"
)

// MemoryName is the name of the file that remembers the kit.
func (k *Kit) MemoryName() string {
	if k.Held {
		return HeldMemoryName
	}
	return MemoryName
}

// A Memory says of each file of a kit which results it was made from. It is one of the
// kit's files.
type Memory struct {
	Version int      `json:"version"` // of this file's format
	Unit    string   `json:"unit"`
	Held    bool     `json:"held,omitempty"`
	Plain   bool     `json:"no_chapters,omitempty"`
	Files   []Made   `json:"files"`
	Results []Result `json:"results"`
}

// A Made is a file as it was made.
type Made struct {
	Name   string `json:"name"`
	Digest string `json:"sha256"`
	From   []int  `json:"from"` // numbers of results
}

const memoryVersion = 1

// Memory gives the file that remembers the kit.
func (k *Kit) Memory(plain bool) []byte {
	m := Memory{Version: memoryVersion, Unit: k.Slug, Held: k.Held, Plain: plain}
	for _, f := range k.Files {
		sum := sha256.Sum256(f.Bytes)
		made := Made{Name: f.Name, Digest: hex.EncodeToString(sum[:]), From: []int{}}
		for _, r := range f.From {
			i := slices.Index(m.Results, r)
			if i < 0 {
				i, m.Results = len(m.Results), append(m.Results, r)
			}
			made.From = append(made.From, i)
		}
		m.Files = append(m.Files, made)
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	if err := e.Encode(m); err != nil {
		panic("kit: a memory can't be written: " + err.Error()) // it holds texts and numbers only
	}
	return b.Bytes()
}

// ReadMemory reads what Memory wrote; an error says what is wrong with it.
func ReadMemory(data []byte) (*Memory, error) {
	var m Memory
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&m); err != nil {
		return nil, fmt.Errorf("it isn't what kit writes: %w", err)
	}
	if m.Version != memoryVersion {
		return nil, fmt.Errorf("it is of format %d, and this program reads %d", m.Version, memoryVersion)
	}
	for _, f := range m.Files {
		for _, n := range f.From {
			if n < 0 || n >= len(m.Results) {
				return nil, fmt.Errorf("its file %q names a result that it doesn't have", f.Name)
			}
		}
	}
	return &m, nil
}

// A Stale is a result that was another when files of a kit were made from it.
type Stale struct {
	Key, Was, Now string // Now is empty for one that there is no more
	Files         []string
	// Moments is where the videos show what it is of, and so may have it burned in.
	Moments []Moment
}

// A Moment is a place in a video.
type Moment struct {
	Video string // its title; empty where the record has no video yet
	At    int    // s
}

// Stale says which results of a kit that is remembered are others in what a subject now
// gives, and which files say so still. Of is the unit as the kit shows it: with what is
// held, where the memory says so.
func (m *Memory) Stale(of Subject) (all []Stale) {
	now := map[string]string{}
	for _, r := range results(of) {
		now[r.Key] = r.Says
	}
	for i, was := range m.Results {
		says, is := now[was.Key]
		if is && says == was.Says {
			continue
		}
		one := Stale{Key: was.Key, Was: was.Says, Now: says, Moments: moments(of.Sheet, was.Key)}
		for _, f := range m.Files {
			if slices.Contains(f.From, i) {
				one.Files = append(one.Files, f.Name)
			}
		}
		slices.Sort(one.Files)
		all = append(all, one)
	}
	// A claim that says something else is drawn differently, too: once is enough.
	changed := slices.Clone(all)
	return slices.DeleteFunc(all, func(s Stale) bool {
		claim, drawn := strings.CutPrefix(s.Key, "line of ")
		return drawn && slices.ContainsFunc(changed, func(o Stale) bool { return o.Key == claim })
	})
}

// results are all that a kit of a subject would say, without drawing a picture of it.
func results(of Subject) (all []Result) {
	m := &maker{Subject: of, kit: &Kit{}}
	m.texts()
	for _, f := range m.kit.Files {
		all = append(all, f.From...)
	}
	for _, s := range slices.Concat(m.tables(), m.claimLines(), m.chart(), m.endCard()) {
		all = append(all, s.from...)
	}
	return all
}

// moments are where in the videos a result is marked: a claim by its own mark, and by
// those of the runs that count for it.
func moments(s *sheet.Sheet, key string) (all []Moment) {
	kind, name, _ := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(key, "line of "), "conditions of "), " ")
	seen := map[string]bool{kind + " " + name: true}
	if kind == "claim" {
		for _, c := range s.Claims {
			for _, u := range c.Uses {
				if c.ID == name && u.Counts {
					seen["run "+u.Run] = true
				}
			}
		}
	}
	for _, mark := range s.Record.Marks() {
		if !seen[mark.Kind+" "+mark.Name] {
			continue
		}
		if v, at := s.Record.Marked(mark.Text); v != nil {
			all = append(all, Moment{v.Title, at})
		} else if _, at, ok := record.ParseMark(mark.Text); ok {
			all = append(all, Moment{"", at})
		}
	}
	slices.SortFunc(all, func(a, b Moment) int { return cmp.Or(strings.Compare(a.Video, b.Video), a.At-b.At) })
	return slices.Compact(all)
}

// Says tells what was said and what is now, for people; of drawings only that they changed.
func (s Stale) Says() string {
	text := ""
	switch {
	case strings.HasPrefix(s.Key, "chapters"):
		text = "the chapters are others now"
	case strings.HasPrefix(s.Key, "line of "), strings.HasPrefix(s.Key, "drawing of "), strings.HasPrefix(s.Key, "template of "):
		text = "the " + s.Key + " is another now"
	case s.Now == "":
		text = s.Key + " was “" + s.Was + "”, and there is none any more"
	default:
		text = s.Key + " was “" + s.Was + "” and is “" + s.Now + "”"
	}
	return strings.ReplaceAll(text+"; made before: "+strings.Join(s.Files, ", "), nbsp, " ")
}

// Where tells at which moments, for people: "at 3:05, 4:12 in “Bench day”"; empty for none.
func (s Stale) Where() string {
	var b strings.Builder
	for i, m := range s.Moments {
		b.WriteString(choose(i == 0, "at ", ", ") + record.Clock(m.At))
		if last := i+1 == len(s.Moments); m.Video != "" && (last || s.Moments[i+1].Video != m.Video) {
			b.WriteString(" in “" + m.Video + "”")
		}
	}
	return b.String()
}

func choose(first bool, one, other string) string {
	if first {
		return one
	}
	return other
}
