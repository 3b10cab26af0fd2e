package logbook

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/record"
)

// Help is what the word help prints.
const Help = `a line is a run: its readings in the order of the prompt, with units or not
(74.3, 0.0743kW, 14.31V), one for each driven channel; - for one not read
with them on the line:
  protected, fuse, supply-limit, stopped: how the run ended
  lasted_s=138: and so freq_hz, ambient_c, warm_up_min
  # a remark, to the end of the line
words, which hold for the runs that follow:
  next: the first run of the plan that isn't made yet; next 3: its third
  method thd1: the method; alone it lists them
  load a4 b4: a load for each driven channel; or load 4ohm
  channels L R: the driven channels; L+R for a bridged pair; or all
  order out_v supply_v: the readings, in the order that the bench shows them
  freq 60: the signal's frequency; alone, the method's
  with out_v METER: a reading's instrument; alone, the bench's usual one
  read-as supply_v held-min: or held-max; alone, the mean
and:
  invalid REASON: marks the last run invalid; it stays in the record
  mark: the video begins now; mark 3:10, where its clock reads that now;
    mark second 3:10, where the record has several videos
  show: the set-up
  done: ends, and so does the end of the input
a written run is never changed: make another, and mark this one invalid
`

// verbs are the words that a line may begin with.
var verbs = []string{"next", "method", "load", "channels", "order", "freq", "with", "read-as", "invalid", "mark", "show", "help", "done"} // and skip, where the check unit is asked for

// isWord reports whether a line that begins so is no line of readings.
func isWord(first string) bool {
	letter := first[0] >= 'a' && first[0] <= 'z' || first[0] >= 'A' && first[0] <= 'Z'
	return letter && !slices.Contains(outcomes, strings.ToLower(first)) && !strings.Contains(first, "=")
}

// word does what a word says.
func (d *Dialogue) word(words []string, line string, now time.Time) Reply {
	verb, rest := strings.ToLower(words[0]), words[1:] // keyboards of telephones begin with a capital
	switch verb {
	case "invalid":
		return d.invalid(strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(line), words[0])))
	case "mark":
		return d.takeMark(rest, now)
	case "skip":
		return Reply{Said: []string{"there is nothing to skip"}}
	case "help":
		return Reply{Said: strings.Split(strings.TrimSuffix(Help, "\n"), "\n")}
	case "undo", "delete", "back":
		return Reply{Err: fmt.Errorf("a run that was written is never changed\nhint: invalid REASON marks the last one, which stays in the record; then make it again")}
	case "done", "quit", "exit", "end":
		r := Reply{Said: []string{counted(d.written, "run") + " written"}, Ended: true}
		if d.written > 0 {
			r.Said = append(r.Said, "next: wattsheet check lists what is odd, wattsheet build makes the pages")
		}
		return r
	}
	if !slices.Contains(verbs, verb) {
		all := verbs
		if d.checking {
			all = append([]string{"skip"}, verbs...)
		}
		return Reply{Err: fmt.Errorf("%s is no word of the log, and no reading\nhint: the words are %s; a run that ended otherwise: %s", short(words[0]), strings.Join(all, ", "), strings.Join(outcomes[1:], ", "))}
	}
	changed, err := d.book.refresh()
	if err != nil {
		return Reply{Err: err}
	}
	r := Reply{Said: d.again(changed)}
	before := d.setup
	if verb == "next" {
		next := d.takeNext(rest)
		r.Said, r.Err = append(r.Said, next.Said...), next.Err
	} else if r.Err = d.set(verb, rest); r.Err != nil {
		d.setup = before
	}
	if r.Err != nil {
		return r
	}
	r.Said = append(r.Said, d.say(&d.book.rec.Unit))
	if err := d.lacks(d.book.content, &d.book.rec.Unit); err != nil {
		r.Said = append(r.Said, beforeNext(err))
	}
	return r
}

// beforeNext says what a run still lacks.
func beforeNext(lack error) string {
	problem, hint, _ := strings.Cut(lack.Error(), "\nhint: ")
	return "before the next run: " + problem + ": " + hint
}

// set changes the set-up by a word; the word show changes nothing.
func (d *Dialogue) set(verb string, rest []string) (err error) {
	switch verb {
	case "method":
		return d.takeMethod(rest)
	case "load":
		return d.takeLoad(rest)
	case "channels":
		return d.takeChannels(rest)
	case "order":
		d.order, err = readOrder(rest, len(d.channels(&d.book.rec.Unit)))
	case "freq":
		return d.takeFreq(rest)
	case "with":
		return d.takeWith(rest)
	case "read-as":
		return d.takeReadAs(rest)
	}
	return err
}

func (d *Dialogue) takeMethod(words []string) error {
	var ids []string
	for _, m := range d.book.content.Methods.Methods {
		ids = append(ids, m.ID)
	}
	if len(words) != 1 || d.book.content.Method(words[0]) == nil {
		return fmt.Errorf("method needs one of methods.toml\nhint: there are %s", strings.Join(ids, ", "))
	}
	d.method = words[0]
	if !d.ofMethod(d.book.rec) {
		d.freqHz, d.readAs = "", nil
	}
	return nil
}

func (d *Dialogue) takeChannels(words []string) error {
	u := &d.book.rec.Unit
	hint := fmt.Sprintf("\nhint: the unit's are %s; a + joins a bridged pair; channels all drives all of them; commas part names that have blanks", strings.Join(u.Channels, ", "))
	if names := strings.Split(strings.Join(words, " "), ","); len(names) > 1 || len(words) > 0 && named(u.Channels, names[0]) {
		words = nil
		for _, n := range names {
			pair := strings.Split(n, "+")
			for i := range pair {
				pair[i] = strings.TrimSpace(pair[i])
			}
			words = append(words, strings.Join(pair, "+"))
		}
	}
	if len(words) == 0 {
		return fmt.Errorf("channels needs those that are driven%s", hint)
	}
	if len(words) == 1 && words[0] == "all" && !slices.Contains(u.Channels, "all") {
		words = nil
	}
	for _, w := range words {
		for _, name := range strings.Split(w, "+") {
			if !slices.Contains(u.Channels, name) {
				return fmt.Errorf("the unit has no channel %s%s", short(name), hint)
			}
		}
	}
	if twice := repeated(strings.Split(strings.Join(words, "+"), "+")); twice != "" {
		return fmt.Errorf("channel %s is named twice\nhint: a channel drives one load, or one bridged pair", short(twice))
	}
	if slices.Equal(words, u.Channels) {
		words = nil
	}
	d.driven = words
	if _, err := slots(d.order, len(d.channels(u))); err != nil {
		d.order = once(d.order)
	}
	return nil
}

// named reports whether a text names one of the channels, or a pair joined by a +, though
// there are blanks in it.
func named(channels []string, text string) bool {
	for _, name := range strings.Split(text, "+") {
		if !slices.Contains(channels, strings.TrimSpace(name)) {
			return false
		}
	}
	return true
}

// repeated is the first name that stands twice in a list.
func repeated(names []string) string {
	for i, n := range names {
		if slices.Contains(names[:i], n) {
			return n
		}
	}
	return ""
}

func (d *Dialogue) takeFreq(words []string) error {
	if len(words) == 0 {
		d.freqHz = ""
		return nil
	}
	t, err := readFrequency(strings.Join(words, ""))
	if err == nil {
		d.freqHz = t.text
	}
	return err
}

func (d *Dialogue) takeWith(words []string) error {
	d.with = clone(d.with)
	if len(words) < 1 || len(words) > 2 || !slices.Contains(record.ReadQuantities, words[0]) {
		return fmt.Errorf("with needs a reading and its instrument\nhint: with out_v METER; readings are %s", strings.Join(record.ReadQuantities, ", "))
	}
	if len(words) == 1 {
		delete(d.with, words[0])
		return nil
	}
	able := d.book.content.Bench.Readers(words[0])
	if !slices.Contains(able, words[1]) {
		return fmt.Errorf("%s reads no %s\nhint: in bench.toml these do: %s", short(words[1]), words[0], strings.Join(able, ", "))
	}
	d.with[words[0]] = words[1]
	return nil
}

func (d *Dialogue) takeReadAs(words []string) error {
	d.readAs = clone(d.readAs)
	ways := map[string]string{"power_w": "held-max", "out_v": "held-max", "supply_v": "held-min", "supply_a": "held-max"}
	switch {
	case len(words) == 0 || ways[words[0]] == "":
		return fmt.Errorf("read-as needs a reading and how it was taken\nhint: read-as supply_v held-min; readings are power_w, out_v, supply_v, supply_a")
	case len(words) == 1, words[1] == "mean":
		delete(d.readAs, words[0])
	case words[1] != ways[words[0]]:
		return fmt.Errorf("%s isn't read so\nhint: read-as %s %s, or mean", words[0], words[0], ways[words[0]])
	default:
		d.readAs[words[0]] = words[1]
	}
	return nil
}

// clone is a copy that can be written to.
func clone(m map[string]string) map[string]string {
	out := map[string]string{}
	for k, v := range m {
		out[k] = v
	}
	return out
}

func (d *Dialogue) invalid(reason string) Reply {
	if reason == "" {
		return Reply{Err: fmt.Errorf("invalid needs the reason\nhint: invalid meter was on DC; it is published with the run")}
	}
	id, err := d.book.invalidate(reason)
	if err != nil {
		return Reply{Err: err}
	}
	d.before = nil
	said := []string{id + " is marked invalid: " + reason}
	if _, err := d.book.root.Stat(path.Join(unitsFolder, d.book.slug, "ledger.toml")); err == nil {
		said = append(said, "the unit is sealed: where this run was, the next build asks for a [[correction]]")
	}
	rec := d.book.rec
	return Reply{Said: append(said, after(d.book.evaluate(rec, len(rec.Runs)-1), id)...)}
}
