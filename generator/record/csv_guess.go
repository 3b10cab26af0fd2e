package record

import (
	"bytes"
	"regexp"
	"strings"
)

// A Layout is how a table of comma-separated values seems to be made: a guess, to be
// shown to whoever knows.
type Layout struct {
	Separator    string // a word of [RunsFile.Separator]
	HeadLine     int    // 0: there is none
	DecimalComma bool
	Columns      []LayoutColumn // all columns of the head line
}

// A LayoutColumn is one column: its head, and the key of a run that it is probably for.
type LayoutColumn struct {
	Head string
	Key  string // empty: nothing that a run takes
	Unit string // empty: the key's own
}

// looked is how many lines a guess looks at.
const looked = 60

// GuessLayout looks at the first lines of a table. Channels are the unit's: their
// names in heads don't matter for what a column is.
func GuessLayout(f *File, channels []string) Layout {
	text := endedByLineFeeds(withoutMark(f.Text))
	lines := bytes.SplitN(text, []byte("\n"), looked+1)
	lines = lines[:min(len(lines), looked)]
	l := Layout{Separator: guessSeparator(lines), HeadLine: 1}
	by := string(separators[l.Separator])
	most := 0
	for i, line := range lines {
		columns, known := l.heads(cut(line, by), channels)
		if known > most || i == 0 {
			most, l.HeadLine, l.Columns = known, i+1, columns
		}
	}
	l.DecimalComma = l.Separator != "comma" && decimalCommas(lines[l.HeadLine:], by)
	return l
}

// guessSeparator takes the character that stands in most lines; of two the one that
// is rarer in texts and numbers.
func guessSeparator(lines [][]byte) string {
	best, most := "comma", 0
	for _, word := range []string{"tab", "semicolon", "comma"} {
		in := 0
		for _, line := range lines {
			in += min(bytes.Count(line, []byte(string(separators[word]))), 1)
		}
		if in > most {
			best, most = word, in
		}
	}
	return best
}

// cut is a line's cells, near enough for a guess.
func cut(line []byte, by string) (cells []string) {
	for cell := range strings.SplitSeq(strings.ToValidUTF8(string(line), ""), by) {
		cells = append(cells, strings.TrimSpace(strings.Trim(strings.TrimSpace(cell), `"`)))
	}
	return cells
}

var (
	commaNumber, pointNumber = regexp.MustCompile(`^-?\d+,\d+$`), regexp.MustCompile(`^-?\d+\.\d+$`)
	// thousandsToo is a number whose comma may stand between thousands: 1,250.
	thousandsToo = regexp.MustCompile(`^-?[1-9]\d{0,2},\d{3}$`)
)

// decimalCommas reports whether numbers have commas, not all of them where thousands may
// begin, and none has a point.
func decimalCommas(lines [][]byte, by string) bool {
	commas, points := 0, 0
	for _, line := range lines {
		for _, cell := range cut(line, by) {
			switch {
			case thousandsToo.MatchString(cell): // says nothing
			case commaNumber.MatchString(cell):
				commas++
			case pointNumber.MatchString(cell):
				points++
			}
		}
	}
	return commas > 0 && points == 0
}

// heads says what each head of a line is for, and how many are for something.
func (l *Layout) heads(cells, channels []string) (columns []LayoutColumn, known int) {
	taken := map[string]bool{}
	s := runSchema()
	for _, head := range cells {
		c := LayoutColumn{Head: head}
		if key, unit := keyOf(head, channels); key != "" && (!taken[key] || s.several(key)) {
			c.Key, c.Unit, taken[key] = key, unit, true
			known++
		}
		columns = append(columns, c)
	}
	return columns, known
}

// headWords are what people write over a column, by what it is for; a word in another
// unit is for another key (common practice, no source).
var headWords = map[string][]string{
	"id":          {"run", "run id", "id", "nr", "no"},
	"method":      {"method"},
	"load":        {"load", "load id", "load element"},
	"load_ohm":    {"load", "ohm", "ohms", "load ohm", "load ohms", "impedance", "resistance"},
	"driven":      {"driven", "channels driven"},
	"power_w":     {"power", "output power", "out power", "watts", "output", "out", "pout", "p out", "p"},
	"out_v":       {"out", "output", "vout", "v out", "out v", "output v", "output voltage", "output volts", "volts", "out volts", "uout", "u out", "u"},
	"thdn_pct":    {"thd", "thdn", "thd+n", "thd n", "distortion"},
	"supply_v":    {"supply", "supply v", "supply voltage", "supply volts", "battery", "batt", "battery voltage", "battery volts", "vsupply", "v supply", "dc volts"},
	"supply_a":    {"supply a", "supply current", "supply amps", "supply", "current", "amps", "amperes", "clamp", "battery current", "i"},
	"supply_w":    {"mains", "mains w", "mains power", "mains watts", "supply w", "supply power"},
	"freq_hz":     {"frequency", "freq", "f"},
	"load_c":      {"load temperature", "load temp", "element temperature"},
	"ambient_c":   {"ambient", "air", "ambient temperature", "air temperature", "room"},
	"warm_up_min": {"warm up"},
	"lasted_s":    {"duration", "lasted"},
	"at":          {"time", "at", "timestamp", "date time", "date/time", "date and time"},
	"outcome":     {"outcome", "ended"},
	"remarks":     {"remarks", "remark", "notes", "note", "comment", "comments"},
}

var headUnit = regexp.MustCompile(`^(.*?)[ _]*[(\[]\s*([^)\]]+?)\s*[)\]]\s*$`)

// keyOf is the key that a head stands for, and its unit where that isn't the key's own.
func keyOf(head string, channels []string) (key, unit string) {
	if f := runSchema().byKey[head]; f != nil && f.sub == nil {
		return head, ""
	}
	if m := headUnit.FindStringSubmatch(head); m != nil {
		return keyOfWords(withoutChannel(m[1], channels), m[2])
	}
	if key, unit = keyOfWords(withoutChannel(head, channels), ""); key != "" {
		return key, unit
	}
	if words, unit := unitBehind(head); unit != "" {
		return keyOfWords(withoutChannel(words, channels), unit)
	}
	return "", ""
}

// unitBehind parts a head from its last word, which may be a unit: THD L %.
func unitBehind(head string) (words, last string) {
	parts := strings.FieldsFunc(head, func(r rune) bool { return r == ' ' || r == '_' || r == '\t' })
	if len(parts) < 2 {
		return head, ""
	}
	return strings.Join(parts[:len(parts)-1], " "), parts[len(parts)-1]
}

// keyOfWords is the key of the words of a head with a unit.
func keyOfWords(words, unit string) (string, string) {
	for _, f := range runSchema().fields {
		for _, word := range headWords[f.key] {
			if word != words {
				continue
			}
			power, known := unitsOf(f.key)[unit]
			switch {
			case unit == "" && (words != "load" || f.key == "load"):
				return f.key, ""
			case known && power == 0:
				return f.key, ""
			case known:
				return f.key, unit
			}
		}
	}
	return "", ""
}

// HeadUnit is the unit that a head says in brackets, where a column of the key can be in
// it; "" where that is the key's own.
func HeadUnit(key, head string) string {
	_, unit := unitBehind(head)
	if m := headUnit.FindStringSubmatch(head); m != nil {
		unit = m[2]
	}
	if unitsOf(key)[unit] != 0 {
		return unit
	}
	return ""
}

// withoutChannel is a head in small letters, without the name of a channel behind it.
func withoutChannel(head string, channels []string) string {
	words := strings.Fields(strings.NewReplacer("_", " ", "-", " ", ":", " ").Replace(strings.ToLower(head)))
	drop := func(word string) bool {
		for _, c := range append([]string{"l", "r", "left", "right", "ch", "channel"}, channels...) {
			if strings.EqualFold(word, c) {
				return true
			}
		}
		return strings.Trim(strings.TrimPrefix(word, "ch"), "0123456789") == ""
	}
	for len(words) > 1 && drop(words[len(words)-1]) {
		words = words[:len(words)-1]
	}
	return strings.Join(words, " ")
}

// DecodeRunsFile reads what [runs_file] of a record says, written as a file of its own.
func DecodeRunsFile(f *File) (*RunsFile, Problems) { return decode(f, new(RunsFile), "[runs_file]") }
