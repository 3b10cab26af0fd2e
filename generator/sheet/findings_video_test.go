package sheet

import "testing"

// Marks that run backwards are found, by the runs' times and without them; marks that
// run on, that are in two videos, or that follow the times and not the record, aren't.
func TestMarksOutOfOrder(t *testing.T) {
	const (
		early, late = "at = 2026-10-09T10:00:00Z", "at = 2026-10-09T12:30:00+02:00" // 10:30 in UTC
		videos      = "\n[[video]]\nid = \"a\"\ntitle = \"a\"\n\n[[video]]\nid = \"b\"\ntitle = \"b\"\n"
	)
	mark := func(id, at string, more ...string) string { return run(id, append(more, `video = "`+at+`"`)...) }
	for _, row := range []struct {
		what, runs string
		found      int
	}{
		{"backwards", mark("a", "4:12") + mark("b", "4:11"), 1},
		{"the same second", mark("a", "4:12") + mark("b", "4:12"), 0},
		{"on", mark("a", "4:12") + mark("b", "1:04:11"), 0},
		{"one without between", mark("a", "4:12") + run("b") + mark("c", "4:11"), 1},
		{"one step back only", mark("a", "4:12") + mark("b", "0:10") + mark("c", "0:11"), 1},
		{"by the times", mark("a", "4:12", late) + mark("b", "4:11", early), 0},
		{"against the times", mark("a", "4:11", late) + mark("b", "4:12", early), 1},
		{"times that say the same as the record", mark("a", "4:12", early) + mark("b", "4:11", late), 1},
		{"one time only", mark("a", "4:12", late) + mark("b", "4:11"), 1},
		{"in two videos", mark("a", "a 4:12") + mark("b", "b 4:11") + videos, 0},
		{"in one of two", mark("a", "a 4:12") + mark("c", "b 9:00") + mark("b", "a 4:11") + videos, 1},
		{"without marks", run("a") + run("b"), 0},
	} {
		got := 0
		for _, f := range evaluateUnit(t, testSite, testUnit, claim75+row.runs).Findings {
			if f.ID != "video-marks-out-of-order" {
				continue
			}
			got++
			if f.Text == "" || f.Cause == "" || !f.Place.Given() || f.Severity() != WorthALook {
				t.Errorf("%s: %+v", row.what, f)
			}
		}
		if got != row.found {
			t.Errorf("%s: %d findings, want %d", row.what, got, row.found)
		}
	}
	if _, known := severities["video-marks-out-of-order"]; !known {
		t.Error("it has no severity of its own")
	}
}
