package generator_test

import (
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A scene is content for one unit, as a tester writes it: what the tests of this
// folder go the whole way with, from TOML to the sheet.
type scene struct {
	meters  map[string]string // by what they read: "reading_pct = 0.8, digits = 3, resolution = 0.01"
	common  []string          // what they read whose percent of reading is one error
	facts   map[string]string // more keys of a meter, by what it reads: "calibrated = 2023-01-01"
	shared  string            // one instrument that reads all these quantities, by blanks: "out_v supply_v"
	total   bool              // the analyser's reading is relative to the whole signal
	loads   []string          // "id = 'a', nominal_ohm = 4, ohm = 4.012, ohm_pct = 1"
	methods string            // more keys of the method thd1: "pool = { rel_pct = 1, dof = 8 }"
	unit    string            // more keys of the unit
	text    string            // claims, runs and what else the record has
}

// channels are the names of the scene's unit's channels.
const channels = `["L", "R", "C", "D", "E", "F", "G", "H", "I", "J"]`

// site is the scene's site.toml, and methods its one method.
const (
	sceneSite    = "title = 'Checks'\ntester = 'nobody'\ncurrency = 'EUR'\n[assume]\nthdn_pct = 1\nsupply_dc_v = 14.4\n"
	sceneMethods = "[[method]]\nid = 'thd1'\ntitle = 'at 1 %'\nfreq_hz = 1000\nthdn_pct = 1\nanswers_unstated = true\nwording = 'as a check'\n"
)

// bench writes bench.toml.
func (s scene) bench() string {
	names := make([]string, 0, len(s.meters))
	for reads := range s.meters {
		names = append(names, reads)
	}
	slices.Sort(names)
	var instruments, usual, ranges strings.Builder
	for _, reads := range names {
		limit := "to = 10000, "
		if strings.HasPrefix(s.meters[reads], "to =") {
			limit = ""
		}
		keys := "{ reads = '" + reads + "', " + limit + s.meters[reads]
		if slices.Contains(s.common, reads) {
			keys += ", gain_common = true"
		}
		keys += " }"
		id := strings.ReplaceAll(reads, "_", "-")
		if slices.Contains(strings.Fields(s.shared), reads) {
			id = "one"
			ranges.WriteString("  " + keys + ",\n")
		} else {
			of := ""
			if reads == "thdn_pct" && s.total {
				of = ", distortion_of = 'total'"
			}
			if more := s.facts[reads]; more != "" {
				of += ", " + more
			}
			instruments.WriteString("  { id = '" + id + "', name = '" + reads + "'" + of + ", range = [" + keys + "] },\n")
		}
		usual.WriteString(reads + " = '" + id + "'\n")
	}
	if ranges.Len() > 0 {
		instruments.WriteString("  { id = 'one', name = 'one for several', range = [\n" + ranges.String() + "  ] },\n")
	}
	return "instrument = [\n" + instruments.String() + "]\nload = [\n  { " + strings.Join(s.loads, " },\n  { ") + " },\n]\n[usual]\n" + usual.String()
}

// record writes record.toml.
func (s scene) record() string {
	return "[unit]\nmaker = 'Invented'\nmodel = 'Scene'\nchannels = " + channels + "\n" + s.unit + "\n[source]\nhow = 'own'\nfrom = 'nobody'\n" + s.text
}

// decode decodes the scene and panics where it has a mistake: then the test has.
func (s scene) decode() (*record.Content, *record.Record) {
	file := func(name, text string) *record.File { return &record.File{Name: name, Text: []byte(text)} }
	var c record.Content
	var site, bench, methods, own record.Problems
	var rec *record.Record
	c.Site, site = record.DecodeSite(file("site.toml", sceneSite))
	c.Bench, bench = record.DecodeBench(file("bench.toml", s.bench()))
	c.Methods, methods = record.DecodeMethods(file("methods.toml", sceneMethods+s.methods))
	rec, own = record.DecodeRecord(file("record.toml", s.record()), "scene")
	c.Records = []*record.Record{rec}
	problems := slices.Concat(site, bench, methods, own, c.Check())
	if problems.Errors() {
		panic(problems.Error())
	}
	return &c, rec
}

// sheet goes the whole way, from TOML to the sheet.
func (s scene) sheet() *sheet.Sheet { return sheet.Evaluate(s.decode()) }

// units goes the whole way for several units, each with claims and runs of its own;
// their slugs are a, b, c ….
func (s scene) units(texts ...string) []*sheet.Sheet {
	s.text = ""
	c, _ := s.decode()
	c.Records = nil
	var problems record.Problems
	for i, text := range texts {
		s.text = text
		slug := string(rune('a' + i))
		rec, own := record.DecodeRecord(&record.File{Name: slug + "/record.toml", Text: []byte(s.record())}, slug)
		problems, c.Records = append(problems, own...), append(c.Records, rec)
	}
	if problems = append(problems, c.Check()...); problems.Errors() {
		panic(problems.Error())
	}
	var out []*sheet.Sheet
	for _, rec := range c.Records {
		out = append(out, sheet.Evaluate(c, rec))
	}
	return out
}

// measured writes a run of channel L into the load a, or what its keys say.
func measured(id string, keys ...string) string {
	return measuredWith(id, append([]string{"driven = ['L']", "load = 'a'"}, keys...)...)
}

// measuredWith writes a run of these keys.
func measuredWith(id string, keys ...string) string {
	return "[[run]]\nid = '" + id + "'\nmethod = 'thd1'\n" + strings.Join(keys, "\n") + "\n"
}

// stated writes a claim of one channel into 4 Ω at 14.4 V.
func stated(id, watts string) string {
	return "[[claim]]\nid = '" + id + "'\npower_w = " + watts + "\nload_ohm = 4\nchannels = 1\nsupply_v = 14.4\nthdn_pct = 1\n"
}

// digits writes a number with all its digits.
func digits(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// read reads a file of the project.
func read(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
