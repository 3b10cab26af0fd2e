package logbook

import (
	"fmt"
	"math/big"
	"reflect"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/record"
)

// TestNumbers: how readings are typed at a bench (common practice, no source).
func TestNumbers(t *testing.T) {
	for _, c := range []struct{ typed, text, unit string }{
		{"74.3", "74.3", ""}, {"74.30", "74.30", ""}, {"0.0743kW", "74.3", "W"}, {"14.31V", "14.31", "V"}, {"9.72A", "9.72", "A"},
		{"14,31", "14.31", ""}, {"0,997", "0.997", ""}, {"12,5V", "12.5", "V"}, {"400mV", "0.400", "V"}, {"950mA", "0.950", "A"},
		{"1.2kW", "1200", "W"}, {"1.2KW", "1200", "W"}, {"5µV", "0.000005", "V"}, {"21.4Vrms", "21.4", "V"}, {"0.9%", "0.9", "%"},
		{"58.2°C", "58.2", "°C"}, {"58C", "58", "°C"}, {".9", "0.9", ""}, {"014.3", "14.3", ""}, {"+3", "3", ""}, {"-0.4", "-0.4", ""},
		{"−0.4", "-0.4", ""}, {"0", "0", ""}, {"000", "0", ""}, {"1kHz", "1000", "Hz"}, {"138s", "138", "s"}, {"5min", "5", "min"},
	} {
		if got, err := readNumber(c.typed); err != nil || got.text != c.text || got.unit != c.unit {
			t.Errorf("%s is read as %s %s (%v), want %s %s", c.typed, got.text, got.unit, err, c.text, c.unit)
		}
	}
	for typed, why := range map[string]string{
		"1,085": "may be 1.085 or 1085", "14.": "ends in a point", "1.2.3": "more than one point", "74,3,0": "more than one point",
		"1e3": "no unit of a reading", "1e999": "no unit of a reading", "NaN": "is no reading", "inf": "is no reading", "": "is no reading",
		"2MW": "no unit of a reading", "0x10": "no unit of a reading", "12ohm": "no unit of a reading", "1234567890123456": "more digits",
		"12mC": "no unit of a reading", "--3": "is no reading", "V": "is no reading", "1_000": "no unit of a reading",
	} {
		if got, err := readNumber(typed); err == nil || !strings.Contains(err.Error(), why) || !strings.Contains(err.Error(), "\nhint: ") {
			t.Errorf("%q is read as %v, %v; it should be refused: %s", typed, got, err, why)
		}
	}
}

// A frequency is typed from memory, and 1.000 is 1 Hz to some and 1 kHz to others.
func TestFrequencies(t *testing.T) {
	for typed, want := range map[string]string{
		"60": "60", "1000": "1000", "1kHz": "1000", "1.000kHz": "1000", "1.25kHz": "1250", "62.5": "62.5", "0.125": "0.125", "1000.000": "1000.000", "1.0000": "1.0000", "1.0000Hz": "1.0000",
		"1.000": "", "1.250Hz": "", "20.000": "", "999.999hz": "", "1,000": "", "1 V": "", "1.000.000": "",
	} {
		got, err := readFrequency(strings.ReplaceAll(typed, " ", ""))
		if (err != nil) != (want == "") || err == nil && got.text != want || err != nil && !strings.Contains(err.Error(), "\nhint: ") {
			t.Errorf("%s is read as %s, %v; want %q", typed, got.text, err, want)
		}
	}
	_, err := readFrequency("1.000")
	if want := "\"1.000\" may be 1000 Hz or 1.000 Hz\nhint: nothing between thousands: 1000; or one more digit: 1.0000"; err == nil || err.Error() != want {
		t.Errorf("says %v, want %s", err, want)
	}
}

// TestShiftedIsExact compares the moved decimal point with arithmetic in fractions.
func TestShiftedIsExact(t *testing.T) {
	for _, whole := range []string{"", "0", "7", "74", "1200", "0074"} {
		for _, fraction := range []string{"", "0", "3", "0743", "00100"} {
			for power, scale := range map[int]string{-6: "1/1000000", -3: "1/1000", 0: "1", 3: "1000"} {
				if whole+fraction == "" {
					continue
				}
				want, _ := new(big.Rat).SetString("0" + whole + "." + fraction + "0")
				by, _ := new(big.Rat).SetString(scale)
				got, ok := new(big.Rat).SetString(shifted(whole, fraction, power))
				if !ok || got.Cmp(want.Mul(want, by)) != 0 {
					t.Errorf("%s.%s · 10^%d is %s", whole, fraction, power, shifted(whole, fraction, power))
				}
			}
		}
	}
}

func TestLines(t *testing.T) {
	usual := []string{"out_v", "thdn_pct", "supply_v", "supply_a"}
	for _, c := range []struct {
		line     string
		order    []string
		channels []string
		want     string // what TOML gets, as Go prints a map; or the error's first line
	}{
		{"17.4 0.9 14.31 9.72", usual, []string{"M"}, "out_v:[17.4] supply_a:[9.72] supply_v:[14.31] thdn_pct:[0.9]"},
		{"17.4V 0.9% 14.31V 9.72A", usual, []string{"M"}, "out_v:[17.4] supply_a:[9.72] supply_v:[14.31] thdn_pct:[0.9]"},
		{"17.4 V, 0.9 %; 14,31 V, 9.72 A", usual, []string{"M"}, "out_v:[17.4] supply_a:[9.72] supply_v:[14.31] thdn_pct:[0.9]"},
		{"17.4 17.5 0.9 1.0 14.31 9.72", usual, []string{"L", "R"}, "out_v:[17.4 17.5] supply_a:[9.72] supply_v:[14.31] thdn_pct:[0.9 1.0]"},
		{"17.4 0.9 17.5 1.0 14.31", []string{"out_v", "thdn_pct", "out_v", "thdn_pct", "supply_v"}, []string{"L", "R"}, "out_v:[17.4 17.5] supply_v:[14.31] thdn_pct:[0.9 1.0]"},
		{"17.4 - 14.31 -", usual, []string{"M"}, "out_v:[17.4] supply_v:[14.31]"},
		{"17.4 0.9 14.31 9.72 ambient_c=19 lasted_s=138", usual, []string{"M"}, "ambient_c:[19] lasted_s:[138] out_v:[17.4] supply_a:[9.72] supply_v:[14.31] thdn_pct:[0.9]"},
		{"protected", usual, []string{"M"}, "protected"},
		{"fuse 17.4 0.9 14.31 9.72", usual, []string{"M"}, "out_v:[17.4] supply_a:[9.72] supply_v:[14.31] thdn_pct:[0.9] fuse"},
		{"17.4 0.9 14.31 9.72 supply-limit # the bank was empty", usual, []string{"M"}, "out_v:[17.4] supply_a:[9.72] supply_v:[14.31] thdn_pct:[0.9] supply-limit # the bank was empty"},
		{"17.4 0.9 14.31", usual, []string{"M"}, "3 are typed, but a run has 4: out_v, thdn_pct, supply_v, supply_a"},
		{"17.4 0.9 14.31 9.72 3", usual, []string{"L", "R"}, "5 are typed, but a run has 6: out_v L, out_v R, thdn_pct L, thdn_pct R, supply_v, supply_a"},
		{"completed", usual, []string{"M"}, "0 are typed, but a run has 4: out_v, thdn_pct, supply_v, supply_a"},
		{"17.4 0.9 9.72A 14.31V", usual, []string{"M"}, "9.72A is in A, but 9.72A stands for supply_v, in V"},
		{"17.4 - 0.9 1.0 14.31 9.72", usual, []string{"L", "R"}, "out_v is there for some channels and not for others"},
		{"- 17.4 0.9 1.0 14.31 9.72", usual, []string{"L", "R"}, "out_v is there for some channels and not for others"},
		{"17.4 0.9 14.31 9.72 fuse stopped", usual, []string{"M"}, "the run ended in two ways, fuse and stopped"},
		{"17.4 0.9 14.31 9.72 supply_v=12", usual, []string{"M"}, "supply_v is given twice"},
		{"17.4 0.9 14.31 9.72 freq_hz=1kHz", usual, []string{"M"}, "freq_hz:[1000] out_v:[17.4] supply_a:[9.72] supply_v:[14.31] thdn_pct:[0.9]"},
		{"17.4 0.9 14.31 9.72 freq_hz=1.000", usual, []string{"M"}, `"1.000" may be 1000 Hz or 1.000 Hz`},
		{"17.4 0.9 14.31 9.72 out_v=12", usual, []string{"M"}, `"out_v" can't be given as key=value`},
		{"17.4 0.9 14.31 x", usual, []string{"M"}, `"x" is no reading`},
		{"74,3,0,9", usual, []string{"M"}, `"74,3,0,9" has more than one point or comma`},
		{"17.4\x1b[2J 0.9 14.31 9.72", usual, []string{"M"}, "the line has a character that can't be seen, U+001B"},
		{"17.4\u202e 0.9 14.31 9.72", usual, []string{"M"}, "the line has a character that can't be seen, U+202E"},
		{"17.4 \xff 14.31 9.72", usual, []string{"M"}, "the line has bytes that are not UTF-8 text"},
		{strings.Repeat("1 ", 5000), usual, []string{"M"}, "the line has more than 1000 characters"},
	} {
		l, err := ParseLine(c.line, c.order, c.channels)
		got := ""
		if err != nil {
			got, _, _ = strings.Cut(err.Error(), "\n")
			if !strings.Contains(err.Error(), "\nhint: ") {
				t.Errorf("%q: no hint: %v", c.line, err)
			}
		} else {
			got = strings.TrimSuffix(strings.TrimPrefix(fmt.Sprint(l.values), "map["), "]")
			if l.outcome != "" {
				got = strings.TrimSpace(got + " " + l.outcome)
			}
			if l.remarks != "" {
				got += " # " + l.remarks
			}
		}
		if got != c.want {
			t.Errorf("%q gives\n%s\nwant\n%s", c.line, got, c.want)
		}
	}
}

func TestOrders(t *testing.T) {
	two := []string{"out_v", "thdn_pct", "out_v", "thdn_pct"}
	if _, err := slots(two, 4); err == nil || !strings.Contains(err.Error(), "named 2 times, but 4 channels") {
		t.Errorf("two of four channels: %v", err)
	}
	if _, err := slots([]string{"supply_v", "supply_v"}, 2); err == nil {
		t.Error("supply_v is taken twice")
	}
	if got := once(two); !slices.Equal(got, []string{"out_v", "thdn_pct"}) {
		t.Errorf("once: %v", got)
	}
	// the order of the record's own keys, not of the schema
	runs := runsOf(t, recordText+"[[run]]\nid = \"a\"\nmethod = \"thd1\"\nload = [\"a4\", \"b4\"]\nsupply_v = 14.4\nthdn_pct = [1, 1]\nout_v = [17, 17]\n")
	if got := orderOf(&runs[0]); !reflect.DeepEqual(got, []string{"supply_v", "thdn_pct", "out_v"}) {
		t.Errorf("the order of a record's run: %v", got)
	}
}

// FuzzLine: whatever is typed, a line is refused with a hint, or becomes a run that the
// record's decoder takes but for its ranges, with the numbers that were typed.
func FuzzLine(f *testing.F) {
	for _, seed := range []string{"17.4 17.5 0.9 1.0 14.31 9.72", "0.0743kW", "protected", "1,5 2 3 4 5 6 # \"x\"", "NaN", "1e999", "- - 1 1 2 3 lasted_s=5", "\x00", "=", "#", "1 2 3 4 5 6 fuse"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, line string) {
		l, err := ParseLine(line, []string{"out_v", "thdn_pct", "supply_v", "supply_a"}, []string{"L", "R"})
		if err != nil {
			if !strings.Contains(err.Error(), "\nhint: ") {
				t.Fatalf("no hint: %v", err)
			}
			return
		}
		s := setup{method: "thd1", loads: []string{"a4", "b4"}}
		text := recordText + runText("r01", s, l, day, "")
		r, problems := record.DecodeRecord(&record.File{Name: "r", Text: []byte(text)}, "unit")
		for _, p := range problems {
			ranges := strings.Contains(p.Summary, "least") || strings.Contains(p.Summary, "most") || strings.Contains(p.Summary, "below") || strings.Contains(p.Summary, "above") || strings.Contains(p.Summary, "between")
			if !ranges {
				t.Fatalf("%q gives a run that doesn't decode: %s", line, p.Summary)
			}
		}
		if len(r.Runs) != 1 || r.Runs[0].Remarks != l.remarks {
			t.Fatalf("%q gives %d runs, remarks %q", line, len(r.Runs), r.Runs[0].Remarks)
		}
		for i, text := range l.values["out_v"] {
			if r.Runs[0].OutV.Items[i].Text != text {
				t.Fatalf("%q gives %s, not %s", line, r.Runs[0].OutV.Items[i].Text, text)
			}
		}
	})
}
