package charts

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/sheet"
)

var (
	growsText = regexp.MustCompile(`^From ([\d.]+)\x{a0}Ω to ([\d.]+)\x{a0}Ω power grows ([\d.]+)(?: to ([\d.]+))? times, (.*)$`)
	fallsText = regexp.MustCompile(`^From ([\d.]+)\x{a0}Ω to ([\d.]+)\x{a0}Ω power falls to ([\d.]+)(?: to ([\d.]+))?\x{a0}%, (.*)$`)
	liesText  = regexp.MustCompile(`^(?:From ([\d.]+)\x{a0}Ω to|At) ([\d.]+)\x{a0}Ω power (?:is|lies between) ([\d.]+)\x{a0}W(?: and ([\d.]+)\x{a0}W)?, (.*)$`)
	givesText = regexp.MustCompile(`^At ([\d.]+)\x{a0}Ω channel (\w) gives (\(.*\)\x{a0}W|[\d.]+\x{a0}W), (.*)$`)
)

// spokenOf lists the completed channels of the runs that a title's end names, by
// load; and whether any run of them did not end as planned.
func spokenOf(t *testing.T, s *sheet.Sheet, of string) (byLoad map[string][]*sheet.Channel, early bool) {
	t.Helper()
	name, only := strings.CutSuffix(of, ", in the runs that ended as planned")
	name, bridged := strings.CutSuffix(name, ", bridged")
	byLoad = map[string][]*sheet.Channel{}
	for _, r := range s.Runs {
		if !r.Valid || r.Method.Title != name || r.Bridged != bridged {
			continue
		}
		early = early || !r.Completed
		for _, ch := range r.Channels {
			if load := loadText(ch.Nominal); r.Completed && ch.Power != nil {
				byLoad[load] = append(byLoad[load], ch)
			}
		}
	}
	if early != only {
		t.Errorf("%q: some runs did not end as planned: %v", of, early)
	}
	return byLoad, early
}

// A title is true of every completed channel of every run of the method that it
// names, at the loads that it names.
func TestTitlesAreTrue(t *testing.T) {
	kinds := map[string]int{}
	for _, s := range every(t) {
		c := PowerByLoad(s)
		if c == nil {
			continue
		}
		switch {
		case growsText.MatchString(c.Title):
			kinds["grows"]++
			checkRatio(t, s, growsText.FindStringSubmatch(c.Title), 1, 0.05)
		case fallsText.MatchString(c.Title):
			kinds["falls"]++
			checkRatio(t, s, fallsText.FindStringSubmatch(c.Title), 100, 0.5)
		case liesText.MatchString(c.Title):
			kinds["lies"]++
			checkRange(t, s, liesText.FindStringSubmatch(c.Title))
		case givesText.MatchString(c.Title):
			kinds["gives"]++
			m := givesText.FindStringSubmatch(c.Title)
			byLoad, _ := spokenOf(t, s, m[4])
			if there := byLoad[m[1]]; len(there) != 1 || there[0].Name != m[2] || there[0].Power.Text != m[3] {
				t.Errorf("%s: %q", s.Slug, c.Title)
			}
		case c.Title == "No run ended as planned":
			kinds["none"]++
			for _, r := range s.Runs {
				if r.Valid && r.Completed && len(r.Channels) > 0 {
					t.Errorf("%s: %q, but run %s did", s.Slug, c.Title, r.ID)
				}
			}
		default:
			t.Errorf("%s: a title that is not checked: %q", s.Slug, c.Title)
		}
	}
	for _, kind := range []string{"grows", "falls", "lies", "gives"} {
		if kinds[kind] == 0 {
			t.Errorf("no title of the kind %q was checked: %v", kind, kinds)
		}
	}
}

// checkRatio checks a title that compares two loads: each channel with itself.
func checkRatio(t *testing.T, s *sheet.Sheet, m []string, unit, half float64) {
	t.Helper()
	low, high := must(m[3]), must(m[3])
	if m[4] == "" {
		low, high = low-half, high+half
	} else {
		high = must(m[4])
	}
	byLoad, _ := spokenOf(t, s, m[5])
	from, to := byLoad[m[1]], byLoad[m[2]]
	if len(from) == 0 || len(to) == 0 || must(m[1]) <= must(m[2]) {
		t.Errorf("%s: %q speaks of loads without a completed run", s.Slug, m[0])
	}
	matched := false
	for _, a := range from {
		for _, b := range to {
			if a.Name != b.Name && namesOf(from) == namesOf(to) {
				continue // a channel is compared with itself, where the same ones were driven
			}
			matched = true
			if ratio := unit * b.Power.X / a.Power.X; ratio < low-1e-9 || ratio > high+1e-9 {
				t.Errorf("%s: %q, but channel %s has %v", s.Slug, m[0], a.Name, ratio)
			}
			if apart := (b.Power.X - a.Power.X) / (a.Power.U + b.Power.U); apart < 1 && apart > -1 {
				t.Errorf("%s: %q, but channel %s differs by less than U", s.Slug, m[0], a.Name)
			}
		}
	}
	if !matched {
		t.Errorf("%s: %q compares no channel", s.Slug, m[0])
	}
}

// namesOf lists the names of channels, each once.
func namesOf(channels []*sheet.Channel) string {
	var names []string
	for _, ch := range channels {
		names = append(names, ch.Name)
	}
	slices.Sort(names)
	return strings.Join(slices.Compact(names), " ")
}

// checkRange checks a title that says between which powers all points lie.
func checkRange(t *testing.T, s *sheet.Sheet, m []string) {
	t.Helper()
	low, high := must(m[3]), must(m[3])
	if m[4] != "" {
		high = must(m[4])
	}
	byLoad, _ := spokenOf(t, s, m[5])
	points := 0
	for load, channels := range byLoad {
		if m[1] == "" && load != m[2] {
			t.Errorf("%s: %q, but there are runs at %s Ω", s.Slug, m[0], load)
		}
		for _, ch := range channels {
			points++
			if x := must(ch.Power.ValueText); x < low || x > high {
				t.Errorf("%s: %q, but there is %s", s.Slug, m[0], ch.Power.Text)
			}
		}
	}
	if points == 0 {
		t.Errorf("%s: %q speaks of nothing", s.Slug, m[0])
	}
}

func TestTitlesByHand(t *testing.T) {
	grows := newBench()
	grows.run(0, 8, "completed", 63.1, 62.9)
	grows.run(0, 2, "completed", 164.1, 163.2)
	uneven := newBench()
	uneven.run(0, 8, "completed", 60, 60)
	uneven.run(0, 2, "completed", 150, 159)
	falls := newBench()
	falls.run(1, 4, "completed", 100)
	falls.run(1, 2, "completed", 61)
	falls.run(1, 1, "protected", 30)
	level := newBench()
	level.run(0, 4, "completed", 100)
	level.run(0, 2, "completed", 102)
	lost := newBench()
	lost.run(0, 4, "fuse", 100)
	for _, row := range []struct {
		bench *bench
		want  string
	}{
		{grows, "From 8 Ω to 2 Ω power grows 2.6 times, at 1 % THD+N"}, // 2.601 and 2.595
		{uneven, "From 8 Ω to 2 Ω power grows 2.5 to 2.7 times, at 1 % THD+N"},
		{falls, "From 4 Ω to 2 Ω power falls to 61 %, at 10 % THD+N, in the runs that ended as planned"},
		{level, "From 4 Ω to 2 Ω power lies between 100.0 W and 102.0 W, at 1 % THD+N"},
		{lost, "No run ended as planned"},
	} {
		if got := strings.ReplaceAll(PowerByLoad(row.bench.Sheet).Title, nbsp, " "); got != row.want {
			t.Errorf("got  %s\nwant %s", got, row.want)
		}
	}
}
