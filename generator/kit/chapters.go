package kit

import (
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// The rules for chapters in a description, as a large platform's help pages state them:
// the first at 0:00, at least three, in ascending order, each of 10 s or more, one a line
// with the time first. A list that breaks one is not shown at all. Of a title some 70
// characters are seen.
const (
	leastChapters = 3
	leastSeconds  = 10
	titleLength   = 70
)

// A chapter begins at a second.
type chapter struct {
	at    int
	title string
	from  record.Place
}

// chapters gives the lines of a film's chapters, made of the marks in it; none where
// too little is marked. What begins the film is a chapter of its own, where no mark stands
// there. Marks at one second, and following ones that show the same, are one chapter.
func (m *maker) chapters(f film) (out []line) {
	all := m.marked(f)
	if len(all) == 0 || m.Plain {
		return nil
	}
	if all[0].at > 0 {
		all = slices.Insert(all, 0, chapter{0, sheet.Isolated(m.Sheet.Name), all[0].from})
	}
	if len(all) < leastChapters {
		p := all[len(all)-1].from.Problem(fmt.Sprintf("the video has %s, and platforms show none of fewer than %d: the description has no chapters", numbered(len(all), "chapter"), leastChapters),
			"mark more of the runs, claims and settings with video")
		p.Severity = record.Warning
		m.problems = append(m.problems, p)
		return nil
	}
	m.ruled(f, all)
	for _, c := range all {
		out = append(out, line{text: record.Clock(c.at) + " " + c.title, from: c.from})
	}
	return out
}

// marked are the chapters that marks make, by time. A picture is seen within what it is
// evidence for, and makes none.
func (m *maker) marked(f film) (all []chapter) {
	for _, mark := range m.Sheet.Record.Marks() {
		at, ok := m.at(f, mark.Text)
		if !ok || mark.Kind == "picture" {
			continue
		}
		title := m.chapterOf(mark)
		if letters := []rune(title); len(letters) > titleLength {
			title = strings.TrimRight(string(letters[:titleLength-1]), " "+nbsp+",.;:") + "…"
		}
		if title != "" {
			all = append(all, chapter{at, title, mark.Place})
		}
	}
	slices.SortStableFunc(all, func(a, b chapter) int { return a.at - b.at })
	var one []chapter
	for _, c := range all {
		if n := len(one); n == 0 || one[n-1].at != c.at && one[n-1].title != c.title {
			one = append(one, c)
		}
	}
	return one
}

// ruled finds which rule a list of chapters breaks.
func (m *maker) ruled(f film, all []chapter) {
	bad := func(at record.Place, summary, hint string) {
		m.problems = append(m.problems, at.Problem(summary, hint+"; --no-chapters leaves them out"))
	}
	for i, c := range all[1:] {
		before := all[i]
		if c.at-before.at < leastSeconds {
			bad(c.from, fmt.Sprintf("the chapter at %s begins %d s after the one at %s, and platforms show chapters of %d s or more only",
				record.Clock(c.at), c.at-before.at, record.Clock(before.at), leastSeconds),
				fmt.Sprintf("mark both at %s, or this one at %s or later", record.Clock(before.at), record.Clock(before.at+leastSeconds)))
		}
	}
	last := all[len(all)-1]
	if f.video != nil && f.video.Seconds() > 0 && f.video.Seconds()-last.at < leastSeconds {
		bad(last.from, fmt.Sprintf("the chapter at %s ends with the video after %d s, and platforms show chapters of %d s or more only",
			record.Clock(last.at), f.video.Seconds()-last.at, leastSeconds), "mark it earlier")
	}
}
