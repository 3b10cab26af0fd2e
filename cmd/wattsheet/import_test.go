package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"wattsheet/generator/record"
)

// Thousands of rows are added behind the bytes that stand, and the preview stays short.
func TestImportIsAppended(t *testing.T) {
	dir := t.TempDir()
	tinySite(t).copyTo(t, dir)
	t.Chdir(dir)
	name := filepath.Join("content", "units", "ottersprocket-20", "record.toml")
	before, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	before = bytes.TrimRight(bytes.ReplaceAll(before, []byte("\n"), []byte("\r\n")), "\r\n") // as another editor has it
	if err := os.WriteFile(name, before, 0o640); err != nil {
		t.Fatal(err)
	}
	const rows = 5000
	var csv strings.Builder
	csv.WriteString("out_v,thdn_pct,supply_v,supply_a,freq_hz,load_c,ambient_c,warm_up_min,lasted_s,remarks\n")
	for i := range rows {
		fmt.Fprintf(&csv, "%.2f,1.00,14.40,10.0,1000,40.5,21.0,10,30,row %d: a remark that is rather longer than its column\n", 19+float64(i)/rows, i)
	}
	if err := os.WriteFile("b.csv", []byte(csv.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	bench := filepath.Join("content", "bench.toml") // a thermometer, for the load's temperature
	text, _ := os.ReadFile(bench)
	text = bytes.Replace(text, []byte("[usual]\n"), []byte("[usual]\nload_c = \"th\"\n"), 1)
	text = append(text, "\n[[instrument]]\nid = \"th\"\nname = \"thermometer\"\nrange = [{ reads = \"load_c\", to = 400, digits = 20, resolution = 0.1 }]\n"...)
	if err := os.WriteFile(bench, text, 0o666); err != nil {
		t.Fatal(err)
	}
	status, out, said := result("import", "ottersprocket-20", "b.csv", "--method", "thd1", "--load", "four", "--yes")
	if status != exitDone {
		t.Fatal(out, said)
	}
	after, _ := os.ReadFile(name)
	if !bytes.HasPrefix(after, before) || bytes.Contains(bytes.ReplaceAll(after, []byte("\r\n"), nil), []byte("\n")) {
		t.Error("what stood there was touched, or lines end in two ways")
	}
	r, problems := record.DecodeRecord(&record.File{Name: "r", Text: after}, "u")
	if len(problems) > 0 || len(r.Runs) != rows+1 || r.Runs[rows].ID != "r5001" || r.Runs[1].OutV.Items[0].Text != "19.00" {
		t.Errorf("%d runs, %v", len(r.Runs), problems)
	}
	if n := strings.Count(out, "\n"); n > 70 || !strings.Contains(out, "… 4984 more …") {
		t.Errorf("the preview has %d lines", n)
	}
	for line := range strings.Lines(out) {
		if n := utf8.RuneCountInString(line); n > screen+1 {
			t.Errorf("%d characters: %s", n, line)
		}
	}
}

// What comes from a table is harmless on the terminal.
func TestHostileTable(t *testing.T) {
	dir := t.TempDir()
	tinySite(t).copyTo(t, dir)
	t.Chdir(dir)
	rows := "out_v,remarks,\x1b[2Jhead\n20.0,\"]\n\"\"\"\n[unit]\x1b[31m \u202e\",x\n"
	if err := os.WriteFile("b.csv", []byte(rows), 0o666); err != nil {
		t.Fatal(err)
	}
	_, out, said := result("import", "ottersprocket-20", "b.csv", "--method", "thd1", "--load", "four", "--yes")
	if strings.ContainsAny(out+said, "\x1b\u202e") {
		t.Errorf("%q", out+said)
	}
	var b bytes.Buffer
	u := newUI(&b, &b, time.Now, nil)
	u.stdin = strings.NewReader("")
	if yes, err := u.confirmed("add?"); yes || err == nil {
		t.Error("nobody said yes")
	}
}

// The [runs_file] that the README shows is one.
func TestReadmeTable(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, shown, ok := strings.Cut(string(readme), "\n    [runs_file]\n")
	shown, _, end := strings.Cut(shown, "\n\n")
	if !ok || !end {
		t.Fatal("the README shows no [runs_file]")
	}
	table, problems := record.DecodeRunsFile(&record.File{Name: "README.md", Text: []byte(shown)})
	if len(problems) > 0 || len(table.Columns) != 7 {
		t.Errorf("%d columns, %v", len(table.Columns), problems)
	}
	r := &record.Record{RunsFile: *table}
	problems = r.AddRuns(&record.File{Name: "runs.csv", Text: []byte("Run;Load;Out L;Out R;Battery;When\nr01;a4, b4;17,10;17,20;14310;22.10.2026 9:30\n")})
	if len(problems) > 0 || len(r.Runs) != 1 || r.Runs[0].SupplyV.Text != "14.310" {
		t.Error(problems)
	}
}

// Loads are told apart as in the log, too: no id has a blank.
func TestImportLoadsWithBlanks(t *testing.T) {
	for typed, want := range map[string]string{"a4 b4": "a4,b4", " a4  b4 ": "a4,b4", "a4,b4": "a4,b4", "a4, b4": "a4,,b4", "a4;b4": "a4;b4", "four": "four"} {
		m, err := (&importing{load: typed}).mapping(record.Layout{Separator: "comma"})
		if err != nil || len(m.columns) != 1 || m.columns[0].is != want {
			t.Errorf("%q is taken as %+v, %v; want %q", typed, m, err, want)
		}
	}
}
