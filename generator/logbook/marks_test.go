package logbook

import (
	"strings"
	"testing"
	"time"
)

const oneVideo = "\n[[video]]\nid = \"bench\"\ntitle = \"On the bench\"\nlasts = \"1:30:00\"\n"

// TestMarksOfRuns: after a mark each run has its place in the video, by the clock; with
// several videos the mark says in which. The seconds are counted here by hand.
func TestMarksOfRuns(t *testing.T) {
	two := oneVideo + strings.NewReplacer("bench", "second", "1:30:00", "0:02").Replace(oneVideo)
	for _, row := range []struct{ videos, mark, want, told string }{
		{"", "mark", "0:50", ", video 0:50"},
		{"", "mark 3:10", "4:00", ", video 4:00"},
		{"", "mark 1:03:10", "1:04:00", ", video 1:04:00"},
		{oneVideo, "mark 3:10", "4:00", ", video 4:00"},
		{oneVideo, "mark bench 3:10", "bench 4:00", ", video bench 4:00"},
		{two, "mark bench", "bench 0:50", ", video bench 0:50"},
		{oneVideo, "mark 1:29:10", "", ", without a mark: the video is over"},
		{two, "mark second", "", ", without a mark: the video is over"},
	} {
		root, file := newSite(t, benchText, recordText+row.videos+runText7)
		d := begin(t, root)
		if r := d.Take(row.mark, day); r.Err != nil {
			t.Fatal(row.mark, r.Err)
		}
		r := d.Take(good, day.Add(50*time.Second))
		runs := runsOf(t, contents(t, file))
		if r.Err != nil || len(runs) != 2 || runs[1].Video != row.want || !contains(r.Said, "r08 written"+row.told) {
			t.Errorf("%s: the run has %q; said %v, %v", row.mark, runs[len(runs)-1].Video, r.Said, r.Err)
		}
	}
}

func TestMarksThatAreNoPlace(t *testing.T) {
	two := oneVideo + strings.ReplaceAll(oneVideo, "bench", "second")
	for _, row := range []struct{ videos, mark, says string }{
		{"", "mark yesterday", `no video "yesterday"`},
		{oneVideo, "mark second 3:10", "no video \"second\"\nhint: the record has the videos bench"},
		{two, "mark 3:10", "the unit has 2 videos, and mark doesn't say which"},
		{two, "mark", "mark bench"},
		{two, "mark bench 3:75", "video's clock reads now"},
		{two, "mark 3:10 bench", "video's clock reads now"},
		{"", "mark 310", "video's clock reads now"},
	} {
		root, file := newSite(t, benchText, recordText+row.videos+runText7)
		d := begin(t, root)
		if r := d.Take(row.mark, day); r.Err == nil || !strings.Contains(r.Err.Error(), row.says) {
			t.Errorf("%s: %v", row.mark, r.Err)
		}
		must(t, d, good)
		if runs := runsOf(t, contents(t, file)); len(runs) != 2 || runs[1].Video != "" {
			t.Errorf("%s: the run has %q", row.mark, runs[len(runs)-1].Video)
		}
	}
}
