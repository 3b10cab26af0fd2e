package record

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// withRuns decodes a record with the rows of a runs.csv.
func withRuns(t *testing.T, table, rows string) (*Record, Problems) {
	t.Helper()
	r, problems := DecodeRecord(&File{Name: "content/units/two-75/record.toml", Text: []byte(`[unit]
maker = "Ottersprocket"
model = "Two"
channels = ["L", "R"]
[source]
how = "own"
from = "nobody"
[[run]]
id = "r01"
method = "thd1"
load = ["a4", "b4"]
out_v = [17.1, 17.2]
[runs_file]
` + table)}, "two-75")
	return r, append(problems, r.AddRuns(&File{Name: "content/units/two-75/runs.csv", Text: []byte(rows)})...)
}

// The columns of most tests.
const columnsDE = `separator = "semicolon"
decimal_comma = true
utc_offset = "+02:00"
column = [
  { key = "id", head = "Nr" },
  { key = "method", is = "thd1" },
  { key = "load", is = "a4, b4" },
  { key = "out_v", head = "U links" },
  { key = "out_v", head = "U rechts" },
  { key = "supply_v", head = "Batt (mV)", unit = "mV" },
  { key = "at", head = "Zeit" },
  { key = "outcome", head = "Ende" },
  { key = "remarks", head = "Notiz" },
  { key = "with.out_v", is = "recorder" },
  { key = "with.supply_a", is = "clamp" },
  { key = "read_as.supply_v", is = "held-min" },
  { key = "read_as.out_v", is = "held-max" },
  { key = "hold", head = "Sperre" },
]
`

// A row makes the same run as a table that says the same, and no digit is lost.
func TestRowsAreRuns(t *testing.T) {
	r, problems := withRuns(t, columnsDE, "\ufeffNr;Zeit;U links;U rechts;Batt (mV);Ende;Notiz;Sperre;Spare\r\n"+
		"r02;22.10.2026 9:30;17,10;17,20;14310;;\"with \"\"quotes\"\"; and a\r\nline end\";;x\r\n"+
		";;;;;;;;\r\n\r\n"+
		"r03;2026-10-22 09:48:30;17,142 V;17,170;14,39 V;stopped;;true;\r\n"+
		"r04;2026-10-22T09:48:30Z;1,7142e1;0,50;;fuse;;until 2026-12-05T18:00:00+01:00\r\n")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	var got []string
	for i := range r.Runs[1:] {
		got = append(got, r.Runs[i+1].Text())
	}
	want := []string{`[[run]]
id = "r02"
method = "thd1"
load = ["a4", "b4"]
out_v = [17.10, 17.20]
supply_v = 14.310
at = 2026-10-22T09:30:00+02:00
with = { out_v = "recorder" }
read_as = { out_v = "held-max", supply_v = "held-min" }
remarks = "with \"quotes\"; and a\nline end"
`, `[[run]]
id = "r03"
method = "thd1"
load = ["a4", "b4"]
out_v = [17.142, 17.170]
supply_v = 14.39
at = 2026-10-22T09:48:30+02:00
outcome = "stopped"
with = { out_v = "recorder" }
read_as = { out_v = "held-max", supply_v = "held-min" }
hold = true
`, `[[run]]
id = "r04"
method = "thd1"
load = ["a4", "b4"]
out_v = [1.7142e1, 0.50]
at = 2026-10-22T09:48:30Z
outcome = "fuse"
with = { out_v = "recorder" }
read_as = { out_v = "held-max" }
hold = "until 2026-12-05T18:00:00+01:00"
`}
	if !slices.Equal(got, want) {
		t.Errorf("the rows are\n%s", strings.Join(got, ""))
	}
	head := strings.TrimSuffix(string(r.file.Text), columnsDE)
	tables, problems := DecodeRecord(&File{Name: r.file.Name, Text: []byte(strings.Replace(head, "[runs_file]\n", "", 1) + strings.Join(got, ""))}, "two-75")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for i := range tables.Runs {
		if a, b := placeless(tables.Runs[i]), placeless(r.Runs[i]); a != b {
			t.Errorf("as a table\n%s\nas a row\n%s", a, b)
		}
	}
}

// placeless prints all values of a run but where they stand.
func placeless(run Run) string {
	var b strings.Builder
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch {
		case v.Type() == reflect.TypeFor[Place]():
			return
		case v.Kind() == reflect.Struct:
			for i := range v.NumField() {
				b.WriteString(v.Type().Field(i).Name + ":")
				walk(v.Field(i))
			}
		case v.Kind() == reflect.Slice:
			fmt.Fprintf(&b, "%d", v.Len())
			for i := range v.Len() {
				walk(v.Index(i))
			}
		default:
			fmt.Fprintf(&b, "%v;", v.Interface())
		}
	}
	walk(reflect.ValueOf(run))
	return b.String()
}

// What a column of a row may be for is what a run has.
func TestColumnsAreKeysOfRuns(t *testing.T) {
	var want []string
	for _, f := range schemaOf(reflect.TypeFor[Run]()).fields {
		if f.sub == nil {
			want = append(want, f.key)
			continue
		}
		for _, sub := range f.sub.fields {
			want = append(want, f.key+"."+sub.key)
		}
	}
	got := slices.Clone(schemaOf(reflect.TypeFor[RunsColumn]()).byKey["key"].words)
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("columns are for\n%v\na run has\n%v", got, want)
	}
	for _, key := range got {
		if f := schemaOf(reflect.TypeFor[Run]()).byKey[key]; f != nil && (f.kind == aNumber || f.kind == numbers) && unitsOf(key) == nil {
			t.Errorf("%s is in no unit that a column can have", key)
		}
	}
}

func TestReadNumber(t *testing.T) {
	volts := unitsOf("out_v")
	for _, row := range []struct {
		cell  string
		comma bool
		power int
		want  string
	}{
		{"74.30", false, 0, "74.30"}, {"74,30", true, 0, "74.30"}, {"-1.5", false, 0, "-1.5"}, {"\u22121.5", false, 0, "-1.5"},
		{"+5", false, 0, "5"}, {".5", false, 0, "0.5"}, {"5.", false, 0, "5"}, {"007.10", false, 0, "7.10"}, {"0", false, 0, "0"}, {"0.00", false, 0, "0.00"},
		{"14310", false, -3, "14.310"}, {"5", false, -3, "0.005"}, {"0", false, -3, "0.000"}, {"0.0743", false, 3, "74.3"}, {"1.5", false, 3, "1500"}, {"1.23456", false, 3, "1234.56"},
		{"1.2E-03", false, -3, "0.0012E-03"}, {"14.31 V", false, -3, "14.31"}, {"14310mV", false, 0, "14.310"},
	} {
		got, why, _ := readNumber(row.cell, row.comma, volts, row.power)
		if want := strings.ReplaceAll(row.want, "E", "e"); why != "" || got != want {
			t.Errorf("%q by %d is %q, %s; want %q", row.cell, row.power, got, why, want)
		}
	}
	for _, cell := range []string{"", "x", "1.2.3", "1,234.5", "1 234", "1'234", "NaN", "inf", "1e99999", "0x10", "1_000", ".", "-", "e5", "14.31 A", "--1", strings.Repeat("9", 5) + "%"} {
		if got, why, hint := readNumber(cell, false, volts, 0); why == "" || hint == "" {
			t.Errorf("%q is taken as %q", cell, got)
		}
	}
}

// Whatever is wrong is told with its row and column.
func TestBadRows(t *testing.T) {
	plain := `column = [{ key = "id", head = "Run" }, { key = "method", head = "Method" }, { key = "load", is = "a4" }, { key = "driven", is = "L" }, { key = "out_v", head = "Out" }, { key = "at", head = "At" }]` + "\n"
	head := "Run,Method,Out,At\n"
	for _, row := range []struct{ name, table, rows, want string }{
		{"a word", plain, head + "r02,thd1,Ωx7,\n", "runs.csv:2:10: column \"Out\": out_v is \"Ωx7\", which is no number\n    2 | r02,thd1,Ωx7,\n      |          ^^^"},
		{"beyond the bounds", plain, head + "r02,thd1,1e9,\n", "runs.csv:2:10: column \"Out\": out_v is 1e9; it has to be at least 0 and at most 10000"},
		{"a comma", plain, head + "r02,thd1,\"1,5\",\n", "runs.csv:2:10: column \"Out\": out_v is \"1,5\", with a comma\n    2 | r02,thd1,\"1,5\",\n      |          ^^^^^"},
		{"a decimal comma cuts the row", plain, head + "r02,thd1,1,5,2026-10-22T09:48:30Z\n", "runs.csv:2:14: the row has 5 cells, the head line 4"},
		{"no id", plain, head + ",thd1,1,\n", "runs.csv:2:1: the row has no id"},
		{"no method", plain, head + "r02,,1,\n", "runs.csv:2:1: the row has no method"},
		{"an id twice", plain, head + "r02,thd1,1,\nr02,thd1,1,\n", "runs.csv:3:1: column \"Run\": \"r02\" is already the id of another run, in runs.csv, line 2"},
		{"an id of the record", plain, head + "r01,thd1,1,\n", "runs.csv:2:1: column \"Run\": \"r01\" is already the id of another run, in record.toml, line 9"},
		{"a bad id", plain, head + "Run 7,thd1,1,\n", "runs.csv:2:1: column \"Run\": id is \"Run 7\", which can't be part of an address"},
		{"no offset", plain, head + "r02,thd1,1,2026-10-22 9:48\n", "runs.csv:2:12: column \"At\": at is \"2026-10-22 9:48\", a time without the time zone's offset"},
		{"slashes", plain, head + "r02,thd1,1,10/11/2026 9:48\n", "runs.csv:2:12: column \"At\": at is \"10/11/2026 9:48\", no day and time that can be read"},
		{"the 31st", plain, head + "r02,thd1,1,2026-06-31 9:48Z\n", "a time that calendar and clock don't have"},
		{"a quote", plain, head + "r02,thd1,1,\nr03,th\"d1,1,\n", "runs.csv:3:7: a \" stands within a cell"},
		{"an open quote", plain, head + "r02,thd1,\"1,\nr03,thd1,1,\n", "runs.csv:2:1: a cell that begins with \" doesn't end"},
		{"behind a line end in a cell", plain, head + "r02,\"th\nd1\",1,x\n", "runs.csv:3:7: column \"At\": at is \"x\""},
		{"no head", plain, "Run,Method,Outs,At\n", "record.toml:14:161: there is no column \"Out\" in content/units/two-75/runs.csv"},
		{"two heads", plain, "Run,Method,Out,Out,At\n", "runs.csv:1:16: two columns are called \"Out\""},
		{"nothing", plain, "", "runs.csv:1:1: there is no line 1"},
		{"UTF-16", plain, "\xff\xfeR\x00", "runs.csv:1:1: the file is UTF-16 text"},
		{"Latin-1", plain, head + "r02,thd1,\xb5,\n", "runs.csv:2:10: byte 0xB5 is no text"},
		{"no column for the method", `column = [{ key = "id", head = "Run" }]` + "\n", head, "record.toml:14:10: no column is for method, which every run needs"},
		{"two ways", `column = [{ key = "id", head = "Run", is = "x" }, { key = "method", is = "x" }]` + "\n", head, "record.toml:14:11: the column for id needs one of head, number and is"},
		{"another unit", `column = [{ key = "id", head = "Run" }, { key = "method", is = "x" }, { key = "out_v", head = "Out", unit = "mA" }]` + "\n", head, "record.toml:14:109: a column for out_v can't be in \"mA\""},
		{"one key twice", `column = [{ key = "id", head = "Run" }, { key = "method", is = "x" }, { key = "method", head = "Method" }]` + "\n", head, "another column is for method too"},
		{"a bad constant", `column = [{ key = "id", head = "Run" }, { key = "method", is = "x" }, { key = "outcome", is = "gone" }]` + "\n", head + "r02,,,\nr03,,,\n", "record.toml:14:95: outcome is \"gone\"; it takes"},
		{"an unknown key", `column = [{ key = "watts", head = "Run" }]` + "\n", head, "key is \"watts\"; it takes"},
		{"a wrong offset", "utc_offset = \"2\"\n" + plain, head, "record.toml:14:14: utc_offset is \"2\", which is no offset"},
		{"no column 9", strings.Replace(plain, `head = "Out"`, "number = 9", 1), head, "there is no column 9 in content/units/two-75/runs.csv"},
	} {
		t.Run(row.name, func(t *testing.T) {
			r, problems := withRuns(t, row.table, row.rows)
			text := problems.Error()
			if !problems.Errors() || !strings.Contains(text, row.want) || !strings.Contains(text, "\nhint: ") {
				t.Errorf("it says\n%s\nwant\n%s", text, row.want)
			}
			_ = (&Content{Records: []*Record{r}}).Check() // whatever was read can be looked at
		})
	}
}

// A wrong column doesn't bury what is wrong under thousands of the same.
func TestBadColumnIsToldShortly(t *testing.T) {
	rows := "Run,Out\n" + strings.Repeat("x y,z\n", 5000)
	_, problems := withRuns(t, `column = [{ key = "id", head = "Run" }, { key = "method", is = "x" }, { key = "out_v", head = "Out" }]`, rows)
	if n := len(problems); n > mostRowProblems+3 || !strings.Contains(problems.Error(), "further rows not looked at") {
		t.Errorf("%d problems", n)
	}
}

// What a later check finds has the cell's place, or for what all rows have in common
// the record's, once.
func TestLaterProblemsKnowTheCell(t *testing.T) {
	table := `column = [{ key = "id", head = "Run" }, { key = "method", head = "Method" }, { key = "load", is = "a9" }, { key = "driven", is = "L" }, { key = "out_v", head = "Out" }]` + "\n"
	r, problems := withRuns(t, table, "Run,Method,Out\nr02,thd1,1\nr03,thd9,1\n")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	bench, _ := DecodeBench(&File{Name: "bench.toml", Text: []byte("[[load]]\nid = \"a4\"\nnominal_ohm = 4\nohm = 4\nohm_pct = 1\n[[load]]\nid = \"b4\"\nnominal_ohm = 4\nohm = 4\nohm_pct = 1\n")})
	methods, _ := DecodeMethods(&File{Name: "methods.toml", Text: []byte("[[method]]\nid = \"thd1\"\ntitle = \"t\"\nwording = \"w\"\nfreq_hz = 1000\n")})
	text := (&Content{Bench: bench, Methods: methods, Records: []*Record{r}}).Check().Error()
	for _, want := range []string{
		"content/units/two-75/record.toml:14:99: there is no load \"a9\" in bench.toml",
		"content/units/two-75/runs.csv:3:5: column \"Method\": there is no method \"thd9\" in methods.toml",
	} {
		if strings.Count(text, want) != 1 {
			t.Errorf("it says\n%s\nwant once %s", text, want)
		}
	}
}

// Lines before the heads, columns by number, and the other line ends and separators.
func TestOtherTables(t *testing.T) {
	numbers := `column = [{ key = "id", number = 1 }, { key = "method", is = "thd1" }, { key = "out_v", number = 3 }]`
	for _, row := range []struct{ name, table, rows string }{
		{"a preamble", "head_line = 3\n" + strings.ReplaceAll(numbers, "number = 3", `head = "c"`), "logger \"7\nsecond line\na,b,c\nr02,x,1.50\n"},
		{"no heads", "head_line = 0\n" + numbers, "r02,x,1.50"},
		{"tabs", "separator = \"tab\"\n" + numbers, "a\tb\tc\nr02\tx\t1.50\n"},
		{"carriage returns", numbers, "a,b,c\rr02,x,1.50\r"},
		{"short rows", numbers, "a,b,c,d\nr02,x,1.50\n"},
	} {
		r, problems := withRuns(t, row.table, row.rows)
		if len(problems) > 0 || len(r.Runs) != 2 || r.Runs[1].OutV.Items[0].Text != "1.50" || r.Runs[1].ID != "r02" {
			t.Errorf("%s: %d runs, %v", row.name, len(r.Runs), problems)
		}
	}
}

// Rows without ids go on from the last run.
func TestNumberedRuns(t *testing.T) {
	for last, want := range map[string]string{"r01": "r02 r03", "r99": "r100 r101", "a-7": "a-8 a-9", "warm": "r01 r02"} {
		r, _ := withRuns(t, `column = [{ key = "method", is = "thd1" }, { key = "out_v", head = "Out" }]`, "")
		r.Runs[0].ID = last
		next := r.NextRunID()
		problems := r.AddNumberedRuns(&File{Name: "x.csv", Text: []byte("Out\n1\n2\n")})
		if len(problems) > 0 || len(r.Runs) != 3 || r.Runs[1].ID+" "+r.Runs[2].ID != want || next != r.Runs[1].ID {
			t.Errorf("after %s: %s, %v", last, next, problems)
		}
	}
}

func FuzzAddRuns(f *testing.F) {
	f.Add("Nr;Zeit;U links;U rechts;Batt (mV);Ende;Notiz;Sperre\nr02;22.10.2026 9:30;17,10;17,20;14310;;x;\n")
	f.Add("\"")
	f.Fuzz(func(t *testing.T, rows string) {
		r, problems := withRuns(t, columnsDE, rows)
		for i := range r.Runs {
			if !problems.Errors() {
				if _, more := DecodeRecord(&File{Name: "r", Text: []byte(r.Runs[i].Text())}, "u"); slices.ContainsFunc(more, func(p Problem) bool { return !strings.Contains(p.Summary, "has no") }) {
					t.Errorf("%s\n%v", r.Runs[i].Text(), more)
				}
			}
		}
		for _, p := range problems {
			_ = p.String()
		}
	})
}

func TestGuessLayout(t *testing.T) {
	for _, row := range []struct {
		name, text, want string
	}{
		{"spreadsheet", "Run;Method;Load;Vout L (V);Vout R (V);THD+N (%);Battery (mV);Clamp (A);Time;Colour\nr1;thd1;a4;17,1;17,2;1;14310;10,5;;red\n",
			"semicolon 1 true id,method,load,out_v,out_v,thdn_pct,supply_v mV,supply_a,at,-"},
		{"thousands, or three decimals", "power_w;out_v\n1,250;70,711\n", "semicolon 1 false power_w,out_v"},
		{"one comma that is none between thousands", "power_w;out_v\n1,250;70,71\n", "semicolon 1 true power_w,out_v"},
		{"a comma behind a nought", "power_w;out_v\n1,250;0,711\n", "semicolon 1 true power_w,out_v"},
		{"keys", "id,out_v,power_w,with\n1,17.1,3,\n", "comma 1 false id,out_v,power_w,-"},
		{"logger", "Logger 9\n\nmade on 1,2\nTimestamp\tOutput [W]\tOutput [V]\tSupply [A]\n", "tab 4 false at,power_w,out_v,supply_a"},
		{"ohms", "Load (Ω),Load,freq [kHz]\n", "comma 1 false load_ohm,load,freq_hz kHz"},
		{"units without brackets", "Vout L V,Vout R mV,THD L %,thd %,Battery mV,Current A,Load Ω,freq kHz,out_mV\n", "comma 1 false out_v,out_v mV,thdn_pct,thdn_pct,supply_v mV,supply_a,load_ohm,freq_hz kHz,out_v mV"},
		{"no unit of theirs", "Vout L A,THD L V,Supply V,Time s,Fan %,V\n", "comma 1 false -,-,supply_v,-,-,-"},
		{"nothing known", "a,b\n1,2\n", "comma 1 false -,-"},
		{"empty", "", "comma 1 false -"},
		{"bytes", "\xff\xfe\x00;\"", "semicolon 1 false -,-"},
	} {
		l := GuessLayout(&File{Text: []byte(row.text)}, []string{"L", "R"})
		var keys []string
		for _, c := range l.Columns {
			key := strings.TrimSpace(c.Key + " " + c.Unit)
			if key == "" {
				key = "-"
			}
			keys = append(keys, key)
		}
		if got := fmt.Sprintf("%s %d %t %s", l.Separator, l.HeadLine, l.DecimalComma, strings.Join(keys, ",")); got != row.want {
			t.Errorf("%s: %s, want %s", row.name, got, row.want)
		}
	}
}

// A unit behind a head is that of its column also where the column is named by hand.
func TestHeadUnit(t *testing.T) {
	for _, c := range []struct{ key, head, want string }{
		{"supply_v", "Battery (mV)", "mV"}, {"supply_v", "Battery mV", "mV"}, {"supply_v", "Battery V", ""}, {"supply_v", "Battery mA", ""}, {"supply_v", "mV", ""}, {"id", "Run kW", ""},
	} {
		if got := HeadUnit(c.key, c.head); got != c.want {
			t.Errorf("%s under %q is in %q, want %q", c.key, c.head, got, c.want)
		}
	}
}
