package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wattsheet/generator/record"
)

// An importMap says how a table is understood.
type importMap struct {
	separator    string
	head         int
	decimalComma bool
	offset       string
	columns      []importColumn
	unused       []string // heads that nothing is taken from
}

// An importColumn is where a key comes from: a column, or what all rows have.
type importColumn struct {
	key, head, unit, is string
	number              int // from 1; 0: by its head
}

// mapping is the guess, corrected by the flags.
func (i *importing) mapping(guess record.Layout) (*importMap, error) {
	m := &importMap{separator: guess.Separator, head: guess.HeadLine, decimalComma: guess.DecimalComma || i.comma != "", offset: i.offset}
	if i.separator != "" {
		m.separator = i.separator
	}
	if i.head != "" {
		n, err := strconv.Atoi(i.head)
		if err != nil || n < 0 {
			return nil, fmt.Errorf("--head is %q, which is no line\nhint: its number, from 1, or 0 where there is none", i.head)
		}
		m.head = n
	}
	asked, err := askedColumns(i.columns, guess)
	if err != nil {
		return nil, err
	}
	for _, all := range []importColumn{
		{key: "method", is: i.method},
		{key: "load", is: strings.Join(strings.Fields(i.load), ",")}, // as in the log: ids have no blanks
		{key: "driven", is: i.driven},
	} {
		if all.is != "" {
			asked = append(asked, all)
		}
	}
	settled := map[string]bool{}
	for _, c := range asked {
		settled[c.key] = true
		if c.head != "" || c.number > 0 || c.is != "" {
			m.columns = append(m.columns, c)
		}
	}
	guessed := m.head == guess.HeadLine && m.separator == guess.Separator
	for n, c := range guess.Columns {
		if guessed && c.Key != "" && !settled[c.Key] {
			m.columns = append(m.columns, importColumn{key: c.Key, head: c.Head, unit: c.Unit, number: n + 1})
		} else if guessed && !m.uses(c.Head, n+1) && c.Head != "" {
			m.unused = append(m.unused, c.Head)
		}
	}
	return m, nil
}

// uses reports whether a column is one of those named.
func (m *importMap) uses(head string, number int) bool {
	for _, c := range m.columns {
		if c.is == "" && (c.number == number || c.number == 0 && c.head == head) {
			return true
		}
	}
	return false
}

// askedColumns reads --columns.
func askedColumns(text string, guess record.Layout) (columns []importColumn, err error) {
	for pair := range strings.SplitSeq(text, ";") {
		if strings.TrimSpace(pair) == "" {
			continue
		}
		key, head, ok := strings.Cut(pair, "=")
		if !ok {
			return nil, fmt.Errorf("--columns has %q, which names no column\nhint: key=head, as in out_v=Left; out_v=Right", strings.TrimSpace(pair))
		}
		key, unit, _ := strings.Cut(strings.TrimSpace(key), ":")
		c := importColumn{key: strings.TrimSpace(key), head: strings.TrimSpace(head), unit: strings.TrimSpace(unit)}
		if c.unit == "" {
			c.unit = record.HeadUnit(c.key, c.head)
		}
		if n, err := strconv.Atoi(c.head); err == nil && n > 0 && !headed(guess, c.head) {
			c.head, c.number = "", n
		}
		columns = append(columns, c)
	}
	return columns, nil
}

func headed(guess record.Layout, head string) bool {
	for _, c := range guess.Columns {
		if c.Head == head {
			return true
		}
	}
	return false
}

// table is the same as a [runs_file] of a record has it.
func (m *importMap) table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "separator = %s\nhead_line = %d\ndecimal_comma = %t\n", record.Quote(m.separator), m.head, m.decimalComma)
	if m.offset != "" {
		fmt.Fprintf(&b, "utc_offset = %s\n", record.Quote(m.offset))
	}
	b.WriteString("column = [\n")
	for _, c := range m.columns {
		fmt.Fprintf(&b, "  { key = %s", record.Quote(c.key))
		switch {
		case c.is != "":
			fmt.Fprintf(&b, ", is = %s", record.Quote(c.is))
		case c.number > 0:
			fmt.Fprintf(&b, ", number = %d", c.number)
		default:
			fmt.Fprintf(&b, ", head = %s", record.Quote(c.head))
		}
		if c.unit != "" {
			fmt.Fprintf(&b, ", unit = %s", record.Quote(c.unit))
		}
		b.WriteString(" },\n")
	}
	b.WriteString("]\n")
	return b.String()
}

// say prints how the table is understood.
func (m *importMap) say(u *ui, unit *record.Unit) {
	where := fmt.Sprintf("heads in line %d", m.head)
	if m.head == 0 {
		where = "no heads"
	}
	u.say("%s between cells, %s, decimal %s", m.separator, where, either(m.decimalComma, "comma", "point"))
	channel := map[string]int{}
	for _, c := range m.columns {
		channel[c.key]++
		from := "column " + c.head
		switch {
		case c.is != "":
			from = c.is + " for all rows"
		case c.head == "":
			from = "column " + strconv.Itoa(c.number)
		}
		if c.unit != "" {
			from += ", in " + c.unit
		}
		key := c.key
		if m.several(c.key) {
			key += " " + strconv.Itoa(channel[c.key])
			if n := channel[c.key]; n <= len(unit.Channels) && !m.drives() {
				key = c.key + " of " + unit.Channels[n-1]
			}
		}
		u.say("  %-20s %s", key, from)
	}
	if len(m.unused) > 0 {
		u.say("  not taken: %s", strings.Join(m.unused, ", "))
	}
	if !slices.ContainsFunc(m.columns, func(c importColumn) bool { return c.key == "supply_v" }) {
		u.say("  no column is supply_v, without which a run counts for no claim:")
		u.say("  --columns supply_v=HEAD takes one")
	}
}

// several reports whether a key has more than one column.
func (m *importMap) several(key string) bool {
	n := 0
	for _, c := range m.columns {
		if c.key == key {
			n++
		}
	}
	return n > 1
}

// drives reports whether rows say which channels they drive.
func (m *importMap) drives() bool {
	for _, c := range m.columns {
		if c.key == "driven" {
			return true
		}
	}
	return false
}
