package logbook

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/record"
)

// runText is a run as it is appended to a record, with a blank line before it.
//
// What a run can't do without, its method and its load, stands last: a write that
// was cut short, wherever, then leaves a record that doesn't pass its checks, and is
// noticed. It must not look like a whole run that lacks its last readings.
func runText(id string, s setup, l *Line, at time.Time, mark string) string {
	var b strings.Builder
	set := func(key, value string) { b.WriteString(key + " = " + value + "\n") }
	b.WriteString("\n[[run]]\n")
	set("id", record.Quote(id))
	for _, key := range l.typed {
		set(key, listed(l.values[key]))
	}
	if s.freqHz != "" && l.values["freq_hz"] == nil {
		set("freq_hz", s.freqHz)
	}
	if l.outcome != "" && l.outcome != "completed" {
		set("outcome", record.Quote(l.outcome))
	}
	if l.remarks != "" {
		set("remarks", record.Quote(l.remarks))
	}
	set("at", at.Format(time.RFC3339))
	if mark != "" {
		set("video", record.Quote(mark))
	}
	if with := inline(s.with, l); with != "" {
		set("with", with)
	}
	if how := inline(s.readAs, l); how != "" {
		set("read_as", how)
	}
	if len(s.driven) > 0 {
		set("driven", quotedList(s.driven, true))
	}
	set("method", record.Quote(s.method))
	if len(s.loads) > 0 {
		set("load", quotedList(s.loads, false))
	} else {
		set("load_ohm", s.loadOhm)
	}
	return b.String()
}

// listed writes one number, or an array of them.
func listed(numbers []string) string {
	if len(numbers) == 1 {
		return numbers[0]
	}
	return "[" + strings.Join(numbers, ", ") + "]"
}

func quotedList(names []string, always bool) string {
	quotes := make([]string, len(names))
	for i, n := range names {
		quotes[i] = record.Quote(n)
	}
	if len(quotes) == 1 && !always {
		return quotes[0]
	}
	return "[" + strings.Join(quotes, ", ") + "]"
}

// inline writes a table of words for those readings that the line has.
func inline(words map[string]string, l *Line) string {
	var parts []string
	for _, key := range record.ReadQuantities {
		if words[key] != "" && l.values[key] != nil {
			parts = append(parts, key+" = "+record.Quote(words[key]))
		}
	}
	if parts == nil {
		return ""
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

// A proposal is a run that could be appended: its text, and the record with it.
type proposal struct {
	id   string
	add  []byte
	rec  *record.Record
	made *record.Run // the new run in rec
}

// propose decodes the record with a run behind it.
func (b *Book) propose(s setup, l *Line, at time.Time, mark string) (*proposal, error) {
	p := &proposal{id: b.rec.NextRunID()}
	p.add = appendix(b.text, runText(p.id, s, l, at, mark))
	rec, problems := b.decode(slices.Concat(b.text, p.add))
	if problems.Errors() {
		return nil, b.refused(problems)
	}
	if len(rec.Runs) != len(b.rec.Runs)+1 {
		return nil, fmt.Errorf("a run can't be written behind the end of %s\nhint: write its runs as [[run]] tables", b.name)
	}
	p.rec, p.made = rec, &rec.Runs[len(rec.Runs)-1]
	return p, nil
}

// refused says what the record's decoder or checks have against a run, or that it
// can't be written behind the end at all.
func (b *Book) refused(problems record.Problems) error {
	for _, p := range problems {
		if p.Severity != record.Error {
			continue
		}
		if inlineRuns(b.rec) {
			return fmt.Errorf("the runs of %s stand in a list, run = [ … ], which can't be added to\nhint: write them as [[run]] tables first", b.name)
		}
		return fmt.Errorf("%s\nhint: %s", p.Summary, p.Hint)
	}
	return nil
}

// inlineRuns reports whether the runs are written as run = [ … ]: their tables then
// stand behind the key's place.
func inlineRuns(rec *record.Record) bool {
	return len(rec.Runs) > 0 && !rec.Runs[0].Headed()
}
