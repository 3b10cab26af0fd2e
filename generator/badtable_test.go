package generator_test

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

// Every cell of a runs.csv with what is no number, or no measurement's, and every number
// of the table that says how it is read: an error that has its place, or a site that
// holds only numbers.
func TestEverySpoiledCell(t *testing.T) {
	const rec, table = "units/spoiled/record.toml", "units/spoiled/runs.csv"
	heads := strings.Split("id,method,load,driven,out_v,power_w,thdn_pct,supply_v,supply_a,supply_w,freq_hz,load_c,ambient_c,warm_up_min,lasted_s,at,outcome", ",")
	cells := strings.Split("t01,thd1,a8,L,19.51,47.6,1.0,14.4,10.1,145,1000,40,21,10,30,2026-05-04T10:00:00+02:00,completed", ",")
	var columns []string
	for _, head := range heads {
		columns = append(columns, `{ key = "`+head+`", head = "`+head+`" }`)
	}
	content := maps.Clone(whole)
	says := "\n[runs_file]\nhead_line = 1\ncolumn = [" + strings.Join(columns, ", ") + ", { key = \"remarks\", number = 5 }]\n"
	content[rec] += says
	content[table] = strings.Join(heads, ",") + "\n" + strings.Join(cells, ",") + "\n"
	if s, problems := follow(t, content); len(problems) > 0 || s.Content.Records[0].Runs[len(s.Content.Records[0].Runs)-1].ID != "t01" {
		t.Fatalf("as it stands: %v", problems)
	}
	values := []string{"nan", "inf", "0", "-1", "1e300", "1e-300", "1e12", "x", "", "\"", "1;2", "\"1,5\"", "\x00", "\xff", "\"a\nb\""}
	if testing.Short() {
		values = []string{"nan", "0", "1e300", "x", "", "\""}
	}
	for i := range cells {
		for _, value := range values {
			if heads[i] == "id" && slices.Contains([]string{"nan", "inf", "0", "1e300", "1e12"}, value) {
				continue // a name like others
			}
			spoiled := slices.Clone(cells)
			spoiled[i] = value
			content[table] = strings.Join(heads, ",") + "\n" + strings.Join(spoiled, ",") + "\n"
			_, problems := follow(t, content)
			if problems.Errors() && !strings.HasSuffix(problems[0].File, "/runs.csv") {
				t.Errorf("%s = %q is told at %s", heads[i], value, problems[0].File)
			}
			if t.Failed() {
				t.Fatalf("with %s = %q", heads[i], value)
			}
		}
	}
	content[table] = strings.Join(heads, ",") + "\n" + strings.Join(cells, ",") + "\n"
	for _, number := range []string{"head_line = 1", "number = 5"} {
		for _, value := range []string{"nan", "inf", "0", "-1", "2", "1.5", "1e300", "1e-300", "999", "[]"} {
			key, _, _ := strings.Cut(number, " ")
			content[rec] = strings.Replace(whole[rec]+says, number, key+" = "+value, 1)
			_, problems := follow(t, content)
			if !problems.Errors() && strings.ContainsAny(value, "nf[.") {
				t.Errorf("it passes")
			}
			if t.Failed() {
				t.Fatalf("with %s = %s", key, value)
			}
		}
	}
}
