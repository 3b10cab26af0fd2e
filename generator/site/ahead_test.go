package site

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/record"
)

// A run's day that hasn't come yet is told by each way to look at a site, also when nothing
// changed, until it comes.
func TestDaysAheadAreTold(t *testing.T) {
	text := strings.Replace(tinyFile(t, tinyRecord), "at = 2026-05-04T10:00:00+02:00", "at = 2026-12-24T10:00:00+01:00", 1)
	root := tiny(t, map[string]string{tinyRecord: text})
	told := func(problems record.Problems) int {
		return strings.Count(problems.Error(), "2026-12-24, hasn't come yet")
	}
	for _, row := range []struct {
		at   time.Time
		want int
	}{{today, 1}, {today, 1}, {today.AddDate(0, 0, 1), 1}, {today.AddDate(0, 0, 28), 0}, {today, 1}} {
		c, err := Check(root, row.at)
		if err != nil || told(c.Problems) != row.want {
			t.Errorf("check on %s: %v %s", row.at.Format(time.DateOnly), err, c.Problems)
		}
		b, err := Build(root, row.at, filepath.Join(root, "public"))
		if err != nil || told(b.Problems) != row.want {
			t.Errorf("build on %s: %v %s", row.at.Format(time.DateOnly), err, b.Problems)
		}
		if _, problems, err := Load(root, row.at); err != nil || told(problems) != row.want {
			t.Errorf("load on %s: %v %s", row.at.Format(time.DateOnly), err, problems)
		}
	}
}
