package record

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// A Video is one video about the unit. What is seen in it is marked by the key
// video of runs, claims and the other tables that can be seen in one.
type Video struct {
	Place
	ID        string `toml:"id" need:"yes" form:"id" about:"a short name, unique among the videos; marks name it where there are several"`
	Title     string `toml:"title" need:"yes" form:"name" about:"the video's title"`
	Address   string `toml:"address" form:"url" about:"the page where it is watched; absent while it isn't out: the site says nothing of the video until then"`
	Published Date   `toml:"published" about:"the day it was published"`
	Lasts     string `toml:"lasts" form:"clock" about:"how long it is, as its clock shows: 18:40"`
	About     string `toml:"about" form:"prose" about:"what it is about, in a sentence or two"`
	Hold      Hold   `toml:"hold" about:"until when it is kept out of what is published, its marks too: until and a time, true, or the id of a [[hold]]"`
}

// Seconds is how long the video is; 0 where the record doesn't say.
func (v *Video) Seconds() int {
	s, _ := ParseClock(v.Lasts)
	return s
}

// clockForm is minutes and seconds, or hours, minutes and seconds.
var clockForm = regexp.MustCompile(`^(?:([0-9]{1,2}):([0-5][0-9])|([0-9]{1,3})):([0-5][0-9])$`)

// markPattern is a mark for editors.
const markPattern = `^([a-z0-9]([a-z0-9-]*[a-z0-9])? )?([0-9]{1,2}:[0-5][0-9]|[0-9]{1,3}):[0-5][0-9]$`

// ParseClock reads what a video's clock shows, 4:12 or 1:02:03, as seconds.
func ParseClock(text string) (seconds int, ok bool) {
	m := clockForm.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	for i, unit := range []int{3600, 60, 60, 1} {
		n, _ := strconv.Atoi(m[i+1]) // empty: none
		seconds += n * unit
	}
	return seconds, true
}

// Clock writes seconds as a video's clock shows them: 4:12, and from an hour on 1:02:03.
func Clock(seconds int) string {
	if seconds >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", seconds/3600, seconds/60%60, seconds%60)
	}
	return fmt.Sprintf("%d:%02d", seconds/60, seconds%60)
}

// ParseMark reads a mark, the value of a key video: what the video's clock shows,
// behind the video's id where the unit has several: bench 4:12.
func ParseMark(text string) (video string, seconds int, ok bool) {
	clock := text
	if before, after, two := strings.Cut(text, " "); two {
		video, clock = before, after
		if why, _ := badID(video); why != "" {
			return "", 0, false
		}
	}
	seconds, ok = ParseClock(clock)
	return video, seconds, ok
}

// Marked gives the video that a mark is in, and the second. It gives nil for no mark,
// and for one of which it isn't known in which video it is.
func (r *Record) Marked(mark string) (v *Video, seconds int) {
	id, seconds, ok := ParseMark(mark)
	if !ok {
		return nil, 0
	}
	if id == "" && len(r.Videos) == 1 {
		return &r.Videos[0], seconds
	}
	for i := range r.Videos {
		if id != "" && r.Videos[i].ID == id {
			return &r.Videos[i], seconds
		}
	}
	return nil, 0
}

// A Mark is one place of a record that is marked in a video.
type Mark struct {
	Place        // of the mark
	Kind  string // the table's name: claim, run, spec, …
	Name  string // its id, or what it is called; empty for settings and opinions
	Text  string // as it is written
}

// Marks lists what is marked, in the order of the schema.
func (r *Record) Marks() (all []Mark) {
	r.marks(func(kind, name string, table Place, mark *string) {
		if *mark != "" {
			all = append(all, Mark{table.Key("video"), kind, name, *mark})
		}
	})
	return all
}

// marks goes through the marks of everything that can have one.
func (r *Record) marks(see func(kind, name string, table Place, mark *string)) {
	see("settings", "", r.Settings.Place, &r.Settings.Video)
	for i := range r.Claims {
		see("claim", r.Claims[i].ID, r.Claims[i].Place, &r.Claims[i].Video)
	}
	for i := range r.Runs {
		see("run", r.Runs[i].ID, r.Runs[i].Place, &r.Runs[i].Video)
	}
	for i := range r.Specs {
		see("spec", r.Specs[i].ID, r.Specs[i].Place, &r.Specs[i].Video)
	}
	for i := range r.Functions {
		see("function", r.Functions[i].Name, r.Functions[i].Place, &r.Functions[i].Video)
	}
	for i := range r.Thermals {
		see("thermal", r.Thermals[i].Spot, r.Thermals[i].Place, &r.Thermals[i].Video)
	}
	for i := range r.Opinions {
		see("opinion", "", r.Opinions[i].Place, &r.Opinions[i].Video)
	}
	for i := range r.Pictures {
		see("picture", r.Pictures[i].File, r.Pictures[i].Place, &r.Pictures[i].Video)
	}
}

// unmark takes out the marks that are in none of the record's videos, as those of a
// video that is held.
func (r *Record) unmark() {
	r.marks(func(_, _ string, _ Place, mark *string) {
		if v, _ := r.Marked(*mark); v == nil && *mark != "" {
			*mark = ""
		}
	})
}

// badClock says what is wrong with what a video's clock shows.
func badClock(text string) (why, hint string) {
	if _, ok := ParseClock(text); ok {
		return "", ""
	}
	return "is " + quoted(text) + ", which no video's clock shows", clockHint(text)
}

func badMark(text string) (why, hint string) {
	if _, _, ok := ParseMark(text); ok {
		return "", ""
	}
	id, clock, two := strings.Cut(strings.TrimSpace(text), " ")
	if clock = strings.TrimSpace(clock); two && clock != "" {
		if _, ok := ParseClock(clock); ok {
			if like := idLike(id); like != "" {
				return "is " + quoted(text) + ", which is no place in a video", "the id of a [[video]], one blank, and its clock: " + quoted(like+" "+clock)
			}
		}
		if _, ok := ParseClock(id); ok {
			return "is " + quoted(text) + ", which is no place in a video", "the video's id stands first: " + quoted(idLike(clock)+" "+id)
		}
	} else {
		clock = id
	}
	return "is " + quoted(text) + ", which is no place in a video", clockHint(clock)
}

var (
	onlySeconds = regexp.MustCompile(`^([0-9]{1,5})(?:\.[0-9]+)? ?s?$`)
	lettered    = regexp.MustCompile(`^(?:([0-9]{1,2})h ?)?([0-9]{1,3})m ?(?:([0-9]{1,2})s?)?$`)
	otherMarks  = regexp.MustCompile(`^([0-9]{1,3})[.,;·' -]([0-5][0-9])$`)
)

// clockHint shows how a time in a video is written, as nearly as can be told from what
// was typed.
func clockHint(text string) string {
	const plain = `minutes and seconds as the video's clock shows them, "4:12", or with hours, "1:02:03"`
	number := func(s string) int { n, _ := strconv.Atoi(s); return n }
	if m := otherMarks.FindStringSubmatch(text); m != nil {
		return "with a colon: " + quoted(m[1]+":"+m[2])
	}
	if m := onlySeconds.FindStringSubmatch(text); m != nil {
		return "as the video's clock shows it; " + m[1] + " seconds are " + quoted(Clock(number(m[1])))
	}
	if m := lettered.FindStringSubmatch(text); m != nil && number(m[3]) < 60 {
		return "as the video's clock shows it: " + quoted(Clock(number(m[1])*3600+number(m[2])*60+number(m[3])))
	}
	return plain
}
