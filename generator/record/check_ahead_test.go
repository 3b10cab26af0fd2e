package record

import (
	"slices"
	"testing"
	"time"
)

// A day that hasn't come yet anywhere is told with its place; days that are planned for are not.
func TestAhead(t *testing.T) {
	const text = `[unit]
maker = "Ottersprocket"
model = "20"
price_date = 2027-01-02
[source]
how = "bought"
from = "a shop"
date = 2026-11-26
[[run]]
id = "r1"
at = 2026-11-27T01:00:00+13:00
[[run]]
id = "r2"
at = 2062-11-20T10:00:00Z
[[video]]
title = "one"
published = 2027-02-01
hold = { until = 2027-02-01T12:00:00Z }
[[video]]
title = "two"
published = 2027-02-01
[[contact]]
date = 2026-11-28
answer_by = 2027-01-01
[[correction]]
date = 2027-02-01
hold = "until 2027-02-01T12:00:00Z"
[[correction]]
date = 2027-02-02
`
	r, _ := DecodeRecord(&File{Name: "record.toml", Text: []byte(text)}, "x")
	if r == nil {
		t.Fatal("nothing was decoded")
	}
	at := time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC) // the 27th in the zone that is furthest ahead
	lines := func(problems Problems) (out []int) {
		for _, p := range problems {
			if p.Severity != Warning || p.Line == 0 || p.Hint == "" {
				t.Errorf("%+v", p)
			}
			out = append(out, p.Line)
		}
		return out
	}
	problems := r.Ahead(at)
	if got, want := lines(problems), []int{4, 14, 21, 23, 29}; !slices.Equal(got, want) {
		t.Errorf("lines %v, not %v:\n%s", got, want, problems)
	}
	if got, want := problems[1].Summary, "this day, 2062-11-20, hasn't come yet"; got != want {
		t.Errorf("%q, not %q", got, want)
	}
	if got, want := LatestDay([]byte(text), nil), "2062-11-20"; got != want {
		t.Errorf("the latest day is %q, not %q", got, want)
	}
	if got := r.Ahead(at.AddDate(50, 0, 0)); got != nil {
		t.Errorf("after all of them: %s", got)
	}
}

// LatestDay takes nothing else for a day.
func TestLatestDay(t *testing.T) {
	for text, want := range map[string]string{
		"": "", "2026-1-02": "", "026-01-02": "", "x2026-01-02y": "2026-01-02", "2026-01-02 2025-12-31": "2026-01-02", "2026-01-0": "",
	} {
		if got := LatestDay([]byte(text)); got != want {
			t.Errorf("%q: %q, not %q", text, got, want)
		}
	}
}
