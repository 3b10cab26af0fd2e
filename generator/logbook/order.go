package logbook

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wattsheet/generator/record"
)

// channelKeys are the readings of which there is one a driven channel, wholeKeys
// those of the whole run, as the record calls them.
var (
	channelKeys = []string{"power_w", "out_v", "thdn_pct", "load_c"}
	wholeKeys   = []string{"supply_v", "supply_a", "supply_w", "ambient_c", "freq_hz", "lasted_s", "warm_up_min"}
)

// unitOf is the unit of each key.
var unitOf = map[string]string{
	"power_w": "W", "out_v": "V", "thdn_pct": "%", "load_c": "°C", "supply_v": "V", "supply_a": "A",
	"supply_w": "W", "ambient_c": "°C", "freq_hz": "Hz", "lasted_s": "s", "warm_up_min": "min",
}

// saidOf is each reading in words.
var saidOf = map[string]string{
	"power_w": "output power", "out_v": "output", "thdn_pct": "distortion", "load_c": "load temperature",
	"supply_v": "supply", "supply_a": "supply current", "supply_w": "supply power",
}

func isKey(word string) bool { return unitOf[word] != "" }

func perChannel(key string) bool { return slices.Contains(channelKeys, key) }

// A slot is the place of one number in a line of readings.
type slot struct {
	key     string
	channel int // −1 for a reading of the whole run
}

// slots are the numbers of a line in their order. A reading that is taken a channel
// and named once stands for all driven channels; named as often as there are
// channels, for one of them each.
func slots(order []string, channels int) ([]slot, error) {
	times, next := map[string]int{}, map[string]int{}
	for _, key := range order {
		times[key]++
	}
	var out []slot
	for _, key := range order {
		n := times[key]
		switch {
		case !perChannel(key) && n > 1:
			return nil, fmt.Errorf("%s is named %d times\nhint: it is read once a run", key, n)
		case !perChannel(key):
			out = append(out, slot{key, -1})
		case n == 1:
			for i := range channels {
				out = append(out, slot{key, i})
			}
		case n != channels:
			return nil, fmt.Errorf("%s is named %d times, but %d channels are driven\nhint: name it once for all channels, or once for each", key, n, channels)
		default:
			out = append(out, slot{key, next[key]})
			next[key]++
		}
	}
	return out, nil
}

// once is an order with each reading named once.
func once(order []string) []string {
	var out []string
	for _, key := range order {
		if !slices.Contains(out, key) {
			out = append(out, key)
		}
	}
	return out
}

// readOrder reads the words behind order.
func readOrder(words []string, channels int) ([]string, error) {
	all := slices.Concat(channelKeys, wholeKeys)
	if len(words) == 0 {
		return nil, fmt.Errorf("order needs the readings in the order that the bench shows them\nhint: order out_v thdn_pct supply_v supply_a; there are %s", strings.Join(all, ", "))
	}
	var order []string
	for _, w := range words {
		w = strings.TrimSuffix(w, ",")
		if !isKey(w) {
			return nil, fmt.Errorf("%s is no reading\nhint: there are %s", short(w), strings.Join(all, ", "))
		}
		order = append(order, w)
	}
	if _, err := slots(order, channels); err != nil {
		return nil, err
	}
	return order, nil
}

// orderOf is the order in which the readings of a run are written in its record;
// nil where it has none.
func orderOf(r *record.Run) []string {
	type placed struct {
		key          string
		line, column int
	}
	var found []placed
	for _, key := range record.ReadQuantities {
		if len(r.Readings(key)) == 0 {
			continue
		}
		_, line, column := r.Key(key).Position()
		found = append(found, placed{key, line, column})
	}
	slices.SortFunc(found, func(a, b placed) int { return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(a.column, b.column)) })
	var order []string
	for _, f := range found {
		order = append(order, f.key)
	}
	return order
}

// usualOrder is the order for a record without a run: what the bench usually reads
// with, in the order of the schema.
func usualOrder(b *record.Bench, mains bool) []string {
	order := []string{"out_v"}
	if b.Usual.PowerW.Given() && !b.Usual.OutV.Given() {
		order = []string{"power_w"}
	}
	if b.Usual.ThdnPct.Given() {
		order = append(order, "thdn_pct")
	}
	order = append(order, "supply_v")
	current := "supply_a"
	if mains {
		current = "supply_w"
	}
	if len(b.Readers(current)) > 0 {
		order = append(order, current)
	}
	return order
}
