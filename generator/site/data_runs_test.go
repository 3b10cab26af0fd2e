package site

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"wattsheet/generator/datafile"
	"wattsheet/generator/sheet"
)

// readRuns reads runs.csv as RFC 4180 says, into a map for each row.
func readRuns(t *testing.T, data []byte) []map[string]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll() // it refuses rows of other lengths
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			if _, twice := m[name]; twice {
				t.Fatalf("two columns are called %s", name)
			}
			m[name] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func csvOf(t *testing.T, s *sheet.Sheet) []byte {
	t.Helper()
	data, err := datafile.CSV(s)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// The numbers of runs.csv are those of the sheet, to the 12 digits that files
// carry.
func TestRunsReadBackToTheSameNumbers(t *testing.T) {
	s := loaded(t, tiny(t, nil)).Sheets[0]
	rows := readRuns(t, csvOf(t, s))
	if len(rows) != 1 {
		t.Fatalf("%d rows, want 1", len(rows))
	}
	r, c := s.Runs[0], s.Runs[0].Channels[0]
	for name, f := range map[string]*sheet.Figure{
		"load_at_terminals_ohm": c.Resistance, "power_w": c.Power, "out_v": c.OutV, "thdn_pct": c.Distortion,
		"total_w": r.Total, "supply_v": r.SupplyV, "supply_a": r.SupplyA, "supply_w": r.SupplyPower,
		"efficiency_pct": r.Efficiency, "heat_w": r.Heat,
	} {
		i := strings.LastIndexByte(name, '_')
		for column, want := range map[string]float64{
			name: f.X, name[:i] + "_expanded" + name[i:]: f.U, name + "_k": f.K,
		} {
			got, err := strconv.ParseFloat(rows[0][column], 64)
			if err != nil {
				t.Errorf("%s: %v", column, err)
			}
			near(t, column, got, want, 1e-11)
		}
	}
	for name, want := range map[string]string{
		"run": "r1", "outcome": "completed", "valid": "true", "invalid_because": "", "method": "thd1",
		"freq_hz": "1000", "driven": "1", "channel": "M", "bridged": "false", "load": "four", "nominal_ohm": "4",
		"at": "2026-05-04T10:00:00+02:00", "ambient_c": "", "power_w": "100", "supply_w": "144",
	} {
		if rows[0][name] != want {
			t.Errorf("%s is %q, want %q", name, rows[0][name], want)
		}
	}
}

// RFC 4180, 2: lines end with CRLF (1, 2), a field with a comma, a quote or a line
// end stands in quotes (6), a quote in it is doubled (7).
func TestRunsAreWrittenAsRFC4180Says(t *testing.T) {
	s := loaded(t, tiny(t, hostile(t))).Sheets[0]
	data := string(csvOf(t, s))
	if strings.Count(data, "\n") != strings.Count(data, "\r\n") || !strings.HasSuffix(data, "\r\n") {
		t.Error("a line doesn't end with CRLF")
	}
	if want := `,"'=1+1, a comma, and a "" quote"` + "\r\n"; !strings.HasSuffix(data, want) {
		t.Errorf("the file ends %q, want %q", data[len(data)-60:], want)
	}
	row := readRuns(t, []byte(data))[0]
	if got, want := row["invalid_because"], "'@SUM(A1:A9)\nsecond line"; got != want {
		t.Errorf("the reason reads back as %q, want %q", got, want)
	}
	if row["valid"] != "false" {
		t.Error("the run is valid")
	}
}

func TestRunsHaveNoInfinity(t *testing.T) {
	s := loaded(t, tiny(t, nil)).Sheets[0]
	s.Runs[0].Heat = &sheet.Figure{X: math.Inf(-1), U: math.NaN(), Unit: "W"}
	row := readRuns(t, csvOf(t, s))[0]
	if row["heat_w"] != "" || row["heat_expanded_w"] != "" {
		t.Errorf("heat is %q ± %q, want empty cells", row["heat_w"], row["heat_expanded_w"])
	}
}

func TestRunsRefuseAnotherUnit(t *testing.T) {
	s := loaded(t, tiny(t, nil)).Sheets[0]
	s.Runs[0].Heat.Unit = "kW"
	if _, err := datafile.CSV(s); err == nil || !strings.Contains(err.Error(), `heat_w is in "kW" and not in "W"`) {
		t.Errorf("the error is %v", err)
	}
}

func TestRunWithoutChannelsHasARow(t *testing.T) {
	s := loaded(t, tiny(t, nil)).Sheets[0]
	s.Runs[0].Channels = nil
	rows := readRuns(t, csvOf(t, s))
	if len(rows) != 1 || rows[0]["run"] != "r1" || rows[0]["channel"] != "" {
		t.Errorf("the rows are %v", rows)
	}
}
