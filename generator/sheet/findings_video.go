package sheet

import (
	"fmt"
	"strconv"

	"wattsheet/generator/record"
)

// ofMarks finds runs that are seen in a video before the run that was made before
// them: by their times where both have one, else by their order in the record. It is
// told once for each step back.
func (e *evaluator) ofMarks() []Finding {
	var out []Finding
	last := map[string]*record.Run{} // by the video's id
	for i := range e.rec.Runs {
		r := &e.rec.Runs[i]
		if r.Video == "" {
			continue
		}
		id, _, _ := record.ParseMark(r.Video)
		if v, _ := e.rec.Marked(r.Video); v != nil {
			id = v.ID
		}
		before := last[id]
		last[id] = r
		if before == nil {
			continue
		}
		earlier, later := before, r
		if madeBefore(r, before) {
			earlier, later = r, before
		}
		_, from, _ := record.ParseMark(earlier.Video)
		_, to, _ := record.ParseMark(later.Video)
		if to < from {
			out = append(out, Finding{"video-marks-out-of-order", later.Key("video"),
				fmt.Sprintf("run %s: it is marked at %s in the video, run %s, which was made before it, at %s", later.ID, record.Clock(to), earlier.ID, record.Clock(from)),
				"a mistyped time, marks of another cut, or a video that shows the runs in an order of its own"})
		}
	}
	return out
}

// ofUnseen finds marks of a record that has no video, which the site shows none of.
func (e *evaluator) ofUnseen() []Finding {
	marks := e.rec.Marks()
	if len(marks) == 0 || len(e.rec.Videos) > 0 {
		return nil
	}
	m := marks[0]
	at := "it is " + m.Text
	if n := len(marks); n > 1 {
		at = "the first of " + strconv.Itoa(n) + " is " + m.Text
	}
	return []Finding{{"video-missing", m.Place, "there are marks of a video, and the record has no [[video]]: the site shows none of them; " + at,
		"the video isn't entered yet: add a [[video]] with its title, and its address once it is out"}}
}

// madeBefore reports whether a run is known to be made before another.
func madeBefore(a, b *record.Run) bool {
	at, whyA, _ := record.ParseTime(a.At.Text)
	to, whyB, _ := record.ParseTime(b.At.Text)
	return whyA == "" && whyB == "" && at.Before(to)
}
