package record

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"
)

// utc is an instant, in UTC.
func utc(t *testing.T, text string) time.Time {
	t.Helper()
	at, err := time.Parse("2006-01-02 15:04:05", text)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// The examples of RFC 3339, section 5.8, with the instants that the text gives
// for them; its leap seconds are refused, as clocks of computers have none.
func TestParseTimeReadsTheExamplesOfTheStandard(t *testing.T) {
	for text, want := range map[string]string{
		"1985-04-12T23:20:50.52Z":      "1985-04-12T23:20:50.52Z",
		"1996-12-19T16:39:57-08:00":    "1996-12-20T00:39:57Z",
		"1937-01-01T12:00:27.87+00:20": "1937-01-01T11:40:27.87Z",
		"1990-12-31T23:59:60Z":         "",
		"1990-12-31T15:59:60-08:00":    "",
		// section 5.6: the letters may be small, and T a blank
		"1985-04-12t23:20:50z": "1985-04-12T23:20:50Z",
		"1985-04-12 23:20:50Z": "1985-04-12T23:20:50Z",
	} {
		at, why, hint := ParseTime(text)
		if want == "" {
			if why == "" || hint == "" {
				t.Errorf("%s is taken for %v", text, at)
			}
			continue
		}
		if got := at.UTC().Format(time.RFC3339Nano); why != "" || got != want {
			t.Errorf("%s is %s (%s), want %s", text, got, why, want)
		}
	}
}

func TestParseTimeSaysWhatIsWrong(t *testing.T) {
	for text, want := range map[string]string{
		"":                                "no time",
		"2026-12-05":                      "a day without a time",
		"2026-12-05T18:00:00":             "without the time zone's offset",
		"2026-12-05T18:00":                "without the time zone's offset",
		"2026-12-05T18:00Z":               "without seconds",
		"2026-02-29T18:00:00Z":            "calendar and clock don't have",
		"2026-12-05T24:00:00Z":            "calendar and clock don't have",
		"2026-12-05T18:60:00Z":            "calendar and clock don't have",
		"2026-12-05T18:00:00+25:00":       "calendar and clock don't have",
		"2026-13-05T18:00:00Z":            "calendar and clock don't have",
		"5.12.2026 18:00":                 "no time that can be read",
		"2026-12-05T18:00:00 CET":         "no time that can be read",
		"2026-12-05T18:00:00,5Z":          "no time that can be read",
		"2026-12-05T8:00:00Z":             "no time that can be read",
		"2026-12-05T18:00:00+0100":        "no time that can be read",
		"2026-12-05T18:00:00\u221201:00":  "no time that can be read",
		"+2026-12-05T18:00:00Z":           "no time that can be read",
		"2026-12-05T18:00:00Z and later ": "no time that can be read",
	} {
		if _, why, hint := ParseTime(text); !strings.Contains(why, want) || hint == "" {
			t.Errorf("%q: %q, %q; want %q", text, why, hint, want)
		}
	}
}

// endOfRun is the last key of run r01 of the good record.
const endOfRun = "at = 2026-10-09T14:05:00+02:00"

// held is a record whose run r01 has a hold.
func held(t *testing.T, hold string) *Content {
	t.Helper()
	return contentWith(t, "record.toml", endOfRun, endOfRun+"\nhold = "+hold)
}

func ids(c *Content) (ids []string) {
	for i := range c.Records[0].Runs {
		ids = append(ids, c.Records[0].Runs[i].ID)
	}
	return ids
}

// A run held until an instant is there from that instant on, whatever offset the
// instant is written in and also across a change of the clocks: on 2026-10-25 the
// hour from 02:00 to 03:00 happened twice in Central Europe, first with the offset
// +02:00, then with +01:00 (Directive 2000/84/EC, articles 2 and 3).
func TestAHeldRunIsThereFromItsInstantOn(t *testing.T) {
	for _, row := range []struct{ hold, opens string }{
		{`"until 2026-12-05T18:00:00Z"`, "2026-12-05 18:00:00"},
		{`"until 2026-12-05T18:00:00+02:00"`, "2026-12-05 16:00:00"},
		{`"until 2026-12-06T03:30:00+09:30"`, "2026-12-05 18:00:00"},
		{`"until 2026-12-05t10:00:00-08:00"`, "2026-12-05 18:00:00"},
		{`2026-12-05T19:00:00+01:00`, "2026-12-05 18:00:00"},
		{`"until 2026-10-25T02:30:00+02:00"`, "2026-10-25 00:30:00"},
		{`"until 2026-10-25T02:30:00+01:00"`, "2026-10-25 01:30:00"},
		{"\"second-video\"\n[[hold]]\nid = \"second-video\"\nuntil = 2026-10-25T02:30:00+02:00", "2026-10-25 00:30:00"},
	} {
		c := held(t, row.hold)
		at := utc(t, row.opens)
		for _, moment := range []struct {
			at   time.Time
			seen bool
		}{{at.Add(-time.Second), false}, {at.Add(-time.Nanosecond), false}, {at, true}, {at.Add(time.Second), true}} {
			// the same moment in another zone is the same moment
			for _, zone := range []*time.Location{time.UTC, time.FixedZone("", 2*3600), time.FixedZone("", -8*3600)} {
				got := ids(c.Visible(moment.at.In(zone)))
				if seen := len(got) == 3; seen != moment.seen || len(got) < 2 {
					t.Errorf("%s at %v: runs %v", row.hold, moment.at, got)
				}
			}
		}
	}
}

func TestAHoldWithoutATimeStays(t *testing.T) {
	far := utc(t, "9999-12-31 23:59:59")
	for _, hold := range []string{"true", "\"later\"\n[[hold]]\nid = \"later\""} {
		if got := ids(held(t, hold).Visible(far)); len(got) != 2 {
			t.Errorf("hold = %s: runs %v", hold, got)
		}
	}
	if got := ids(held(t, "false").Visible(utc(t, "1970-01-01 00:00:00"))); len(got) != 3 {
		t.Errorf("hold = false: runs %v", got)
	}
}

// What can't be read must not publish, even if somebody overlooks the error.
func TestAHoldThatCannotBeReadHolds(t *testing.T) {
	for _, hold := range []string{`"until yesterday"`, "7", "1970-01-01", `"Nobody"`, `"nobody"`, "{}", "[true]"} {
		text := strings.Replace(good(t, "record.toml"), endOfRun, endOfRun+"\nhold = "+hold, 1)
		r, _ := DecodeRecord(&File{Name: "record.toml", Text: []byte(text)}, "two-75")
		c := &Content{Records: []*Record{r}}
		if got := ids(c.Visible(utc(t, "2026-12-05 18:00:00"))); len(got) != 2 {
			t.Errorf("hold = %s: runs %v", hold, got)
		}
	}
}

// Neither a hold nor a group is in what may be published, and the content itself
// keeps them.
func TestVisibleContentHasNoHolds(t *testing.T) {
	c := held(t, "\"g\"\n[[hold]]\nid = \"g\"\nuntil = 2026-12-05T18:00:00Z\nnotice = \"later\"")
	for _, at := range []string{"2026-12-05 17:59:59", "2026-12-05 18:00:00"} {
		seen := c.Visible(utc(t, at))
		if n := len(seen.Held()); n > 0 || seen.Records[0].Holds != nil {
			t.Errorf("%d holds are left", n)
		}
	}
	if h := c.Held(); len(h) != 1 || h[0].Called() != `run "r01"` || h[0].Notice != "later" || h[0].When() != "held until 2026-12-05T18:00:00Z" || len(ids(c)) != 3 {
		t.Errorf("the content is %+v", h)
	}
}

// early are references, each to something that would be seen too late, and what is
// to be added to make it right.
var early = []struct{ what, run, rest, pool string }{
	{"a picture of a held run", `hold = true`, "[[picture]]\nfile = \"a.png\"\nshows = \"a\"\nrun = \"r01\"", "r02"},
	{"a temperature after a held run", `hold = "until 2027-01-01T00:00:00Z"`, "[[thermal]]\nspot = \"fin\"\ntemp_c = 40\nafter = \"r01\"", "r02"},
	{"a picture that opens before its run", `hold = "until 2027-01-01T00:00:01Z"`, "[[picture]]\nfile = \"a.png\"\nshows = \"a\"\nrun = \"r01\"\nhold = \"until 2027-01-01T00:00:00Z\"", "r02"},
	{"a picture of a run in a group", `hold = "g"`, "[[picture]]\nfile = \"a.png\"\nshows = \"a\"\nrun = \"r01\"\n[[hold]]\nid = \"g\"", "r02"},
	{"a pool", `hold = "g"`, "[[hold]]\nid = \"g\"\nuntil = 2027-01-01T00:00:00Z", "two-75/r01"},
}

// withRun is the good content with a line added to run r01 and tables at the end.
func withRun(t *testing.T, run, rest, pool string) *Content {
	c := contentWith(t, "record.toml", endOfRun, endOfRun+"\n"+run+"\n"+rest)
	f := &File{Name: "methods.toml", Text: []byte(strings.Replace(good(t, "methods.toml"), `"two-75/r01"`, `"`+pool+`"`, 1))}
	c.Methods, _ = DecodeMethods(f)
	return c
}

// TestCheckHolds compares what is printed with testdata/holds.txt.
func TestCheckHolds(t *testing.T) {
	var b strings.Builder
	before, after := utc(t, "2026-11-26 00:00:00"), utc(t, "2027-01-01 00:00:01")
	for _, row := range early {
		c := withRun(t, row.run, row.rest, row.pool)
		problems := c.CheckHolds(before)
		if len(problems) != 1 {
			t.Errorf("%s: %d problems", row.what, len(problems))
		}
		fmt.Fprintf(&b, "--- %s\n%s\n", row.what, problems.Error())
		if strings.Contains(row.run+row.rest, "2027") && len(c.CheckHolds(after)) > 0 {
			t.Errorf("%s: still a problem when all is open", row.what)
		}
	}
	golden(t, "testdata/holds.txt", b.String())
}

// withHeldUnit is withRun with a hold of the unit, and without methods, whose pool
// names a run of it.
func withHeldUnit(t *testing.T, unit, run, rest string) *Content {
	c := withRun(t, run, rest, "r02")
	c.Methods = nil
	f := &File{Name: "record.toml", Text: []byte("[unit]\nmaker = \"m\"\nmodel = \"m\"\nchannels = [\"L\"]\n" + unit)}
	r, _ := DecodeRecord(f, "two-75")
	c.Records[0].Unit.Hold = r.Unit.Hold
	return c
}

// What is held at least as long as the run that it names is right, and so is
// everything within a held unit that opens with it.
func TestCheckHoldsLetsWellAlone(t *testing.T) {
	const picture = "[[picture]]\nfile = \"a.png\"\nshows = \"a\"\nrun = \"r01\"\n"
	const group = "[[hold]]\nid = \"g\"\n"
	for name, c := range map[string]*Content{
		"no hold":      withRun(t, "", picture, "two-75/r01"),
		"open by now":  withRun(t, `hold = "until 2026-11-26T00:00:00Z"`, picture, "two-75/r01"),
		"same time":    withRun(t, `hold = "until 2027-01-01T01:00:00+01:00"`, picture+`hold = "until 2027-01-01T00:00:00Z"`, "r02"),
		"same group":   withRun(t, `hold = "g"`, picture+"hold = \"g\"\n"+group, "r02"),
		"later":        withRun(t, `hold = "until 2027-01-01T00:00:00Z"`, picture+"hold = true", "r02"),
		"both by hand": withRun(t, `hold = "g"`, picture+"hold = true\n"+group, "r02"),
		"held unit":    withHeldUnit(t, "hold = true", `hold = "until 2027-01-01T00:00:00Z"`, picture),
	} {
		if problems := c.CheckHolds(utc(t, "2026-11-26 00:00:00")); len(problems) > 0 {
			t.Errorf("%s: %v", name, problems)
		}
	}
}

// Once a content passes, it passes at any later time, and what the checks let
// through has no loose end at any of its times.
func TestWhatPassesNowPassesLater(t *testing.T) {
	holds := []string{"", "hold = true", `hold = "g"`, `hold = "until 2027-01-01T00:00:00Z"`, `hold = "until 2027-01-01T00:00:00+01:00"`, `hold = "until 2028-01-01T00:00:00Z"`}
	times := []string{"2026-11-26 00:00:00", "2026-12-31 22:59:59", "2026-12-31 23:00:00", "2027-01-01 00:00:00", "2027-06-01 00:00:00", "2028-01-01 00:00:00", "9999-01-01 00:00:00"}
	for _, run := range holds {
		for _, picture := range holds {
			for _, unit := range holds {
				rest := "[[picture]]\nfile = \"a.png\"\nshows = \"a\"\nrun = \"r01\"\n" + picture + "\n[[hold]]\nid = \"g\"\nuntil = 2027-05-01T00:00:00Z\n"
				c := withHeldUnit(t, unit, run, rest)
				passed := false
				for _, text := range times {
					at := utc(t, text)
					ok := len(c.CheckHolds(at)) == 0
					if passed && !ok {
						t.Fatalf("run %s, picture %s, unit %s: passes before %s and not then", run, picture, unit, text)
					}
					passed = ok
					if seen := c.Visible(at); ok && seen.Check().Errors() {
						t.Fatalf("run %s, picture %s, unit %s at %s: %v", run, picture, unit, text, seen.Check())
					}
				}
			}
		}
	}
}

// Every table of a record that has a hold is listed and taken out. The tables are
// found in the schema, so that a new one isn't forgotten.
func TestEveryTableWithAHoldIsHeld(t *testing.T) {
	found := 0
	for i := range reflect.TypeFor[Record]().NumField() {
		var r Record
		list := reflect.ValueOf(&r).Elem().Field(i)
		if list.Kind() != reflect.Slice || list.Type().Elem().Kind() != reflect.Struct {
			continue
		}
		if _, has := list.Type().Elem().FieldByName("Hold"); !has {
			continue
		}
		found++
		list.Set(reflect.MakeSlice(list.Type(), 2, 2))
		hold := list.Index(0).FieldByName("Hold").Addr().Interface().(*Hold)
		*hold = Hold{On: true, Place: Place{node: &node{}}}
		c := &Content{Records: []*Record{&r}}
		seen := reflect.ValueOf(c.Visible(time.Time{}).Records[0]).Elem().Field(i)
		if held := c.Held(); len(held) != 1 || seen.Len() != 1 || list.Len() != 2 {
			t.Errorf("of %v %d are held and %d seen", list.Type(), len(held), seen.Len())
		}
	}
	if found != 9 {
		t.Errorf("%d tables have a hold; visible.go and the README say which", found)
	}
}

// Every key that names something else is known here: what it names may be held, and
// CheckHolds looks at it, or can't be.
func TestEveryReferenceIsLookedAt(t *testing.T) {
	known := map[string]string{
		"unit.follows": "CheckHolds",
		"run.method":   "methods.toml", "run.load": "bench.toml", "picture.run": "CheckHolds", "thermal.after": "CheckHolds",
		"run.with.power_w": "bench.toml", "run.with.out_v": "bench.toml", "run.with.thdn_pct": "bench.toml", "run.with.supply_v": "bench.toml",
		"run.with.supply_a": "bench.toml", "run.with.supply_w": "bench.toml", "run.with.load_c": "bench.toml",
		"run.capture": "a capture is held as long as all its runs are", "capture.recorder": "bench.toml", "spec.capture": "as run.capture",
	}
	var names []string
	var walk func(s *schema, path string)
	walk = func(s *schema, path string) {
		for _, f := range s.fields {
			if f.kind == aRef || f.kind == refs {
				names = append(names, path+f.key)
			}
			if f.sub != nil {
				walk(f.sub, path+f.key+".")
			}
		}
	}
	walk(schemaOf(reflect.TypeFor[Record]()), "")
	for _, ref := range names {
		if known[ref] == "" {
			t.Errorf("%s names something: if that may be held, check_hold.go has to look at it", ref)
		}
	}
	if len(names) != len(known) {
		t.Errorf("the references are %v", slices.Sorted(slices.Values(names)))
	}
}

// TestSuccessorOfAHeldUnit: a unit is not seen before the earlier model that it
// names, but may open with it or after it.
func TestSuccessorOfAHeldUnit(t *testing.T) {
	unit := func(slug, added string) *Record {
		r, problems := DecodeRecord(&File{Name: slug + "/record.toml", Text: []byte("[unit]\nmaker = \"m\"\nmodel = \"m\"\nchannels = [\"L\"]\n" + added + "\n[source]\nhow = \"own\"\nfrom = \"me\"\n")}, slug)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return r
	}
	for _, row := range []struct {
		earlier, later string
		found          bool
	}{
		{"", "", false},
		{"hold = true", "", true},
		{`hold = "until 2027-01-01T00:00:00Z"`, "", true},
		{`hold = "until 2027-01-01T00:00:01Z"`, `hold = "until 2027-01-01T00:00:00Z"`, true},
		{`hold = "until 2027-01-01T00:00:00Z"`, `hold = "until 2027-01-01T01:00:00+01:00"`, false},
		{"hold = true", "hold = true", false},
	} {
		c := &Content{Records: []*Record{unit("one", row.earlier), unit("two", "follows = \"one\"\n"+row.later)}}
		problems := c.CheckHolds(utc(t, "2026-11-26 00:00:00"))
		if found := len(problems) > 0; found != row.found {
			t.Errorf("%q then %q: %v", row.earlier, row.later, problems)
		}
	}
}
