package record

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// good reads one of the files without mistakes.
func good(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile("testdata/good/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// contentWith decodes the good files after an edit of one of them: old becomes
// new.
func contentWith(t testing.TB, edited, old, new string) *Content {
	t.Helper()
	file := func(name string) *File {
		text := good(t, name)
		if name == edited {
			if strings.Count(text, old) != 1 {
				t.Fatalf("%q stands %d times in %s", old, strings.Count(text, old), name)
			}
			text = strings.Replace(text, old, new, 1)
		}
		return &File{Name: name, Text: []byte(text)}
	}
	var c Content
	var problems [4]Problems
	c.Site, problems[0] = DecodeSite(file("site.toml"))
	c.Bench, problems[1] = DecodeBench(file("bench.toml"))
	c.Methods, problems[2] = DecodeMethods(file("methods.toml"))
	var r *Record
	r, problems[3] = DecodeRecord(file("record.toml"), "two-75")
	c.Records = []*Record{r}
	for _, found := range problems {
		if len(found) > 0 {
			t.Errorf("%q decodes with problems:\n%v", new, found)
		}
	}
	return &c
}

func TestGoodContentHasNoProblems(t *testing.T) {
	if problems := contentWith(t, "", "", "").Check(); len(problems) > 0 {
		t.Errorf("problems:\n%v", problems)
	}
}

// A file of which nothing could be read is one mistake: what records lack of it isn't told as well.
func TestUnreadFilesHaveOneMistake(t *testing.T) {
	c := contentWith(t, "", "", "")
	broken := func(name string) *File { return &File{Name: name, Text: []byte("[[[broken\n" + good(t, name))} }
	c.Site, _ = DecodeSite(broken("site.toml"))
	c.Bench, _ = DecodeBench(broken("bench.toml"))
	c.Methods, _ = DecodeMethods(broken("methods.toml"))
	k := c.Checker(Others{Slugs: []string{"two-75"}})
	if problems := append(k.Shared(), k.Record(c.Records[0])...); len(problems) > 0 {
		t.Errorf("problems:\n%v", problems)
	}
}

// mistakes are edits of the good files, each with one mistake at least.
var mistakes = []struct{ file, old, new string }{
	{"site.toml", `currency = "EUR"`, ""},
	{"bench.toml", "due = 2027-03-01", "due = 2025-03-01"},
	{"bench.toml", `supply_a = "clamp"`, `supply_a = "clmap"`},
	{"bench.toml", `supply_a = "clamp"`, `supply_a = "analyser"`},
	{"bench.toml", "digits = 2\nresolution = 0.01", "digits = 2"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\n[[instrument.range]]\nreads = \"thdn_pct\"\nto = 100.0\nreading_pct = 2"},
	{"methods.toml", "burst_ms = 20\n", ""},
	{"methods.toml", "every_ms = 500", "every_ms = 5"},
	{"methods.toml", `signal = "burst"`, ""},
	{"methods.toml", "into_clipping = true", "into_clipping = true\nthdn_pct = 10"},
	{"methods.toml", `"two-75/r02"`, `"two-80/r02"`},
	{"methods.toml", `"two-75/r02"`, `"r02"`},
	{"methods.toml", `"two-75/r01", "two-75/r02"`, `"two-57/r01", "two-57/r02"`},
	{"methods.toml", `"two-75/r01", "two-75/r02"`, `"otter/r01", "otter/r02", "otter/r03"`},
	{"record.toml", `channels = ["L", "R"]`, `channels = ["L+R", "R", "R"]`},
	{"record.toml", "year = 2026", "year = 2025.5\nsize_mm = [220, 55]"},
	{"record.toml", "channels = 2\n", "channels = 4\n"},
	{"record.toml", "channels = 2\n", "channels = 1.5\n"},
	{"record.toml", "channels = 1\n", "channels = 2\n"},
	{"record.toml", "[20, 20000]", "[20000, 20]"},
	{"record.toml", "[20, 20000]", "[20, 1000, 20000]"},
	{"record.toml", "bridged = true\n", "bridged = true\n[[claim]]\nid = \"again\"\npower_w = 200\nload_ohm = 4.0\nchannels = 1\nbridged = true\n"},
	{"record.toml", `method = "clipped"`, `method = "cliped"`},
	{"record.toml", `method = "clipped"`, `method = "sweep"`},
	{"record.toml", `method = "clipped"`, `method = "tones"`},
	{"record.toml", `driven = ["L"]`, `driven = ["C"]`},
	{"record.toml", `driven = ["L"]`, ""},
	{"record.toml", `driven = ["L+R"]`, `driven = ["L+L"]`},
	{"record.toml", `driven = ["L+R"]`, `driven = ["L+R", "L"]`},
	{"record.toml", `driven = ["L+R"]`, `driven = ["L+R+C"]`},
	{"record.toml", `driven = ["L+R"]`, `driven = ["L", "L"]`},
	{"record.toml", "out_v = 18.9", "out_v = [18.9, 18.8]"},
	{"record.toml", "[17.52, 17.48]", "[17,52, 17,48]"},
	{"record.toml", "[0.99, 1.01]", "1.01"},
	{"record.toml", "[17.52, 17.48]", "[17.52, 174.8]"},
	{"record.toml", `["l4a", "l4b"]`, `["l4a", "l4a"]`},
	{"record.toml", `["l4a", "l4b"]`, `["l4a"]`},
	{"record.toml", `["l4a", "l4b"]`, `["l4a", "l4d"]`},
	{"record.toml", `["l4a", "l4b"]`, `["l4a", "bank-b"]`},
	{"record.toml", "load_ohm = 4\nout_v", "load_ohm = 4\nload = \"l4a\"\nout_v"},
	{"record.toml", "load_ohm = 4\nout_v", "out_v"},
	{"record.toml", "out_v = 24.1", ""},
	{"record.toml", `with.supply_v = "meter"`, `with = { supply_a = "clamp", supply_v = "clamp" }`},
	{"record.toml", `{ out_v = "held-max" }`, `{ power_w = "held-max" }`},
	{"record.toml", "year = 2026", "year = 2026\nfollows = \"two-75\""},
	{"record.toml", "year = 2026", "year = 2026\nfollows = \"two-57\""},
	{"record.toml", "out_v = 24.1", "out_v = 24.1\n[[contact]]\ndate = 2026-10-20\nabout = \"the readings\"\nanswer_by = 2026-10-02"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\nshape = \"normal\"\ndof = 9"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\nk = 2\ndof = 9"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\nshape = \"triangular\"\nk = 2"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\ntempco_pct_k = 0.1\nfrom_c = 18"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\nfrom_c = 18"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\nto_c = 28"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\ntempco_pct_k = 0.1\nfrom_c = 28\nto_c = 18"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\ncorrection_pct = -0.4"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\ncorrection_pm = 0.4"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\ncorrection_k = 2"},
	{"bench.toml", "to = 60\nreading_pct = 0.5", "to = 60\nreading_pct = 0.5\ncorrection = -18.5\ncorrection_pm = 0.1"},
	{"record.toml", "price = 299", "price = 299\nsize_in = [8.7, 2.2]\nmass_lb = 9.5"},
	{"record.toml", "price = 299", "price = 299\nsize_in = [8.7, 2.2, 7.1]"},
	{"record.toml", "price = 299", "price = 299\n[[spec]]\nid = \"w\"\nname = \"width\"\nlimit = \"about\"\nunit = \"dB\"\nstated = 221\nalso = 8.7\nalso_unit = \"in\"\n[[spec]]\nid = \"x\"\nname = \"x\"\nlimit = \"about\"\nstated = 1\nalso = 2\n[[spec]]\nid = \"y\"\nname = \"y\"\nlimit = \"about\"\nstated = 1\nalso_unit = \"lb\""},
	{"record.toml", "price = 299", "price = 299\n[[thermal]]\nspot = \"fin\"\ntemp_c = [20, 30]\nat_min = [0, 5]\ntemp_f = 68\nambient_f = 70"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\n[[supply]]\nid = \"psu\"\nname = \"psu\"\nlead_mm2 = 35\nlead_awg = \"2\"\nlead_m = 1.1"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\n[[supply]]\nid = \"psu\"\nname = \"psu\"\nlead_awg = \"1/0\""},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\n[[supply]]\nid = \"psu\"\nname = \"psu\"\nlead_m = 1.1"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\n[[supply]]\nid = \"psu\"\nname = \"psu\"\nlead_mm2 = 35\nlead_m = 1.1\nlead_cables = 1.5"},
	{"bench.toml", "to = 100\nreading_pct = 5", "to = 100\nreading_pct = 5\n[[expect]]\nclass = \"D\"\nefficiency_pct = 80\n[[expect]]\nclass = \"D\"\nefficiency_pct = 75"},
	{"record.toml", "price = 299", "price = 299\n[[capture]]\nid = \"c01\"\nfile = \"one.wav\"\nrate_hz = 48000\nseparator = \"tab\"\nrecorder = \"scope\"\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"L\"\nscale = 0\nscale_pct = 0.5\n"},
	{"record.toml", "price = 299", "price = 299\n[[capture]]\nid = \"c01\"\nfile = \"one.wav\"\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nscale = 40\nscale_pct = 0.5\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"C\"\nscale = 40\nscale_pct = 0.5\n[[capture.channel]]\ncolumn = 1\nrole = \"supply_v\"\nof = \"L\"\nscale = 40\nscale_pct = 0.5\n"},
	{"record.toml", "price = 299", "price = 299\n[[capture]]\nid = \"c01\"\nfile = \"one.wav\"\n[[capture.channel]]\ncolumn = 1\nrole = \"supply_a\"\nscale = 40\nscale_pct = 0.5\n[[capture.channel]]\ncolumn = 2\nrole = \"supply_a\"\nscale = 40\nscale_pct = 0.5\n"},
	{"record.toml", "price = 299", "price = 299\n[[capture]]\nid = \"c01\"\nfile = \"one.wav\"\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"L\"\nscale = 40\nscale_pct = 0.5\n[[capture]]\nid = \"c02\"\nfile = \"ONE.WAV\"\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"L\"\nscale = 40\nscale_pct = 0.5\n"},
	{"record.toml", "out_v = 24.1", "out_v = 24.1\nfrom_s = 1\ncapture_as = \"steps\""},
	{"record.toml", "out_v = 24.1", "out_v = 24.1\ncapture = \"c01\""},
	{"record.toml", "out_v = 24.1", "out_v = 24.1\ncapture = \"c01\"\nfrom_s = 2\nto_s = 1\ncapture_as = \"bursts\"\n[[capture]]\nid = \"c01\"\nfile = \"one.csv\"\nrate_hz = 1000\ntime_column = 1\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"L\"\nscale = 40\nscale_pct = 0.5\n"},
	{"record.toml", `with.supply_v = "meter"`, "with.supply_v = \"meter\"\ncapture = \"c01\"\ncapture_as = \"sweep\"\n[[capture]]\nid = \"c01\"\nfile = \"one.csv\"\nrate_hz = 1000\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"L\"\nscale = 40\nscale_pct = 0.5\n"},
	{"record.toml", "supply_a = 17.9\nat = 2026-10-09T14:05:00+02:00", "supply_a = 17.9\ncapture = \"c01\"\n[[capture]]\nid = \"c01\"\nfile = \"one.csv\"\nrate_hz = 1000\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"L\"\nscale = 40\nscale_pct = 0.5\n[[run]]\nid = \"r09\"\nmethod = \"thd1\"\nload_ohm = 4\ncapture = \"c01\"\n"},
	{"record.toml", "price = 299", "price = 299\n[[capture]]\nid = \"c01\"\nfile = \"one.wav\"\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"L\"\nscale = 40\nscale_pct = 0.5\nscale_by = \"box\"\n[[capture.channel]]\ncolumn = 2\nrole = \"out\"\nof = \"R\"\nscale = 40\nscale_pct = 0.4\nscale_by = \"box\""},
	{"record.toml", "price = 299", "price = 299\n[[capture]]\nid = \"c01\"\nfile = \"one.wav\"\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"L\"\nscale = 40\nscale_pct = 0.5\n[[capture.channel]]\ncolumn = 2\nrole = \"out\"\nof = \"R\"\nscale = 40\nscale_pct = 0.5\n[[capture.channel]]\ncolumn = 3\nrole = \"in\"\nscale = 1\nscale_pct = 1\n[[spec]]\nid = \"a\"\nname = \"corner\"\nlimit = \"about\"\nstated = 80\ncapture = \"c01\"\n[[spec]]\nid = \"b\"\nname = \"corner\"\nlimit = \"about\"\nstated = 80\nunit = \"kHz\"\ncapture = \"c01\"\nof = \"C\"\nfrom_s = 3\nto_s = 2\ncapture_as = \"corner-high\"\nref_w = 1\n"},
	{"record.toml", "price = 299", "price = 299\n[[capture]]\nid = \"c01\"\nfile = \"one.wav\"\n[[capture.channel]]\ncolumn = 1\nrole = \"out\"\nof = \"L\"\nscale = 40\nscale_pct = 0.5\n[[spec]]\nid = \"a\"\nname = \"corner\"\nlimit = \"about\"\nstated = 80\nunit = \"dB\"\ncapture = \"c02\"\ncapture_as = \"boost-height\"\nat_hz = 20\n[[spec]]\nid = \"b\"\nname = \"corner\"\nlimit = \"about\"\nstated = 80\nunit = \"dB\"\nat_hz = 20\n[[spec]]\nid = \"c\"\nname = \"corner\"\nlimit = \"about\"\nstated = 80\nunit = \"dB\"\ncapture = \"c01\"\ncapture_as = \"signal-to-noise\"\nlow_hz = 200\nhigh_hz = 20\nref_w = 1\ndrop_db = 3\n"},
	{"record.toml", "price = 299", "price = 299\n[[shop]]\nname = \"a shop\"\nlink = \"https://shop.example/1\"\nearns = true"},
	{"methods.toml", "thdn_pct = 1\n", "thdn_pct = 1\nlow_hz = 20000\nhigh_hz = 20\n"},
}

// TestCheck compares what is printed for each mistake with testdata/check.txt.
func TestCheck(t *testing.T) {
	var b strings.Builder
	for _, m := range mistakes {
		problems := contentWith(t, m.file, m.old, m.new).Check()
		if !problems.Errors() {
			t.Errorf("%s: %q instead of %q isn't found", m.file, m.new, m.old)
		}
		fmt.Fprintf(&b, "--- %s: %q, not %q\n%s\n", m.file, m.new, m.old, problems.Error())
	}
	golden(t, "testdata/check.txt", b.String())
}

// Where a shared file can't be read, that is the mistake; the records that name
// something of it are no second one.
func TestAnUnreadableFileIsOneMistake(t *testing.T) {
	for _, name := range []string{"bench.toml", "methods.toml"} {
		c := contentWith(t, "", "", "")
		broken := &File{Name: name, Text: []byte("id = -0,006\n")}
		var problems Problems
		if name == "bench.toml" {
			c.Bench, problems = DecodeBench(broken)
		} else {
			c.Methods, problems = DecodeMethods(broken)
		}
		if len(problems) != 1 {
			t.Errorf("%s: %v", name, problems)
		}
		if more := c.Check(); len(more) > 0 {
			t.Errorf("%s can't be read, and also:\n%v", name, more)
		}
		empty, _ := DecodeBench(&File{Name: "bench.toml", Text: []byte("# nothing yet\n")})
		if c.Bench = empty; len(c.Check()) == 0 {
			t.Error("an empty bench lacks nothing")
		}
	}
}
