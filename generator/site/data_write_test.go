package site

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"wattsheet/generator/sheet"
	"wattsheet/testdata/lifetime"
)

// Every sheet of the demo and of a large site is the bytes that encoding/json writes,
// and reads back as what was written.
func TestSheetJSONIsEncodingJSON(t *testing.T) {
	root := t.TempDir()
	if err := lifetime.Write(root, 2); err != nil {
		t.Fatal(err)
	}
	for _, s := range append(loaded(t, root).Sheets, loaded(t, "../..").Sheets...) {
		got, err := sheetJSON(s)
		if err != nil {
			t.Fatal(err)
		}
		d := dataOf(s)
		want, err := json.MarshalIndent(d, "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		if want = append(want, '\n'); !bytes.Equal(got, want) {
			t.Errorf("%s: sheet.json isn't what encoding/json writes: %s", s.Slug, firstDifference(string(got), string(want)))
		}
		var back dataSheet
		if err := json.Unmarshal(got, &back); err != nil {
			t.Fatal(err)
		}
		again := indented(&back)
		if !bytes.Equal(again, got) {
			t.Errorf("%s: what was read back is written otherwise: %s", s.Slug, firstDifference(string(again), string(got)))
		}
	}
}

// What a sheet may hold but the demo's don't.
func TestIndentedOddValues(t *testing.T) {
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
	for _, v := range []all{
		{},
		{Text: "<b>&\"\\/\u2028\u2029\u2027\x00\x1f\x7f\t\r\nΩ ± − \xff \U0001f50a", None: []string{}, Yes: true, N: -12, X: 1e-9},
		{Text: "\u2028", Null: &at, Nil: []string{"a", "", "<"}, Some: []number{0, number(math.Inf(1)), number(math.NaN()), 1e15, 1e300, 5e-324}},
		{Text: "r1 & r2", Nil: []string{"<Ω>", "&&", "a>"}},
		{Inner: inner{"x", &at}, Deep: []*inner{nil, {}, {At: &at}}, Lists: [][]inner{{}, {{}, {Text: "y"}}, nil}},
	} {
		want, err := json.MarshalIndent(v, "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		if got := indented(v); !bytes.Equal(got, append(want, '\n')) {
			t.Errorf("got\n%s\nwant\n%s", got, want)
		}
	}
}

// A type that the writer doesn't know is told of, and not written wrongly.
func TestIndentedRefuses(t *testing.T) {
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
			indented(v)
		}()
	}
}
