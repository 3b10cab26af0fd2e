package ledger

import (
	"errors"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/record"
)

// statusOf follows a ledger with the fixture and edits.
func statusOf(t *testing.T, l *Ledger, edits ...edit) *Status {
	t.Helper()
	return Follow(l, sheetOf(t, edits...))
}

// Each problem's summary, without the rest.
func summaries(s *Status) (out []string) {
	for _, p := range s.Problems {
		out = append(out, p.Summary)
	}
	return out
}

func has(list []string, part string) bool {
	return slices.ContainsFunc(list, func(s string) bool { return strings.Contains(s, part) })
}

var lowered = edit{"record", "out_v = 20.10", "out_v = 19.10"}

func TestAChangeNeedsACorrectionOfExactlyIt(t *testing.T) {
	l := sealOf(t, nil, day1)
	for _, row := range []struct {
		name, changes string
		uncovered     int      // results
		says          []string // in the problems
	}{
		{"none", "", 10, []string{
			"claim 8-ohm isn't as entry 1 sealed it: the verdict was open (close), now short; 2 more of its results changed",
			"run r3 isn't as entry 1 sealed it: channel L / power was (50.4 ± 1.1) W, now (45.49 ± 0.98) W; 4 more of its results changed",
			"load line thd1 L isn't as entry 1 sealed it: E was (22.09 ± 0.33) V, now (20.83 ± 0.29) V; 1 more of its results changed",
		}},
		{"all", `"run r3", "claim 8-ohm", "load line thd1 L"`, 0, nil},
		{"less", `"run r3", "load line thd1 L"`, 3, []string{"claim 8-ohm isn't as entry 1 sealed it"}},
		{"a part of a run", `"run r3 / channel L", "claim 8-ohm", "load line thd1 L"`, 2, []string{"run r3 isn't as entry 1 sealed it: total was"}},
		{"more", `"run r3", "claim 8-ohm", "load line thd1 L", "run r1"`, 0, []string{`nothing of "run r1" is another than as it was sealed`}},
		{"what isn't", `"run r3", "claim 8-ohm", "load line thd1 L", "run r"`, 0, []string{`nothing of "run r" is another than as it was sealed`}},
	} {
		edits := []edit{lowered}
		if row.changes != "" {
			edits = append(edits, correcting(row.changes))
		}
		st := statusOf(t, l, edits...)
		said := summaries(st)
		if len(st.Uncovered) != row.uncovered || len(said) != len(row.says) {
			t.Errorf("%s: %d are uncovered, want %d; it says %q", row.name, len(st.Uncovered), row.uncovered, said)
		}
		for _, want := range row.says {
			if !has(said, want) {
				t.Errorf("%s: it says %q, want %q", row.name, said, want)
			}
		}
		if _, err := Seal(l, st, day2, "", nil); (err == nil) != (len(row.says) == 0) {
			t.Errorf("%s: sealing it says %v", row.name, err)
		}
	}
}

// A change has one correction.
func TestACorrectionTooMany(t *testing.T) {
	st := statusOf(t, sealOf(t, nil, day1), lowered, correcting(`"run r3", "claim 8-ohm", "load line thd1 L"`), correcting(`"run r3 / channel L"`))
	if said := summaries(st); len(said) != 1 || said[0] != `what changed of "run r3 / channel L" is covered by an earlier correction already` {
		t.Errorf("it says %q", said)
	}
}

// Two corrections share what changed between them.
func TestTwoCorrections(t *testing.T) {
	st := statusOf(t, sealOf(t, nil, day1), lowered, correcting(`"run r3"`), correcting(`"claim 8-ohm", "load line thd1 L"`))
	if st.Problems.Errors() || len(st.Corrections) != 2 {
		t.Fatal(st.Problems)
	}
	if a, b := st.Corrections[0], st.Corrections[1]; len(a.Results) != 5 || a.VerdictChanged || len(b.Results) != 5 || !b.VerdictChanged || !st.VerdictChanged() {
		t.Errorf("they have %d and %d results", len(a.Results), len(b.Results))
	}
}

func TestWhatPagesAreTold(t *testing.T) {
	l, edits := three(t)
	st := statusOf(t, l, edits...)
	if st.Problems.Errors() || len(st.Unsealed) > 0 || len(st.Versions) != 3 || !st.Sealed() {
		t.Fatalf("%d versions, not sealed %v, %v", len(st.Versions), st.Unsealed, st.Problems)
	}
	if v := st.Versions; v[0].VerdictChanged || !v[1].VerdictChanged || v[2].VerdictChanged || v[1].Date != day2 || v[1].Digest != l.Entries[1].Digest {
		t.Errorf("the versions are %+v", v)
	}
	if len(st.Corrections) != 1 {
		t.Fatalf("there are %d corrections", len(st.Corrections))
	}
	c := st.Corrections[0]
	if c.Entry != 2 || c.NoticedBy != "a viewer" || c.Kind != "mistake" || !c.VerdictChanged {
		t.Errorf("the correction is %+v", c)
	}
	i := slices.IndexFunc(c.Results, func(k Corrected) bool { return k.Of == "claim 8-ohm" })
	if k := c.Results[i]; k.Was != "open (close)" || k.Now != "short" || !k.Verdict || k.Why != "run r3 was edited" {
		t.Errorf("the claim is corrected as %+v", k)
	}
	// a unit that was never sealed
	if st := statusOf(t, nil); st.Sealed() || st.Problems.Errors() || len(st.Unsealed) > 0 {
		t.Errorf("never sealed: %+v", st)
	}
}

// A correction that was sealed stays in the record as it is.
func TestCorrectionsStay(t *testing.T) {
	l, edits := three(t)
	for _, row := range []struct {
		name  string
		edits []edit
		says  []string
	}{
		{"taken out", []edit{edits[0], edits[2]}, []string{"the correction of 2026-06-01, on run r3, claim 8-ohm, load line thd1 L, was sealed by entry 2 and isn't here"}},
		{"reworded", append(slices.Clone(edits), edit{"record", "a viewer", "nobody"}), []string{
			"noticed_by of this correction isn't as entry 2 sealed it",
		}},
		{"of other things", append(slices.Clone(edits), edit{"record", `"claim 8-ohm", `, ""}), []string{
			"the correction of 2026-06-01, on run r3, claim 8-ohm, load line thd1 L, was sealed by entry 2 and isn't here",
			"the correction is of 2026-06-01, but what it corrects was sealed on 2026-07-05",
			`nothing of "run r3" is another than as it was sealed`, `nothing of "load line thd1 L" is another than as it was sealed`,
		}},
		{"nothing sealed", []edit{edits[1]}, nil},
	} {
		of := l
		if row.says == nil {
			of, row.says = nil, []string{"nothing of this unit was sealed, so there is nothing that a correction could tell of"}
		}
		said := summaries(statusOf(t, of, row.edits...))
		if len(said) != len(row.says) {
			t.Errorf("%s: it says %q", row.name, said)
		}
		for _, want := range row.says {
			if !has(said, want) {
				t.Errorf("%s: it says %q, want %q", row.name, said, want)
			}
		}
	}
}

// Put back to what was sealed, a result needs no correction; put back after it was
// corrected and sealed, it does.
func TestPuttingBack(t *testing.T) {
	first := sealOf(t, nil, day1)
	if st := statusOf(t, first); st.Problems.Errors() {
		t.Error(st.Problems)
	}
	l, edits := three(t)
	if st := statusOf(t, l, edits[1:]...); len(st.Uncovered) == 0 {
		t.Error("a corrected reading was put back silently")
	}
}

func TestSeal(t *testing.T) {
	l := sealOf(t, nil, day1)
	before := string(l.Text())
	if _, err := Seal(l, statusOf(t, l), day2, "again", nil); !errors.Is(err, ErrNothingNew) {
		t.Errorf("sealing the same again says %v", err)
	}
	changed := statusOf(t, l, lowered, correcting(`"run r3", "claim 8-ohm", "load line thd1 L"`))
	for date, says := range map[string]string{
		"2026-05-05T09:59:59+02:00": "is before entry 1, of " + day1,
		"2026-05-05":                "is no date and time",
	} {
		if _, err := Seal(l, changed, date, "", nil); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v", date, err)
		}
	}
	next, err := Seal(l, changed, day1, "", nil) // the same second is in order
	if err != nil || len(next.Entries) != 2 || string(l.Text()) != before {
		t.Errorf("%v, or the ledger given was changed", err)
	}
}

// The table that is printed is a correction of exactly what changed.
func TestThePrintedTableCovers(t *testing.T) {
	l := sealOf(t, nil, day1)
	table := strings.Join(statusOf(t, l, lowered).Table("2026-06-01"), "\n")
	for _, want := range []string{
		"date = 2026-06-01", `changes = ["claim 8-ohm", "run r3", "load line thd1 L"]`,
		"# claim 8-ohm: was open (close), now short\n", "# why: run r3 was edited",
	} {
		if !strings.Contains(table, want) {
			t.Errorf("the table has no %q:\n%s", want, table)
		}
	}
	filled := strings.ReplaceAll(table, `= "" #`, `= "in words" #`)
	if st := statusOf(t, l, lowered, edit{"record", "", "\n" + filled + "\n"}); st.Problems.Errors() || len(st.Uncovered) > 0 {
		t.Errorf("filled in, it says %v", st.Problems)
	}
}

// TestEveryKeyIsSealedOrNot holds each key of the files to a decision: it is part of
// what results rest on, or of the sealed words, and then stands in basis.go or words.go, or it only tells something.
func TestEveryKeyIsSealedOrNot(t *testing.T) {
	source, err := os.ReadFile("basis.go")
	more, errWords := os.ReadFile("words.go")
	captures, errCaptures := os.ReadFile("basis_capture.go")
	if err = errors.Join(err, errWords, errCaptures); err != nil {
		t.Fatal(err)
	}
	source = append(append(source, more...), captures...)
	told := map[string]string{
		"Run":            "id remarks driven load load_ohm with read_as hold video evidence",
		"Claim":          "id hold video",
		"Spec":           "id how remarks stated_to hold also also_unit video",
		"Thermal":        "spot how hold temp_f ambient_f video",
		"Unit":           "price price_date hold follows size_in mass_lb",
		"Settings":       "video",
		"Source":         "",
		"Contact":        "",
		"Reply":          "",
		"Function":       "name remarks hold video", // the name is in the digest's
		"Rule":           "acceptance",              // it sets met_from and short_to
		"Assume":         "",
		"Instrument":     "id name calibrated due rough range",
		"Range":          "",
		"Load":           "id name max_w rough",
		"Method":         "id title standard wording pool",
		"Pool":           "date runs",
		"Capture":        "id file publish remarks channel", // the file's bytes are sealed
		"CaptureChannel": "",
		"Supply":         "id name volts amps leads lead_mm2 lead_awg lead_cables lead_m",
		"Expect":         "class efficiency_pct", // for plans only
	}
	for _, one := range []any{record.Run{}, record.Claim{}, record.Spec{}, record.Thermal{}, record.Unit{}, record.Settings{}, record.Source{}, record.Contact{}, record.Reply{}, record.Function{}, record.Rule{}, record.Assume{}, record.Instrument{}, record.Range{}, record.Load{}, record.Method{}, record.Pool{}, record.Capture{}, record.CaptureChannel{}, record.Supply{}, record.Expect{}} {
		of := reflect.TypeOf(one)
		keys, known := told[of.Name()]
		if !known {
			t.Fatalf("%s is not in the list", of.Name())
		}
		for i := range of.NumField() {
			key := of.Field(i).Tag.Get("toml")
			if key == "" || key == "-" || slices.Contains(strings.Fields(keys), key) || slices.Contains(record.ReadQuantities, key) {
				continue
			}
			if !strings.Contains(string(source), fmt.Sprintf("%q", key)) && !strings.Contains(string(source), fmt.Sprintf("\"%s ", key)) && !strings.Contains(string(source), fmt.Sprintf("+%q", key)) {
				t.Errorf("%s has the key %s: seal it in basis.go or words.go, or list it here as one that changes no result", of.Name(), key)
			}
		}
	}
}

// An entry isn't older than what it seals: the fixture's runs were made on 4 May 2026.
func TestNothingIsSealedBeforeItWasMeasured(t *testing.T) {
	st := statusOf(t, nil)
	for date, says := range map[string]string{
		"2026-05-04T08:09:59Z":      "is before run r2 was made, on 2026-05-04T10:10:00+02:00",
		"2026-05-04T10:05:00+02:00": "is before run r2 was made, on 2026-05-04T10:10:00+02:00",
		"2026-05-04T08:10:00Z":      "",
	} {
		_, err := Seal(nil, st, date, "", nil)
		if (err == nil) != (says == "") || err != nil && !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q", date, err, says)
		}
	}
}

// A correction is made after what it corrects was sealed, or on that day.
func TestBackdatedCorrection(t *testing.T) {
	l := sealOf(t, nil, day1)
	covering := correcting(`"run r3", "claim 8-ohm", "load line thd1 L"`)
	for date, refused := range map[string]bool{"2019-01-01": true, "2026-05-04": true, day1[:10]: false, "2026-06-01": false} {
		dated := covering
		dated.with = strings.Replace(dated.with, "2026-06-01", date, 1)
		st := statusOf(t, l, lowered, dated)
		if got := strings.Contains(st.Problems.Error(), "but what it corrects was sealed on "+day1[:10]); got != refused {
			t.Errorf("%s: refused %t\n%v", date, got, st.Problems)
		}
	}
}
