package logbook

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"wattsheet/generator/record"
)

// ohms is a resistance as it is typed: the unit may stand by itself, or be left out.
var ohms = regexp.MustCompile(`(?i)^([0-9.,]+)[ \t]*(ohms?|Ω|Ω)?$`)

// takeLoad takes loads of the bench by their ids, or a nominal resistance in ohms. A comma
// stands between ids, or else is a decimal one. Digits alone are no resistance: whoever
// types them may mean an element of the bank, which is better known than its name.
func (d *Dialogue) takeLoad(words []string) error {
	bench := d.book.content.Bench
	var ids []string
	for _, l := range bench.Loads {
		ids = append(ids, l.ID)
	}
	hint := fmt.Sprintf("\nhint: there are %s; one that isn't among them is named by its ohms: load 4ohm", strings.Join(ids, ", "))
	if len(words) == 0 {
		return fmt.Errorf("load needs a load of bench.toml for each driven channel%s", hint)
	}
	typed := strings.Join(words, " ")
	words = strings.Fields(strings.ReplaceAll(typed, ",", " "))
	unknown := firstUnknown(bench, words)
	if m := ohms.FindStringSubmatch(typed); m != nil && unknown != "" {
		t, err := readNumber(m[1])
		switch {
		case err != nil:
			return err
		case m[2] == "":
			return fmt.Errorf("there is no load %s in bench.toml%s", short(typed), elements(bench, t.text, hint))
		}
		d.loads, d.loadOhm = nil, t.text
		return nil
	}
	if unknown != "" {
		return fmt.Errorf("there is no load %s in bench.toml%s", short(unknown), hint)
	}
	d.loads, d.loadOhm = words, ""
	return nil
}

// firstUnknown is the first word that is no load of the bench; empty where all are.
func firstUnknown(bench *record.Bench, words []string) string {
	for _, w := range words {
		if bench.Load(w) == nil {
			return w
		}
	}
	return ""
}

// elements is the hint for a bare number of ohms: the loads of the bench that have them.
func elements(bench *record.Bench, ohm, otherwise string) string {
	nominal, _ := strconv.ParseFloat(ohm, 64) // plain digits, as readNumber leaves them
	var of []string
	for _, l := range bench.Loads {
		if math.Abs(l.NominalOhm.Value-nominal) <= 0.01*nominal {
			of = append(of, l.ID)
		}
	}
	if len(of) == 0 {
		return strings.Replace(otherwise, "load 4ohm", "load "+ohm+"ohm", 1)
	}
	return fmt.Sprintf("\nhint: of %s Ω there are %s; load %sohm is one that isn't among them", ohm, strings.Join(of, ", "), ohm)
}
