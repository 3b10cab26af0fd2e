package datafile

import (
	"bytes"
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/sheet"
)

// A jsonNode is a value of a JSON text: a list or an object, or anything else.
type jsonNode struct {
	key     string // with the colon, of a member of an object
	open    byte   // 0 for what is neither a list nor an object
	text    string // of that
	members []jsonNode
}

// jsonTree takes a text without blanks apart.
func jsonTree(text string) (n jsonNode, rest string) {
	if text[0] != '[' && text[0] != '{' {
		end := 1
		for inside := text[0] == '"'; inside || end < len(text) && !strings.ContainsRune(",:]}", rune(text[end])); end++ {
			switch {
			case inside && text[end] == '\\':
				end++
			case inside && text[end] == '"':
				inside = false
			}
		}
		return jsonNode{text: text[:end]}, text[end:]
	}
	n.open, rest = text[0], text[1:]
	for rest[0] != ']' && rest[0] != '}' {
		rest = strings.TrimPrefix(rest, ",")
		var m, key jsonNode
		if n.open == '{' {
			key, rest = jsonTree(rest)
			rest = rest[1:]
		}
		if m, rest = jsonTree(rest); n.open == '{' {
			m.key = key.text + ": "
		}
		n.members = append(n.members, m)
	}
	return n, rest[1:]
}

func (n *jsonNode) breaks() bool {
	return slices.ContainsFunc(n.members, func(m jsonNode) bool { return m.open != 0 })
}

// laid lays a value out as the comment of laidOut says, from texts of known lengths.
func (n *jsonNode) laid(margin string) string {
	if n.open == 0 {
		return n.text
	}
	shut := map[byte]string{'[': "]", '{': "}"}[n.open]
	inner, breaks := margin+"  ", n.breaks()
	var texts []string
	for i := range n.members {
		texts = append(texts, n.members[i].key+n.members[i].laid(inner))
	}
	if !breaks {
		return string(n.open) + strings.Join(texts, ", ") + shut
	}
	var lines []string
	full := true
	for i, text := range texts {
		if i < len(texts)-1 {
			text += ","
		}
		alone := n.open == '[' || n.members[i].breaks()
		if last := len(lines) - 1; full || alone || len(inner+lines[last]+" "+strings.TrimSuffix(text, ",")+",") > 120 {
			lines = append(lines, text)
		} else {
			lines[last] += " " + text
		}
		full = alone
	}
	return string(n.open) + "\n" + inner + strings.Join(lines, "\n"+inner) + "\n" + margin + shut
}

// laidOutIs is a value as laidOut should write it: encoding/json's texts and numbers.
func laidOutIs(t *testing.T, v any) []byte {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	tree, rest := jsonTree(string(text))
	if rest != "" {
		t.Fatalf("%s is left over", rest)
	}
	return []byte(tree.laid("") + "\n")
}

// What a sheet may hold but the demo's don't.
func TestLaidOutOddValues(t *testing.T) {
	type inner struct {
		Text string  `json:"text,omitempty"`
		At   *number `json:"at,omitempty"`
	}
	type all struct {
		Text  string    `json:"text"`
		Yes   bool      `json:"yes,omitempty"`
		N     int       `json:"n,omitempty"`
		X     number    `json:"x,omitempty"`
		Null  *number   `json:"null"`
		Nil   []string  `json:"nil"`
		None  []string  `json:"none"`
		Some  []number  `json:"some,omitempty"`
		Inner inner     `json:"inner,omitempty"`
		Deep  []*inner  `json:"deep"`
		Lists [][]inner `json:"lists,omitempty"`
	}
	at := number(-0.25)
	odd := []all{
		{},
		{Text: "<b>&\"\\/\u2028\u2029\u2027\x00\x1f\x7f\t\r\nΩ ± − \xff \U0001f50a", None: []string{}, Yes: true, N: -12, X: 1e-9},
		{Text: "\u2028", Null: &at, Nil: []string{"a", "", "<"}, Some: []number{0, number(math.Inf(1)), number(math.NaN()), 1e15, 1e300, 5e-324}},
		{Text: "r1 & r2", Nil: []string{"<Ω>", "&&", "a>"}},
		{Inner: inner{"x", &at}, Deep: []*inner{nil, {}, {At: &at}}, Lists: [][]inner{{}, {{}, {Text: "y"}}, nil}},
	}
	for n := range 130 { // the line is full with each member in turn
		odd = append(odd, all{Text: strings.Repeat("x", n), Yes: true, N: 1, Some: []number{1, 2}})
	}
	for _, v := range odd {
		if got, want := laidOut(v), laidOutIs(t, v); !bytes.Equal(got, want) {
			t.Errorf("got\n%s\nwant\n%s", got, want)
		}
	}
}

// Every byte, at every place of a string, is written as encoding/json does.
func TestAppendTextIsEncodingJSON(t *testing.T) {
	for c := range 256 {
		for at := range 20 {
			text := []byte("0123456789abcdefghij")
			text[at] = byte(c)
			for end := at + 1; end <= len(text); end++ {
				want, err := json.Marshal(string(text[:end]))
				if got := AppendQuoted(nil, string(text[:end])); err != nil || !bytes.Equal(got, want) {
					t.Errorf("%q is written %s, want %s", text[:end], got, want)
				}
			}
		}
	}
}

// A type that the writer doesn't know is told of, and not written wrongly.
func TestLaidOutRefuses(t *testing.T) {
	for _, v := range []any{
		map[string]int{}, struct{ Untagged int }{}, struct {
			*sheet.Sheet `json:"sheet"`
		}{}, 1.5, struct {
			N int `json:"n,string"`
		}{}, []any{1},
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%T is written", v)
				}
			}()
			laidOut(v)
		}()
	}
}
