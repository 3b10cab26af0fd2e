package logbook

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// longestLine is how many bytes a line may have: far more than any bench shows.
const longestLine = 1000

// outcomes are the words that tell how a run ended.
var outcomes = []string{"completed", "protected", "fuse", "supply-limit", "stopped"}

// A Line is one run as it was typed in a line.
type Line struct {
	values  map[string][]string // numbers as TOML writes them, by key, one a channel
	typed   []string            // the keys in the order typed
	outcome string              // empty: completed
	remarks string
	// otherwise are the numbers that were read in another way than they were typed, with
	// a decimal comma or a prefix: as typed, and as read.
	otherwise [][2]string
}

// plainLine refuses what nobody types at a bench.
func plainLine(line string) error {
	switch {
	case len(line) > longestLine:
		return fmt.Errorf("the line has more than %d characters\nhint: one line is one run; nothing was written", longestLine)
	case !utf8.ValidString(line):
		return fmt.Errorf("the line has bytes that are not UTF-8 text\nhint: type it again; nothing was written")
	}
	for _, r := range line {
		if r != '\t' && (unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp)) {
			return fmt.Errorf("the line has a character that can't be seen, U+%04X\nhint: type it again; nothing was written", r)
		}
	}
	return nil
}

// ParseLine reads one run from a line: the readings in the given order for the
// driven channels, each with its unit or without; the word of an outcome before or
// behind them; key=value for what isn't in the order; - for a reading that wasn't
// taken; and a remark behind #. The error is one for people.
func ParseLine(line string, order, channels []string) (*Line, error) {
	if err := plainLine(line); err != nil {
		return nil, err
	}
	places, err := slots(order, len(channels))
	if err != nil {
		return nil, err
	}
	l := &Line{values: map[string][]string{}}
	numbers, remark, _ := strings.Cut(line, "#")
	l.remarks = strings.TrimSpace(remark)
	var readings, named []string
	for _, word := range joinUnits(strings.Fields(numbers)) {
		switch {
		case slices.Contains(outcomes, strings.ToLower(word)):
			outcome := strings.ToLower(word)
			if l.outcome != "" && l.outcome != outcome {
				return nil, fmt.Errorf("the run ended in two ways, %s and %s\nhint: one of %s", l.outcome, outcome, strings.Join(outcomes, ", "))
			}
			l.outcome = outcome
		case strings.Contains(word, "="):
			named = append(named, word)
		default:
			readings = append(readings, word)
		}
	}
	switch {
	case len(readings) == 0 && l.ended():
	case len(readings) != len(places):
		return nil, l.miscounted(readings, places, channels)
	default:
		if err := l.fill(readings, places, channels); err != nil {
			return nil, err
		}
	}
	for _, word := range named {
		if err := l.named(word); err != nil {
			return nil, err
		}
	}
	return l, nil
}

// ended reports whether the unit or the tester ended the run: it may then have no
// readings.
func (l *Line) ended() bool {
	return l.outcome == "protected" || l.outcome == "fuse" || l.outcome == "stopped"
}

// joinUnits puts a unit that stands by itself behind the number before it, and
// takes off the commas and semicolons between numbers.
func joinUnits(words []string) []string {
	var out []string
	for _, w := range words {
		if cut := strings.TrimRight(w, ",;"); cut != "" {
			w = cut
		}
		if _, _, ok := unitAt(w); ok && len(out) > 0 {
			if before := out[len(out)-1]; before != "" && before[len(before)-1] >= '0' && before[len(before)-1] <= '9' {
				out[len(out)-1] = before + w
				continue
			}
		}
		out = append(out, w)
	}
	return out
}

// named takes key=value, for a reading of the whole run.
func (l *Line) named(word string) error {
	key, value, _ := strings.Cut(word, "=")
	if !slices.Contains(wholeKeys, key) {
		return fmt.Errorf("%s can't be given as key=value\nhint: these can: %s", short(key), strings.Join(wholeKeys, ", "))
	}
	if l.values[key] != nil {
		return fmt.Errorf("%s is given twice\nhint: one reading a run", key)
	}
	if key == "freq_hz" {
		if _, err := readFrequency(value); err != nil {
			return err
		}
	}
	return l.take(slot{key, -1}, key, value)
}

// take reads one number into its place.
func (l *Line) take(at slot, called, word string) error {
	t, err := readNumber(word)
	if err != nil {
		return err
	}
	if t.unit != "" && t.unit != unitOf[at.key] {
		return fmt.Errorf("%s is in %s, but %s stands for %s, in %s\nhint: two readings swapped, or another order: the word order changes it", word, t.unit, word, called, unitOf[at.key])
	}
	if t.otherwise {
		l.otherwise = append(l.otherwise, [2]string{word, t.text + nbsp + unitOf[at.key]})
	}
	if l.values[at.key] == nil {
		l.typed = append(l.typed, at.key)
	}
	l.values[at.key] = append(l.values[at.key], t.text)
	return nil
}

// said tells, in one line, how numbers were read, where that isn't plain.
func (l *Line) said() []string {
	switch len(l.otherwise) {
	case 0:
		return nil
	case 1:
		return []string{l.otherwise[0][0] + " was read as " + l.otherwise[0][1]}
	}
	var read []string
	for _, o := range l.otherwise {
		read = append(read, o[1])
	}
	return []string{"read as " + strings.Join(read, ", ")}
}

// fill puts the readings into their places.
func (l *Line) fill(readings []string, places []slot, channels []string) error {
	missing := map[string]int{}
	for i, at := range places {
		if readings[i] == "-" || readings[i] == "−" {
			missing[at.key]++
			continue
		}
		if missing[at.key] > 0 {
			break
		}
		if err := l.take(at, called(at, channels), readings[i]); err != nil {
			return err
		}
	}
	for _, at := range places {
		if n := missing[at.key]; n > 0 && at.channel >= 0 && n < len(channels) {
			return fmt.Errorf("%s is there for some channels and not for others\nhint: read it on all driven channels or on none, or say which were driven: channels %s", at.key, channels[0])
		}
	}
	return nil
}

// called is a reading's name with its channel.
func called(at slot, channels []string) string {
	if at.channel < 0 || len(channels) < 2 {
		return at.key
	}
	return at.key + " " + channels[at.channel]
}

// miscounted is the error for a line with too many or too few readings.
func (l *Line) miscounted(readings []string, places []slot, channels []string) error {
	var names []string
	for _, at := range places {
		names = append(names, called(at, channels))
	}
	for _, w := range readings {
		if _, err := readNumber(w); err != nil && w != "-" && w != "−" {
			return err
		}
	}
	verb := "are"
	if len(readings) == 1 {
		verb = "is"
	}
	if l.ended() {
		return fmt.Errorf("%d %s typed, but a run has %d: %s\nhint: of a run that ended so name what was read: %s supply_v=14.05", len(readings), verb, len(places), strings.Join(names, ", "), l.outcome)
	}
	return fmt.Errorf("%d %s typed, but a run has %d: %s\nhint: - stands for one that wasn't read; order changes which there are", len(readings), verb, len(places), strings.Join(names, ", "))
}
