package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"wattsheet/generator/logbook"
	"wattsheet/generator/plan"
	"wattsheet/generator/record"
)

func logCommand() *command {
	c := &command{
		name: "log", does: "take readings at the bench and append them to a record", takes: "UNIT [--readings LINE] [--method ID] [--load IDS]\n       [--channels NAMES] [--order KEYS] [--invalid REASON] [--yes] [--root DIR]",
		about: `Asks for readings, a line a run, in the order that the bench shows them, with
units or without: 74.3, 0.0743kW, 14.31V. Method, load, channels and order are
those of the record's last run until a word changes them; a record without runs
begins with the first run of its plan (see wattsheet help plan), and the word
next goes on in it (next 3: with its third). A run that ended otherwise takes a
word: protected, fuse, supply-limit, stopped. help, typed in the log, lists the
words.

Each run is appended to record.toml at once, behind what stands there, and is
on the disk when its power, efficiency, level, verdicts so far and findings are
printed. A reading far from what is claimed or was read before is asked about
first, and so are a few findings: efficiency above 1, a line typed twice. No
byte of the record is ever changed; a wrong run is marked invalid and made
again. A log that is killed loses at most the line being typed. Two at once on
one record are refused.

On a day on which the bench's check unit wasn't read, its reading is asked for
first, and goes into bench.toml.

With --readings it writes one run and ends. The first of a record then needs
--method and --load, as no plan is followed; what is doubtful is refused
unless --yes is given. The lines may also come through a pipe.

` + safety,
		flags: []option{
			{"readings", "LINE", "one run, as it would be typed"},
			{"method", "ID", "its method; that of the last run if not given"},
			{"load", "IDS", "a load of bench.toml for each driven channel, or 4ohm"},
			{"channels", "NAMES", "the driven channels, L+R for a bridged pair, or all"},
			{"order", "KEYS", "the readings in their order, as \"out_v supply_v\""},
			{"invalid", "REASON", "mark the last run invalid"},
			{"yes", "", "write a run also when something is doubtful"},
			rootOption,
		},
		examples: []string{"wattsheet log ottersprocket-20", "wattsheet log ottersprocket-20 --readings protected --root demo"},
	}
	c.run = func(u *ui, args []string) int { return runLog(u, c, args) }
	return c
}

// safety stands where the program is used beside a hot bench.
const safety = `Outputs may exceed 50 V AC, load banks burn, and sound at this power harms
hearing: follow the maker's instructions and local codes, or leave it to a
qualified person.`

func runLog(u *ui, c *command, args []string) int {
	values := map[string]string{"root": "."}
	given := map[string]*string{}
	texts := make([]string, len(c.flags))
	for i, o := range c.flags {
		texts[i] = values[o.name]
		given[o.name] = &texts[i]
	}
	words, status, ok := c.read(u, args, given, 1)
	if !ok {
		return status
	}
	if len(words) == 0 {
		return u.misused(fmt.Errorf("log needs a unit\nhint: wattsheet log UNIT; UNIT is the name of its folder in content/units"))
	}
	book, err := logbook.Open(*given["root"], words[0])
	if err != nil {
		return u.noBook(err)
	}
	defer book.Close()
	one := *given["readings"] != "" || *given["invalid"] != ""
	d, said := logbook.Begin(book, plannedFor(u.clock()), u.clock(), !one)
	for _, line := range said {
		if one {
			u.note("", "%s", line)
		} else {
			u.lines("", line)
		}
	}
	status = u.once(d, flagLines(given), *given["yes"] != "")
	if one || status != exitDone {
		return status
	}
	return u.converse(d)
}

// plannedFor gives the log the bench plan for a day: one place says what to expect.
func plannedFor(now time.Time) logbook.Planner {
	return func(c *record.Content, rec *record.Record) []logbook.Planned {
		var out []logbook.Planned
		for _, r := range plan.Make(c, rec, now.Format(time.DateOnly)).Runs {
			p := logbook.Planned{
				Method: r.Method, FreqHz: float64(r.FreqHz), Bridged: r.Bridged, SupplyV: float64(r.Supply.V),
				EfficiencyPct: float64(r.Supply.EfficiencyPct), Claims: r.Claims, With: map[string]string{}, ReadAs: map[string]string{},
			}
			for _, o := range r.Outputs {
				p.Outputs = append(p.Outputs, logbook.PlannedOutput{Channel: o.Channel, Load: o.Load, LoadOhm: float64(o.LoadOhm), PowerW: float64(o.W), V: float64(o.V)})
			}
			for _, m := range r.Meters {
				if m.Other {
					p.With[m.Reads] = m.Instrument
				}
				if m.Held != "" {
					p.ReadAs[m.Reads] = m.Held
				}
			}
			for _, f := range r.Flags {
				p.Cautions = append(p.Cautions, f.Text+". "+f.Caution)
			}
			out = append(out, p)
		}
		return out
	}
}

// noBook says why a record can't be logged on, or a line not be taken.
func (u *ui) noBook(err error) int {
	if none := (*logbook.NoUnitError)(nil); errors.As(err, &none) {
		err = fmt.Errorf("%w\nhint: %s", err, didYouMean(none.Name, none.Known, "the units are "))
	}
	if torn := (*logbook.TornError)(nil); errors.As(err, &torn) {
		u.problems(torn.Problems)
	}
	if problems := (record.Problems)(nil); errors.As(err, &problems) {
		u.problems(problems)
		u.note("wattsheet check says it again once they are mended", "%s; nothing can be logged", tally(problems))
		return exitFailed
	}
	return u.failed(err)
}

// flagLines are the lines that flags stand for, in the order in which they have to be
// said.
func flagLines(given map[string]*string) []string {
	var lines []string
	for _, name := range []string{"invalid", "method", "channels", "load", "order"} {
		if *given[name] != "" {
			lines = append(lines, name+" "+*given[name])
		}
	}
	if *given["readings"] != "" {
		lines = append(lines, *given["readings"])
	}
	return lines
}

// once says lines as if they were typed. It stops at the first that isn't taken.
func (u *ui) once(d *logbook.Dialogue, lines []string, sure bool) int {
	for i, line := range lines {
		r := d.Take(line, u.clock())
		last := i == len(lines)-1
		if r.Asks && sure {
			u.reply(r)
			r = d.Take("yes", u.clock())
		}
		if r.Err != nil || r.Asks || last || strings.HasPrefix(line, "invalid ") {
			u.reply(r)
		}
		switch {
		case r.Err != nil:
			return exitFailed
		case r.Asks:
			return u.failed(fmt.Errorf("nothing was written, as something is doubtful\nhint: --yes writes it all the same"))
		}
	}
	return exitDone
}

// reply tells the answer to a line.
func (u *ui) reply(r logbook.Reply) {
	for _, line := range r.Said {
		u.lines("", line)
	}
	if r.Err == nil {
		return
	}
	text, hint, hinted := strings.Cut(r.Err.Error(), "\nhint: ")
	if problems := (record.Problems)(nil); errors.As(r.Err, &problems) || strings.Contains(text, "\n") {
		u.noBook(r.Err)
		return
	}
	u.narrow("wattsheet: " + text)
	if hinted {
		u.narrow("hint: " + hint)
	}
}

// converse takes lines until the word done or the end of the input. Where they don't
// come from a terminal, each is printed behind its prompt, as a terminal would.
func (u *ui) converse(d *logbook.Dialogue) int {
	in := bufio.NewReader(u.stdin)
	typed := isTerminal(u.stdin)
	for {
		prompt := strings.Split(d.Prompt(), "\n")
		for len(prompt) > 1 {
			u.lines("", prompt[0])
			prompt = prompt[1:]
		}
		u.text(harmless(prompt[0]))
		line, err := readLine(in)
		if !typed || err != nil {
			const most = 200
			u.text(harmless(string([]rune(line)[:min(most, len([]rune(line)))])) + "\n")
		}
		if err != nil {
			if line != "" {
				u.note("", "the last line has no line end, so it may be cut short; it was not taken")
			}
			u.reply(d.Take("done", u.clock()))
			return exitDone
		}
		r := d.Take(line, u.clock())
		u.reply(r)
		if r.Ended {
			return exitDone
		}
	}
}

// readLine reads a line, of a very long one as much as tells that it is too long.
// With an error it gives what stood before it.
func readLine(in *bufio.Reader) (string, error) {
	const most = 4096
	var line []byte
	for {
		part, err := in.ReadSlice('\n')
		if len(line) < most {
			line = append(line, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case err != nil && !errors.Is(err, io.EOF):
			return string(line), fmt.Errorf("the input can't be read: %w", err)
		case err != nil:
			return string(line), err
		}
		return strings.TrimRight(string(line), "\r\n"), nil
	}
}
