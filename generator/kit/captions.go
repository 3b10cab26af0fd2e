package kit

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// How long a result stands, in seconds: long enough to read two lines (common practice,
// no source), and never past what follows.
const captionSeconds = 7

// A cue is a caption that begins at a second.
type cue struct {
	at, end int
	lines   []string
}

// captions makes the captions of the results that are marked in a film, as WebVTT.
func (m *maker) captions(f film) {
	cues, from := m.cues(f)
	if len(cues) == 0 {
		return
	}
	var b strings.Builder
	b.WriteString("WEBVTT\n\nNOTE\n" + escapeCue(m.headline().Says) + "\n")
	for _, c := range cues {
		fmt.Fprintf(&b, "\n%s --> %s\n%s\n", stamp(c.at), stamp(c.end), strings.Join(c.lines, "\n"))
	}
	m.add("results"+f.suffix+".vtt", []byte(b.String()), append(from, m.headline())...)
}

// cues are the results that are marked, by time; those at one second are one cue.
func (m *maker) cues(f film) (all []cue, from []Result) {
	for _, mark := range m.Sheet.Record.Marks() {
		at, ok := m.at(f, mark.Text)
		result := m.resultAt(mark)
		if !ok || result.Says == "" {
			continue
		}
		from = append(from, result)
		i, found := slices.BinarySearchFunc(all, at, func(c cue, at int) int { return c.at - at })
		if !found {
			all = slices.Insert(all, i, cue{at: at})
		}
		all[i].lines = append(all[i].lines, escapeCue(result.Says))
	}
	for i := range all {
		all[i].end = all[i].at + captionSeconds
		if i+1 < len(all) {
			all[i].end = min(all[i].end, all[i+1].at)
		}
		if f.video != nil && f.video.Seconds() > 0 {
			all[i].end = min(all[i].end, f.video.Seconds())
		}
	}
	return all, from
}

// resultAt is the result that a mark shows; empty for one that shows something else.
func (m *maker) resultAt(mark record.Mark) Result {
	switch mark.Kind {
	case "claim":
		for _, c := range m.Sheet.Claims {
			if c.ID == mark.Name {
				return resultOf(c)
			}
		}
	case "run":
		for _, r := range m.Sheet.Runs {
			if r.ID == mark.Name {
				return resultOfRun(r)
			}
		}
	}
	return Result{}
}

// stamp writes a time as WebVTT has it (W3C, WebVTT 1.0, section 4.1).
func stamp(seconds int) string {
	return fmt.Sprintf("%02d:%02d:%02d.000", seconds/3600, seconds/60%60, seconds%60)
}

// escapeCue makes a text safe within a cue: of its markup, and of its arrow (section 4.2).
func escapeCue(text string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", "\n", " ", "\r", " ").Replace(text)
}
