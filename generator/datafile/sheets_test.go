package datafile_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/datafile"
	"wattsheet/generator/site"
	"wattsheet/testdata/lifetime"
)

// today is a day on which all of the demo may be seen.
var today = time.Date(2026, 11, 26, 12, 0, 0, 0, time.UTC)

// Every sheet of the demo and of a large site has the texts and numbers that encoding/json
// writes, laid out by the rules, and reads back as what was written.
func TestSheetJSONIsEncodingJSON(t *testing.T) {
	large := t.TempDir()
	if err := lifetime.Write(large, 2); err != nil {
		t.Fatal(err)
	}
	captures := 0
	for _, root := range []string{large, "../.."} {
		s, problems, err := site.Load(root, today)
		if err != nil || problems.Errors() || len(s.Sheets) == 0 {
			t.Fatalf("%s: %v, %v", root, err, problems)
		}
		for _, s := range s.Sheets {
			got, err := datafile.JSON(s)
			if err != nil {
				t.Fatal(err)
			}
			captures += len(s.Captures)
			if want := datafile.LaidOutIs(t, datafile.Of(s)); !bytes.Equal(got, want) {
				t.Errorf("%s: sheet.json isn't laid out as it should be: %s", s.Slug, firstDifference(got, want))
			}
			var back datafile.Sheet
			if err := json.Unmarshal(got, &back); err != nil {
				t.Fatal(err)
			}
			if again := datafile.LaidOut(&back); !bytes.Equal(again, got) {
				t.Errorf("%s: what was read back is written otherwise: %s", s.Slug, firstDifference(again, got))
			}
		}
	}
	if captures == 0 {
		t.Error("no sheet has a capture")
	}
}

// firstDifference is the first line in which two files differ.
func firstDifference(got, want []byte) string {
	a, b := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return fmt.Sprintf("line %d: got %s, want %s", i+1, a[i], b[i])
		}
	}
	return fmt.Sprintf("got %d lines, want %d", len(a), len(b))
}
