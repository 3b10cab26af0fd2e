package logbook

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// farCheck is the factor by which a check unit's reading may be off those of other
// days before it is asked about (a habit of this program, no source): it is the same
// unit, by the same method, into the same load.
const farCheck = 1.1

// checkOpen says that the check unit wasn't read on a day; empty where it was, or
// where the bench has none.
func (b *Book) checkOpen(now time.Time) string {
	c := &b.content.Bench.CheckUnit
	today := now.Format(time.DateOnly)
	if !c.Given() || slices.ContainsFunc(c.Readings, func(d record.CheckDay) bool { return d.Date.Text == today }) {
		return ""
	}
	return fmt.Sprintf("check unit not read yet on %s: %s, method %s, load %s", today, c.Name, c.Method.ID, c.Load.ID)
}

// checkOrder are the readings of the check unit: those of its last day.
func (b *Book) checkOrder() []string {
	days := b.content.Bench.CheckUnit.Readings
	if len(days) == 0 {
		return []string{"out_v", "supply_v"}
	}
	order, last := []string{"out_v"}, &days[len(days)-1]
	if last.SupplyV.Given() {
		order = append(order, "supply_v")
	}
	if last.AmbientC.Given() {
		order = append(order, "ambient_c")
	}
	return order
}

// takeCheck takes the check unit's reading of the day.
func (d *Dialogue) takeCheck(line string, words []string, now time.Time) Reply {
	switch {
	case len(words) == 1 && strings.EqualFold(words[0], "skip"):
		d.checking = false
		return Reply{Said: []string{"check unit skipped"}}
	case isWord(words[0]):
		return d.word(words, line, now)
	}
	l, err := ParseLine(line, d.book.checkOrder(), []string{"check"})
	switch {
	case err != nil: // who types a run here forgot what was asked
		problem, hint, _ := strings.Cut(strings.Replace(err.Error(), "but a run has", "but the check unit's day has", 1), "\nhint: ")
		return Reply{Err: fmt.Errorf("%s\nhint: %s; the check unit is read first, skip goes on to the runs", problem, hint)}
	case l.outcome != "":
		return Reply{Err: fmt.Errorf("the check unit's day has no outcome\nhint: leave %s out, or put it into a remark behind #", l.outcome)}
	}
	return d.writeCheck(l, now, false)
}

// dayText is a test day as it is appended to bench.toml. Its date, which it can't do
// without, stands last; see runText.
func dayText(l *Line, day string) string {
	var b strings.Builder
	b.WriteString("\n[[check_unit.day]]\n")
	for _, key := range l.typed {
		b.WriteString(key + " = " + listed(l.values[key]) + "\n")
	}
	if l.remarks != "" {
		b.WriteString("remarks = " + record.Quote(l.remarks) + "\n")
	}
	return b.String() + "date = " + day + "\n"
}

// writeCheck appends the check unit's reading to bench.toml, and tells how it stands to
// the other days.
func (d *Dialogue) writeCheck(l *Line, now time.Time, sure bool) Reply {
	b := d.book
	held, err := takeLock(b.root, "bench.toml")
	if err != nil {
		return Reply{Err: err}
	}
	defer held.free()
	if _, err := b.refresh(); err != nil {
		return Reply{Err: err}
	}
	day := now.Format(time.DateOnly)
	if b.checkOpen(now) == "" {
		d.checking = false
		return Reply{Err: fmt.Errorf("the check unit was read on %s already\nhint: a second reading of a day is written into bench.toml by hand", day)}
	}
	was := b.texts[benchFile]
	add := appendix(was, dayText(l, day))
	text := slices.Concat(was, add)
	bench, problems := b.decodeBench(text)
	if problems.Errors() {
		return Reply{Err: b.refusedCheck(problems)}
	}
	days := bench.CheckUnit.Readings
	if question := oddCheck(days); question != "" && !sure {
		d.pending = &pending{func(time.Time) Reply { return d.writeCheck(l, now, true) }}
		return Reply{Said: append(l.said(), question), Asks: true}
	}
	if err := appendTo(b.root, benchFile, was, add); err != nil {
		return Reply{Err: err}
	}
	b.texts[benchFile], b.content.Bench = text, bench
	d.checking, d.before = false, nil
	return Reply{Said: append(l.said(), checkSaid(b.content, day)...)}
}

// refusedCheck says why a day can't be written.
func (b *Book) refusedCheck(problems record.Problems) error {
	if days := b.content.Bench.CheckUnit.Readings; len(days) > 0 && !days[0].Headed() {
		return fmt.Errorf("the days of the check unit stand in a list, which can't be added to\nhint: write them as [[check_unit.day]] tables in bench.toml first")
	}
	for _, p := range problems {
		if p.Severity == record.Error {
			return fmt.Errorf("%s\nhint: %s", p.Summary, p.Hint)
		}
	}
	return nil
}

// oddCheck asks about a last day that is far from all others; empty where it isn't.
func oddCheck(days []record.CheckDay) string {
	last := days[len(days)-1].OutV
	e := expected{}
	for i, d := range days[:len(days)-1] {
		if e.high = math.Max(e.high, d.OutV.Value); i == 0 || d.OutV.Value < e.low {
			e.low = d.OutV.Value
		}
	}
	if !e.known() || last.Value > e.low/farCheck && last.Value < e.high*farCheck {
		return ""
	}
	return fmt.Sprintf("check unit reads %s%sV, expected about %s%sV (%s before): a meter on the wrong range or on DC, another load, the gain changed?",
		last.Text, nbsp, quantity.Significant(e.middle(), 3), nbsp, counted(len(days)-1, "day"))
}

// checkSaid tells how the check unit stands on a day.
func checkSaid(c *record.Content, day string) []string {
	check := sheet.CheckUnit(c)
	if check == nil {
		return nil
	}
	var out []string
	for _, d := range check.Days {
		if d.Date == day {
			out = append(out, fmt.Sprintf("check unit written: %s, %s%s%% from the mean of %s", d.Power.Text, signed(d.DeviationPct), nbsp, counted(len(check.Days), "day")))
		}
	}
	for i, f := range sheet.BenchFindings(c) {
		if strings.Contains(f.Text, "check unit on "+day) {
			out = append(out, told(sheet.BenchFindings(c)[i:i+1])...)
		}
	}
	return out
}

// decodeBench reads a text as the site's bench, and checks it beside the methods.
func (b *Book) decodeBench(text []byte) (*record.Bench, record.Problems) {
	bench, problems := record.DecodeBench(&record.File{Name: benchFile, Text: text})
	c := *b.content
	c.Bench, c.Records = bench, nil
	problems = append(problems, c.Check()...)
	problems.Sort()
	return bench, problems
}
