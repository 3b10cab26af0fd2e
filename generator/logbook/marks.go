package logbook

import (
	"fmt"
	"strings"
	"time"

	"wattsheet/generator/record"
)

// takeMark starts the video's clock: now, or so that it reads a given time now. Where
// the record has several videos, the first word says which it is.
func (d *Dialogue) takeMark(words []string, now time.Time) Reply {
	id, since := "", 0
	rest := words
	if len(rest) > 0 {
		if _, ok := record.ParseClock(rest[0]); !ok && !startsWithDigit(rest[0]) {
			id, rest = rest[0], rest[1:]
		}
	}
	if len(rest) > 0 {
		var ok bool
		if since, ok = record.ParseClock(rest[0]); !ok || len(rest) > 1 {
			return Reply{Err: fmt.Errorf("mark takes what the video's clock reads now\nhint: mark, where it begins now; mark 3:10, or mark 1:03:10")}
		}
	}
	if err := d.whichVideo(id); err != nil {
		return Reply{Err: err}
	}
	d.marked, d.video, d.mark = true, id, now.Add(-time.Duration(since)*time.Second)
	return Reply{Said: []string{"the video's clock reads " + d.videoAt(now) + " now; each run gets its place in the video in the record"}}
}

func startsWithDigit(word string) bool { return word[0] >= '0' && word[0] <= '9' }

// whichVideo refuses a mark that would be in none of the record's videos, or of which
// it isn't known in which. A record without videos takes any mark without a name.
func (d *Dialogue) whichVideo(id string) error {
	videos := d.book.rec.Videos
	var ids []string
	for i := range videos {
		if ids = append(ids, videos[i].ID); id == videos[i].ID {
			return nil
		}
	}
	known := "the record has the videos " + strings.Join(ids, ", ")
	switch {
	case id == "" && len(ids) > 1:
		return fmt.Errorf("the unit has %s, and mark doesn't say which\nhint: %s: mark %s", counted(len(ids), "video"), known, ids[0])
	case id == "":
		return nil
	case len(ids) == 0:
		return fmt.Errorf("mark takes what the video's clock reads now, and the record has no video %s\nhint: mark, where the video begins now; mark 3:10, where its clock reads that now", short(id))
	}
	return fmt.Errorf("mark takes what the video's clock reads now, and the record has no video %s\nhint: %s", short(id), known)
}

// seconds is what the video's clock reads.
func (d *Dialogue) seconds(now time.Time) int { return int(now.Sub(d.mark) / time.Second) }

// videoAt is what the video's clock reads, for people.
func (d *Dialogue) videoAt(now time.Time) string { return record.Clock(d.seconds(now)) }

// over reports whether the video, which says how long it is, is over by then.
func (d *Dialogue) over(now time.Time) bool {
	v, at := d.book.rec.Marked(d.markText(now))
	return v != nil && v.Seconds() > 0 && at >= v.Seconds()
}

func (d *Dialogue) markText(now time.Time) string {
	if d.video != "" {
		return d.video + " " + d.videoAt(now)
	}
	return d.videoAt(now)
}

// longestVideo is what a video's clock can show.
const longestVideo = 100 * time.Hour

// markOf is a run's mark; empty before a mark was set, and once the video is over.
func (d *Dialogue) markOf(now time.Time) string {
	if !d.marked || now.Before(d.mark) || now.Sub(d.mark) >= longestVideo || d.over(now) {
		return ""
	}
	return d.markText(now)
}

func (d *Dialogue) markSaid(now time.Time) string {
	switch {
	case !d.marked || now.Before(d.mark):
		return ""
	case d.markOf(now) == "":
		return ", without a mark: the video is over"
	}
	return ", video " + d.markText(now)
}
