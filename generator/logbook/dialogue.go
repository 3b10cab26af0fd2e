package logbook

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A Dialogue is what is said over a book: lines are taken one by one, and each is
// answered. It has no clock: each line comes with the instant at which it was typed.
type Dialogue struct {
	book *Book
	setup
	before   *sheet.Sheet // of the record as it stands; nil where it isn't evaluated
	pending  *pending     // what waits for a yes
	checking bool         // the check unit's reading is asked for
	written  int
	marked   bool      // the video's clock was started …
	mark     time.Time // … then
	video    string    // its id, where it was named
}

// A pending line waits for a yes, as something about it is doubtful.
type pending struct {
	write func(now time.Time) Reply
}

// A Reply is the answer to a line.
type Reply struct {
	Said []string // what is told, in order
	Err  error    // why the line wasn't taken, for people; nil when it was
	// Asks tells that nothing was written yet, and that the next line has to be a yes.
	Asks  bool
	Ended bool
}

// caution stands before the first prompt: what is at hand when readings are taken.
const caution = "caution: load banks burn, outputs may exceed 50" + nbsp + "V AC, supplies give hundreds of amperes, sound at this power harms hearing. " +
	"Wire with the supply off; follow the maker's instructions and local codes, or leave it to a qualified person."

// Begin starts a dialogue over a book on a day: the set-up is the last run's. It tells
// what to know before the first line. Aloud, that is all of it, and the check unit's
// reading is asked for first, where the bench has a check unit that wasn't read on
// that day; else only what is out of the usual. Aloud and without a run in the record,
// the set-up is that of the plan's first run.
func Begin(b *Book, planner Planner, now time.Time, aloud bool) (*Dialogue, []string) {
	b.planner = planner
	d := &Dialogue{book: b, setup: setupOf(b.rec, b.content.Bench)}
	first := aloud && len(b.rec.Runs) == 0 && len(b.planned()) > 0 // a script has to say what it measures
	if first {
		d.plan(&b.planned()[0])
	}
	u := &b.rec.Unit
	var said []string
	if aloud {
		said = append(said, caution, fmt.Sprintf("%s %s: %s in %s", u.Maker, u.Model, counted(len(b.rec.Runs), "run"), b.name))
	}
	if b.Completed {
		said = append(said, "a log was stopped while it wrote; what was missing of that line is written now")
	}
	if b.Unended {
		said = append(said, "the last line of the record has no line end: look whether it was cut short")
	}
	if aloud && first {
		said = append(said, d.sayPlanned(0)...)
		if len(b.planned()) > 1 {
			said = append(said, "the word next goes on to the plan's next run")
		}
	}
	if s := d.setup.say(u); aloud && s != "" {
		said = append(said, s)
	}
	if err := d.lacks(b.content, u); aloud && err != nil {
		said = append(said, beforeNext(err))
	}
	if open := b.checkOpen(now); open != "" {
		d.checking = aloud
		said = append(said, open)
	}
	if aloud {
		said = append(said, "a line is a run: its readings, in the order of the prompt; help lists the words, done ends")
	}
	return d, said
}

// Prompt is what stands before the line that is typed next. Where the readings' names
// would leave little room for them, they are a line of their own before it.
func (d *Dialogue) Prompt() string {
	switch {
	case d.pending != nil:
		return "write it all the same? y or n [n]: "
	case d.checking:
		return "check unit (" + strings.Join(d.book.checkOrder(), ", ") + "; or skip): "
	}
	const most = 40
	id, order := d.book.rec.NextRunID(), d.sayOrder(d.channels(&d.book.rec.Unit))
	if len([]rune(order)) > most {
		return order + "\n" + id + ": "
	}
	return id + " (" + order + "): "
}

// Take answers a line that was typed at an instant.
func (d *Dialogue) Take(line string, now time.Time) Reply {
	if err := plainLine(line); err != nil {
		return Reply{Err: err}
	}
	words := strings.Fields(line)
	if d.pending != nil {
		return d.answer(line, words, now)
	}
	switch {
	case len(words) == 0:
		return Reply{}
	case d.checking:
		return d.takeCheck(line, words, now)
	case isWord(words[0]):
		return d.word(words, line, now)
	}
	l, err := ParseLine(line, d.order, d.channels(&d.book.rec.Unit))
	if err != nil {
		return Reply{Err: err}
	}
	return d.write(l, now, false)
}

// answer takes the answer to a question. A line that is neither yes nor no isn't
// lost: the doubtful one wasn't written, and this is the next.
func (d *Dialogue) answer(line string, words []string, now time.Time) Reply {
	p := d.pending
	d.pending = nil
	switch strings.ToLower(strings.Join(words, " ")) {
	case "y", "yes":
		return p.write(now)
	case "", "n", "no":
		return Reply{Said: []string{"not written"}}
	}
	r := d.Take(line, now)
	r.Said = append([]string{"the line before was not written"}, r.Said...)
	return r
}

// write appends a run and tells what it gave. When something about it is doubtful and
// nobody is sure, it asks, and nothing is written yet.
func (d *Dialogue) write(l *Line, now time.Time, sure bool) Reply {
	changed, err := d.book.refresh()
	if err != nil {
		return Reply{Err: err}
	}
	r := Reply{Said: d.again(changed)}
	if err := d.lacks(d.book.content, &d.book.rec.Unit); err != nil {
		return Reply{Said: r.Said, Err: err}
	}
	p, err := d.book.propose(d.setup, l, now, d.markOf(now))
	if err != nil {
		return Reply{Said: r.Said, Err: err}
	}
	before := d.standing(len(p.rec.Runs))
	s := d.book.evaluate(p.rec, len(p.rec.Runs)-1)
	findings := slices.DeleteFunc(newFindings(s, before), func(f sheet.Finding) bool { return f.ID == "claim-without-run" || f.ID == "video-missing" }) // they are still to come
	if !sure {
		questions := d.book.doubts(p.made)
		for i, f := range findings {
			far := f.ID == "power-far-off" && len(questions) > 0 // said already
			again := slices.Contains(ofPairs, f.ID) && slices.ContainsFunc(findings[:i], func(o sheet.Finding) bool { return o.ID == f.ID })
			if slices.Contains(asked, f.ID) && !far && !again {
				questions = append(questions, f.Text+"; usual cause: "+f.Cause)
			}
		}
		if len(questions) > 0 {
			d.pending = &pending{func(time.Time) Reply { return d.write(l, now, true) }}
			return Reply{Said: slices.Concat(r.Said, l.said(), questions), Asks: true}
		}
	}
	if err := d.book.append(p.add, p.rec); err != nil {
		d.before = nil
		return Reply{Said: r.Said, Err: err}
	}
	d.written++
	d.before = s
	r.Said = append(r.Said, p.id+" written"+d.markSaid(now))
	r.Said = append(r.Said, l.said()...)
	r.Said = append(r.Said, echo(s, runOf(s, p.id))...)
	if l.ended() && l.values["supply_v"] == nil {
		r.Said = append(r.Said, "without a supply voltage it counts for no claim; these two lines mend it",
			"invalid no supply voltage", l.outcome+" supply_v="+d.book.usualSupply())
		findings = slices.DeleteFunc(findings, func(f sheet.Finding) bool { return f.ID == "ended-without-supply" }) // said just now
	}
	r.Said = append(r.Said, told(findings)...)
	return r
}

// again tells that files were changed by another program, where they were.
func (d *Dialogue) again(changed bool) []string {
	if !changed {
		return nil
	}
	d.before = nil
	return []string{"the record or the bench was changed by another program, and was read again"}
}

// standing is the sheet of the record as it stands, to tell new findings from old
// ones; nil where a record of so many runs isn't evaluated as a whole.
func (d *Dialogue) standing(runs int) *sheet.Sheet {
	switch {
	case runs > wholeUpTo:
		d.before = nil
	case d.before == nil:
		d.before = d.book.evaluate(d.book.rec, len(d.book.rec.Runs)-1)
	}
	return d.before
}

// told are findings in lines.
func told(findings []sheet.Finding) []string {
	const most = 8
	var out []string
	for i, f := range findings {
		if i == most {
			return append(out, fmt.Sprintf("and %s more; wattsheet check lists them", counted(len(findings)-most, "finding")))
		}
		out = append(out, "finding "+f.ID+": "+f.Text)
		if f.Cause != "" {
			out = append(out, "cause: "+f.Cause)
		}
	}
	return out
}

// invalidate marks the record's last run invalid, by lines behind it. It can where
// that run's table is the last thing in the file.
func (b *Book) invalidate(reason string) (id string, err error) {
	if _, err := b.refresh(); err != nil {
		return "", err
	}
	n := len(b.rec.Runs)
	if n == 0 {
		return "", fmt.Errorf("the record has no run yet\nhint: invalid marks the last run")
	}
	last := &b.rec.Runs[n-1]
	if last.Invalid != "" {
		return "", fmt.Errorf("%s is marked invalid already: %s\nhint: change the reason in the record by hand", last.ID, last.Invalid)
	}
	line := "invalid = " + record.Quote(reason)
	add := appendix(b.text, line+"\n")
	rec, problems := b.decode(slices.Concat(b.text, add))
	if problems.Errors() || len(rec.Runs) != n || rec.Runs[n-1].Invalid != reason {
		_, at, _ := last.Position()
		return "", fmt.Errorf("%s can't be marked from here, as something stands behind it in %s\nhint: write this into its table, which begins in line %d: %s", last.ID, b.name, at, line)
	}
	return last.ID, b.append(add, rec)
}

// counted is "1 run", "2 runs".
func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}
