package charts

import (
	"math"
	"regexp"
	"strings"
	"testing"
)

var (
	efficiencyTitle = regexp.MustCompile(`^(?:From ([\d.]+)\x{a0}Ω to|At) ([\d.]+)\x{a0}Ω efficiency (?:is|lies between) ([\d.]+)\x{a0}%(?: and ([\d.]+)\x{a0}%)?, (.*)$`)
	heatTitle       = regexp.MustCompile(`^(?:From ([\d.]+)\x{a0}Ω to|At) ([\d.]+)\x{a0}Ω heat (?:(grows|falls to) ([\d.]+)(?: to ([\d.]+))?(?: times|\x{a0}%)|(?:is|lies between) ([\d.]+)\x{a0}W(?: and ([\d.]+)\x{a0}W)?), (.*)$`)
	betweenTitle    = regexp.MustCompile(`^(?:From ([\d.]+)\x{a0}[VW] to ([\d.]+)\x{a0}[VW] (?:at the supply, power|distortion)|On \w+ test days? the check unit's power) (?:is|lies between) ([\d.]+)\x{a0}[W%](?: and ([\d.]+)\x{a0}[W%])?(?:; (\d+) of (\d+) off)?(?:, (.*))?$`)
	highestTitle    = regexp.MustCompile(`^The highest temperature read is (.*)\x{a0}°C: (.*?)(?:, after ([\d.]+)\x{a0}min)?$`)
	repeatsTitle    = regexp.MustCompile(`^Every repeat lies within ([\d.]+)\x{a0}% of the mean of its repeats$`)
)

// heads are the columns of the series and of the figure that a title speaks of.
var heads = map[string][2]string{
	"efficiency-by-load": {"Method", "η / %"}, "heat-by-load": {"Method", "H / W"}, "power-by-supply": {"Series", "P / W"},
	"distortion-by-power": {"Series", "THD+N / %"}, "check-unit": {"Day", "P / W"},
}

// told returns the figures of a table that a title's end names: of the completed
// runs of one series, or all.
func told(t *testing.T, c *Chart, of string) (rows [][]Cell, figures []float64) {
	t.Helper()
	name, only := strings.CutSuffix(of, ", in the runs that ended as planned")
	at, up, outcome := c.Table.column(heads[c.ID][0]), c.Table.column(heads[c.ID][1]), c.Table.column("Outcome")
	early := false
	for _, row := range c.Table.Rows {
		if of != "" && row[at].Text != name {
			continue
		}
		if outcome >= 0 && row[outcome].Text != "completed" {
			early = true
			continue
		}
		rows, figures = append(rows, row), append(figures, must(row[up].Text))
	}
	if early != only {
		t.Errorf("%s: %q: some runs did not end as planned: %v", c.ID, c.Title, early)
	}
	if len(rows) == 0 {
		t.Errorf("%s: %q speaks of nothing", c.ID, c.Title)
	}
	return rows, figures
}

// Titles of the other charts are true of every row of the table that they speak of.
func TestOtherTitlesAreTrue(t *testing.T) {
	for _, c := range everyChart(t) {
		var m []string
		switch c.ID {
		case "power-by-load":
			continue // TestTitlesAreTrue
		case "efficiency-by-load":
			if m = efficiencyTitle.FindStringSubmatch(c.Title); m != nil {
				_, figures := told(t, c, m[5])
				within(t, c, figures, m[3], m[4])
			}
		case "heat-by-load":
			if m = heatTitle.FindStringSubmatch(c.Title); m != nil {
				checkHeat(t, c, m)
			}
		case "temperatures":
			if m = highestTitle.FindStringSubmatch(c.Title); m != nil {
				checkHighest(t, c, m)
			}
		case "repeats":
			if m = repeatsTitle.FindStringSubmatch(c.Title); m != nil {
				for _, row := range c.Table.Rows {
					if d := math.Abs(must(row[4].Text)); d > must(m[1])+0.005 {
						t.Errorf("%q, but there is %v %%", c.Title, d)
					}
				}
			}
		default:
			if m = betweenTitle.FindStringSubmatch(c.Title); m != nil {
				checkBetween(t, c, m)
			}
		}
		if m == nil && c.Title != "No run ended as planned" {
			t.Errorf("%s: a title that is not checked: %q", c.ID, c.Title)
		}
	}
}

// within checks that every figure is written between two ends, and that both occur.
func within(t *testing.T, c *Chart, figures []float64, from, to string) {
	t.Helper()
	if to == "" {
		to = from
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, x := range figures {
		least, most = min(least, x), max(most, x)
	}
	if least != must(from) || most != must(to) {
		t.Errorf("%s: %q, but the figures lie from %v to %v", c.ID, c.Title, least, most)
	}
}

func checkHeat(t *testing.T, c *Chart, m []string) {
	t.Helper()
	rows, figures := told(t, c, m[8])
	if m[3] == "" {
		within(t, c, figures, m[6], m[7])
		return
	}
	unit, half := 1.0, 0.05
	if m[3] == "falls to" {
		unit, half = 100, 0.5
	}
	low, high := must(m[4])-half, must(m[4])+half
	if m[5] != "" {
		low, high = must(m[4]), must(m[5])
	}
	compared := false
	for i, a := range rows {
		for j, b := range rows {
			if a[0].Text == m[1] && b[0].Text == m[2] {
				compared = true
				ratio, slack := unit*figures[j]/figures[i], unit*figures[j]/figures[i]*0.01 // the figures are rounded
				if ratio < low-slack || ratio > high+slack {
					t.Errorf("%q, but %v to %v", c.Title, figures[i], figures[j])
				}
			}
		}
	}
	if !compared {
		t.Errorf("%q compares nothing", c.Title)
	}
}

func checkBetween(t *testing.T, c *Chart, m []string) {
	t.Helper()
	rows, figures := told(t, c, m[7])
	within(t, c, figures, m[3], m[4])
	if c.ID == "check-unit" {
		off := 0
		for _, row := range rows {
			if row[5].Text == "off" {
				off++
			}
		}
		if said := m[5] != ""; said != (off > 0) || said && (int(must(m[5])) != off || int(must(m[6])) != len(rows)) {
			t.Errorf("%q, but %d of %d are off", c.Title, off, len(rows))
		}
		return
	}
	var along []float64
	for _, row := range rows {
		along = append(along, must(row[0].Text))
	}
	within(t, c, along, m[1], m[2])
}

func checkHighest(t *testing.T, c *Chart, m []string) {
	t.Helper()
	highest, found := math.Inf(-1), false
	for _, row := range c.Table.Rows {
		highest = max(highest, must(row[3].Text))
		at := m[3] == "" || m[3] == row[0].Text
		found = found || at && row[1].Text == m[2] && strings.Contains(m[1], row[3].Text) && strings.Contains(m[1], row[4].Text)
	}
	if text := strings.TrimPrefix(strings.SplitN(m[1], " ", 2)[0], "("); must(text) != highest || !found {
		t.Errorf("%q, but the highest is %v", c.Title, highest)
	}
}

// There is no chart of nothing, and none of a single point.
func TestNothingToDraw(t *testing.T) {
	b := newBench()
	if all := All(b.Sheet); len(all) != 0 || CheckUnit(nil) != nil || CheckUnit(checkOf(1, 1)) != nil {
		t.Errorf("%d charts of an empty sheet", len(all))
	}
	b.more(3, "one")
	for _, r := range b.Runs[1:] {
		r.Efficiency, r.Heat = nil, nil
	}
	b.Thermals, b.Repeats = b.Thermals[len(b.Thermals)-1:], nil
	for _, c := range All(b.Sheet) {
		if c.ID == "efficiency-by-load" || c.ID == "heat-by-load" || c.ID == "temperatures" || c.ID == "repeats" {
			t.Errorf("a chart %s of one point", c.ID)
		}
	}
	near := newBench()
	for _, volts := range []float64{14, 14.3, 14.41} { // 2.9 % apart
		near.run(0, 4, "completed", 100).SupplyV = figure(volts, 0.02, "V")
	}
	if PowerBySupply(near.Sheet) != nil {
		t.Error("a chart of power against supply voltages within 3 %")
	}
	near.Runs[2].SupplyV = figure(14.43, 0.02, "V")
	if PowerBySupply(near.Sheet) == nil {
		t.Error("no chart of power against supply voltages more than 3 % apart")
	}
}

// A load line is a thin curve, broken where it does not fit, and in no table.
func TestLoadLines(t *testing.T) {
	s := more(2)
	c := PowerByLoad(s)
	curves := parse(t, c.Wide).all("still-curves")[0].Children
	if len(curves) != 2 || curves[0].attr("stroke-dasharray") != "" || curves[1].attr("stroke-dasharray") == "" {
		t.Errorf("%d curves, or the wrong one is broken", len(curves))
	}
	if !strings.Contains(c.Caption, "load lines") || !strings.Contains(c.Caption, "broken") || !strings.Contains(c.Description, s.Lines[0].Text) {
		t.Errorf("not told of: %s %s", c.Caption, c.Description)
	}
	s.Lines = nil
	if without := PowerByLoad(s); len(without.Table.Rows) != len(c.Table.Rows) || strings.Contains(without.Caption, "load line") {
		t.Error("a load line changes the table, or is told of where there is none")
	}
}
