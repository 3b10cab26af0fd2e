package verify

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"wattsheet/generator/quantity"
)

// A leaf is a number, a text, a truth value, a null or an empty list of a JSON
// document, and where it stands: claims[2].channels[0].mean.value.
type leaf struct {
	path  string
	value any // json.Number, string, bool, nil, or emptiness
}

// emptiness is the value of a list or an object without anything in it.
type emptiness string

var errDeep = errors.New("it is nested too deeply")

// leaves gives a valid JSON document's leaves in the order of the file. A key
// that stands twice in an object is an error: readers differ in which they take.
func leaves(data []byte) ([]leaf, error) {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	var out []leaf
	err := leavesOf(d, "", 0, &out)
	return out, err
}

func leavesOf(d *json.Decoder, path string, depth int, out *[]leaf) error {
	token, err := d.Token()
	if err != nil {
		return err
	}
	const deepest = 50 // far more than the format has
	if depth > deepest {
		return errDeep
	}
	switch token {
	case json.Delim('{'):
		return leavesOfObject(d, path, depth, out)
	case json.Delim('['):
		n := 0
		for ; d.More(); n++ {
			if err := leavesOf(d, fmt.Sprintf("%s[%d]", path, n), depth+1, out); err != nil {
				return err
			}
		}
		if n == 0 {
			*out = append(*out, leaf{path, emptiness("[]")})
		}
		_, err = d.Token()
		return err
	}
	*out = append(*out, leaf{path, token})
	return nil
}

func leavesOfObject(d *json.Decoder, path string, depth int, out *[]leaf) error {
	seen := map[string]bool{}
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return err
		}
		name, _ := key.(string)
		if seen[name] {
			return fmt.Errorf("it has the key %q twice in %s", name, orWhole(path))
		}
		seen[name] = true
		at := name
		if path != "" {
			at = path + "." + name
		}
		if err := leavesOf(d, at, depth+1, out); err != nil {
			return err
		}
	}
	if len(seen) == 0 {
		*out = append(*out, leaf{path, emptiness("{}")})
	}
	_, err := d.Token()
	return err
}

func orWhole(path string) string {
	if path == "" {
		return "the file"
	}
	return path
}

// text is a leaf for people.
func (l leaf) text() string {
	switch v := l.value.(type) {
	case json.Number:
		return v.String()
	case string:
		return strconv.Quote(v)
	case bool:
		return strconv.FormatBool(v)
	case emptiness:
		return string(v)
	}
	return "null"
}

// sameValue compares leaves of one path: numbers by at most one unit of the twelfth
// significant digit, for processors differ in the last ones; everything else as
// it is.
func sameValue(a, b any) bool {
	x, xNumber := a.(json.Number)
	y, yNumber := b.(json.Number)
	if !xNumber || !yNumber {
		return a == b
	}
	v, errV := x.Float64()
	w, errW := y.Float64()
	switch {
	case errV != nil || errW != nil:
		return x == y
	}
	return quantity.Agree(v, w)
}

// compared pairs the leaves of the published document with the recomputed ones,
// in the order of the published one; what only the recomputed one has stands at
// the end.
func compared(published, recomputed []leaf) []Compared {
	of := make(map[string]leaf, len(recomputed))
	for _, l := range recomputed {
		of[l.path] = l
	}
	out := make([]Compared, 0, len(published))
	for _, l := range published {
		c := Compared{Path: l.path, Published: l.text(), Recomputed: nothing, Derived: derived(l.path)}
		if r, there := of[l.path]; there {
			c.Recomputed, c.Agrees = r.text(), sameValue(l.value, r.value)
			delete(of, l.path)
		}
		out = append(out, c)
	}
	for _, l := range recomputed {
		if _, left := of[l.path]; left {
			out = append(out, Compared{Path: l.path, Published: nothing, Recomputed: l.text(), Derived: derived(l.path)})
		}
	}
	return out
}

// nothing stands for what one of the two documents doesn't have.
const nothing = "nothing"

// The keys below claims, runs and so on that the file was given, by their heads;
// whatever else stands there was derived.
var givenKeys = map[string][]string{
	"claims":   {"id", "stated"},
	"runs":     {"id", "at", "method", "invalid", "outcome", "nominal_ohm", "freq_hz", "ambient_c", "warm_up_min", "lasted_s", "remarks", "readings"},
	"specs":    {"id", "name", "unit", "limit", "stated", "stated_to", "tolerance", "tolerance_pct", "readings", "pm", "how", "printed_in", "remarks"},
	"thermals": {"spot", "temp_c", "at_min", "ambient_c", "emissivity", "after", "how", "pm"},
}

// derivedHeads are the parts of the file in which everything was derived.
var derivedHeads = []string{"name", "headline", "disclosure", "tested", "sources", "ratios", "load_lines", "supply_exponent", "repeats", "at_loads"}

// derived reports whether what stands at a path follows from something else in
// the file.
func derived(path string) bool {
	head, rest := pathHead(path)
	for _, d := range derivedHeads {
		if head == d {
			return true
		}
	}
	keys, part := givenKeys[head]
	if !part {
		return false
	}
	key, rest := pathHead(rest)
	if head == "runs" && key == "channels" {
		last, _ := pathHead(rest)
		return last != "channel" && last != "load" && last != "nominal_ohm"
	}
	for _, k := range keys {
		if key == k {
			return false
		}
	}
	return true
}

// pathHead takes the first key off a path, without its index.
func pathHead(path string) (head, rest string) {
	head, rest, _ = strings.Cut(path, ".")
	head, _, _ = strings.Cut(head, "[")
	return head, rest
}
