package record

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
)

// TestDecodeRecord goes through a record as a tester types it.
func TestDecodeRecord(t *testing.T) {
	f := &File{Name: "content/units/two-75/record.toml", Text: []byte(good(t, "record.toml"))}
	r, problems := DecodeRecord(f, "two-75")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if r.Slug != "two-75" || r.Unit.Maker != "Invented Maker" || !reflect.DeepEqual(r.Unit.Channels, []string{"L", "R"}) {
		t.Errorf("unit: %+v", r.Unit)
	}
	if r.Unit.Use != "car" || r.Unit.Supply != "dc" || r.Runs[0].Outcome != "completed" || r.Claims[0].Signal != "continuous" {
		t.Error("an absent key isn't what its schema says")
	}
	run := r.Runs[0]
	if run.Method.ID != "thd1" || len(run.Load.Items) != 2 || run.Load.Items[1].ID != "l4b" {
		t.Errorf("references: %+v", run)
	}
	out := run.OutV.Items
	if len(out) != 2 || out[0].Value != 17.52 || out[0].Text != "17.52" || out[1].Value != 17.48 {
		t.Errorf("out_v: %+v", out)
	}
	for _, c := range []struct {
		what         string
		place        Place
		line, column int
	}{
		{"the run", run.Place, 30, 1}, {"out_v", run.OutV.Place, 34, 9}, {"its second item", out[1].Place, 34, 17},
		{"the method", run.Method.Place, 32, 10}, {"the claim's channels", r.Claims[1].Channels.Place, 27, 12},
		{"a scalar of Numbers", r.Runs[1].OutV.Items[0].Place, 45, 9}, {"with", r.Runs[1].With.Place, 48, 1},
		{"an instrument", r.Runs[1].With.SupplyV.Place, 48, 17}, {"a channel's name", r.Unit.Key("channels").Item(1), 5, 18},
		{"an absent key", r.Unit.Key("serial"), 2, 1}, {"an absent item", run.OutV.Item(7), 34, 9},
	} {
		if file, line, column := c.place.Position(); file != f.Name || line != c.line || column != c.column {
			t.Errorf("%s stands at %d:%d, not %d:%d", c.what, line, column, c.line, c.column)
		}
	}
	if run.FreqHz.Given() || run.SupplyW.Given() || !run.SupplyA.Given() || run.FreqHz.Or(1000) != 1000 || run.SupplyA.Or(1) != 17.9 {
		t.Error("Given or Or is wrong")
	}
}

// TestDefaults: what is taken for an absent number has a value, but wasn't given.
func TestDefaults(t *testing.T) {
	s, problems := DecodeSite(&File{Name: "site.toml", Text: []byte("title = \"a\"\ntester = \"b\"\n")})
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if s.Language != "en" || s.Rule.MetFrom.Value != 0.95 || s.Rule.ShortTo.Value != 0.05 || s.Rule.AllowancePct.Value != 0 {
		t.Errorf("got %+v", s)
	}
	if s.Rule.MetFrom.Given() || s.Rule.Given() || s.Rule.MetFrom.Or(0.9) != 0.9 || s.Assume.ThdnPct.Given() {
		t.Error("a default passes for given")
	}
	if _, line, _ := s.Rule.Position(); line != 0 {
		t.Error("an absent table has a place")
	}
}

// TestBrokenFileGivesValue: a value that can be used comes from any text.
func TestBrokenFileGivesValue(t *testing.T) {
	r, problems := DecodeRecord(&File{Name: "r", Text: []byte("[unit")}, "two-75")
	if r == nil || r.Slug != "two-75" || r.Unit.Use != "car" || !problems.Errors() {
		t.Errorf("got %+v, %v", r, problems)
	}
	b, _ := DecodeBench(&File{Name: "b", Text: []byte("[[load]]\nid = \"l4\"\nohm = \"4\"\nnominal_ohm = 4\n")})
	if l := b.Load("l4"); l == nil || l.NominalOhm.Value != 4 || !l.Ohm.Given() || l.LeadPct.Value != 10 {
		t.Errorf("got %+v", b)
	}
	if _, problems := DecodeRecord(&File{Name: "r", Text: []byte(good(t, "record.toml"))}, "Two 75"); len(problems) != 1 ||
		problems[0].String() != "r:1:1: the unit's folder is called \"Two 75\", which can't be part of an address\n"+
			"hint: an id has the letters a to z, digits and inner hyphens: two-75\n" {
		t.Errorf("got %v", problems)
	}
}

// TestMoments: each way in which TOML writes a moment becomes RFC 3339, as the
// time package reads it.
func TestMoments(t *testing.T) {
	want := time.Date(2026, 10, 9, 12, 5, 0, 0, time.UTC)
	for _, text := range []string{
		"2026-10-09T14:05:00+02:00", "2026-10-09t12:05:00z", "2026-10-09 12:05:00.000Z", "2026-10-09 14:05+02:00", "2026-10-09T12:05Z",
	} {
		r, _ := DecodeRecord(&File{Name: "r", Text: []byte("[[run]]\nat = " + text + "\n")}, "x")
		if got, err := time.Parse(time.RFC3339, r.Runs[0].At.Text); err != nil || !got.Equal(want) {
			t.Errorf("%s became %q: %v", text, r.Runs[0].At.Text, err)
		}
	}
}

// TestHostileTextIsKept: markup is text like any other.
func TestHostileTextIsKept(t *testing.T) {
	const text = `<script>alert("1")</script> ](javascript:x) {{.}} ${x} %s`
	r, problems := DecodeRecord(&File{Name: "r", Text: []byte("[unit]\nmaker = '" + text + "'\nmodel = 'm'\nchannels = ['<b>']\n[source]\nhow = 'own'\nfrom = 'x'\n")}, "x")
	if len(problems) > 0 || r.Unit.Maker != text || r.Unit.Channels[0] != "<b>" {
		t.Errorf("got %q, %v", r.Unit.Maker, problems)
	}
}

// TestNumberHints: a hint never offers another quantity than was typed. The
// conversions are those of the SI prefixes (BIPM, The International System of
// Units, 9th edition, table 7) and of the international pound, 0.453 592 37 kg.
func TestNumberHints(t *testing.T) {
	for _, c := range []struct{ key, text, want string }{
		{"freq_hz", "1 kHz", "freq_hz is in hertz: freq_hz = 1000"},
		{"freq_hz", "1,5kHz", "freq_hz is in hertz: freq_hz = 1500"},
		{"power_w", "1.2 kW", "power_w is in watts: power_w = 1200"},
		{"power_w", "75 W RMS", "the key carries its unit: power_w = 75"},
		{"power_w", "5 MW", "power_w is in watts: write the number in that unit, without quotes"},
		{"power_w", "75 hp", "power_w is in watts: write the number in that unit, without quotes"},
		{"supply_a", "900 mA", "supply_a is in amperes: supply_a = 0.9"},
		{"load_ohm", "4 Ω", "the key carries its unit: load_ohm = 4"},
		{"load_ohm", "4Ω", "the key carries its unit: load_ohm = 4"},
		{"load_ohm", "2 x 4", "load_ohm is in ohms: write the number in that unit, without quotes"},
		{"load_ohm", "1,000", "without quotes, and with nothing between thousands; a decimal is written with a point"},
		{"thdn_pct", "1 %", "the key carries its unit: thdn_pct = 1"},
		{"thdn_pct", "0,05", "with a decimal point and without quotes: thdn_pct = 0.05"},
		{"mass_kg", "2.5 lb", "mass_kg is in kilograms: mass_kg = 1.13398093"},
		{"load_c", "85 °C", "the key carries its unit: load_c = 85"},
		{"load_c", "185 F", "load_c is in degrees Celsius: write the number in that unit, without quotes"},
	} {
		f := &field{key: c.key, kind: aNumber}
		if got := numberHint(f, Place{node: &node{name: c.key}}, c.text); got != c.want {
			t.Errorf("%s = %q: %q, not %q", c.key, c.text, got, c.want)
		}
	}
}

// TestDistance: pairs and counts of the optimal string alignment, of which
// "ca" and "abc" at 3 is the textbook case (it is 2 where swapped letters may
// be edited again); "kitten" and "sitting" is Levenshtein's usual example.
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"a", "", 1}, {"kitten", "sitting", 3}, {"ca", "abc", 3}, {"form", "from", 1}, {"powr_w", "power_w", 1}, {"ca", "ac", 1}, {"", "abc", 3}, {"same", "same", 0}, {"Ω", "O", 1}} {
		if got := Distance(c.a, c.b); got != c.want || Distance(c.b, c.a) != c.want {
			t.Errorf("%s, %s: %d, not %d", c.a, c.b, got, c.want)
		}
	}
}

// TestSchemas: every tag of the schema can be read and says what its key is.
func TestSchemas(t *testing.T) {
	var walk func(s *schema, path string)
	walk = func(s *schema, path string) {
		for _, f := range s.fields {
			switch {
			case f.about == "" || strings.HasSuffix(f.about, "."):
				t.Errorf("%s.%s has no sentence about it, or one with a period", path, f.key)
			case f.sub != nil:
				walk(f.sub, path+"."+f.key)
			case (f.kind == aText || f.kind == texts) && f.form == "" && f.words == nil:
				t.Errorf("%s.%s has no form", path, f.key)
			case f.words != nil && f.otherwise != "" && nearest(f.otherwise, f.words) != f.otherwise:
				t.Errorf("%s.%s is otherwise no word of its own", path, f.key)
			}
		}
	}
	for _, v := range []any{Site{}, Bench{}, Methods{}, Record{}} {
		walk(schemaOf(reflect.TypeOf(v)), fmt.Sprintf("%T", v))
	}
	for _, quantity := range ReadQuantities {
		if schemaOf(reflect.TypeFor[Run]()).byKey[quantity] == nil || schemaOf(reflect.TypeFor[Quantities]()).byKey[quantity] == nil {
			t.Errorf("%s is no key of a run", quantity)
		}
	}
}

// TestLookups goes through the small questions that other rooms ask.
func TestLookups(t *testing.T) {
	c := contentWith(t, "", "", "")
	runs, unit := c.Records[0].Runs, &c.Records[0].Unit
	if got := runs[0].DrivenOf(unit); !reflect.DeepEqual(got, []string{"L", "R"}) {
		t.Errorf("driven: %v", got)
	}
	if got := runs[2].DrivenOf(unit); !reflect.DeepEqual(got, []string{"L+R"}) {
		t.Errorf("driven: %v", got)
	}
	meter := c.Bench.Instrument("meter")
	for _, row := range []struct{ value, to float64 }{{0, 6}, {6, 6}, {6.01, 60}, {-6.01, 60}, {60, 60}} {
		if r := meter.RangeFor("out_v", row.value); r == nil || r.To.Value != row.to {
			t.Errorf("range for %v: %+v", row.value, r)
		}
	}
	if meter.RangeFor("out_v", 60.01) != nil || meter.RangeFor("supply_a", 1) != nil {
		t.Error("a range that the meter hasn't")
	}
	if runs[1].InstrumentFor("supply_v", c.Bench) != meter || runs[0].InstrumentFor("supply_a", c.Bench).ID != "clamp" || runs[0].InstrumentFor("load_c", c.Bench) != nil {
		t.Error("wrong instrument")
	}
	if c.Method("thd1") == nil || c.Method("x") != nil || c.Bench.Load("l4a") == nil || c.Bench.Load("") != nil {
		t.Error("wrong method or load")
	}
}

// longRecord is a record of about 120 lines.
func longRecord() string {
	var b strings.Builder
	b.WriteString("# A long record.\n[unit]\nmaker = \"Invented Maker\"\nmodel = \"Two 75\"\nchannels = [\"L\", \"R\"]\nclass = \"AB\"\n[source]\nhow = \"bought\"\nfrom = \"a shop\"\n")
	for i := range 3 {
		fmt.Fprintf(&b, "[[claim]]\nid = \"rated-%d\"\npower_w = %d\nload_ohm = %d\nchannels = 2\nsupply_v = 14.4\nthdn_pct = 1\n\n", i, 75+i, 1+i)
	}
	for i := range 8 {
		fmt.Fprintf(&b, "[[run]]\nid = \"r%02d\"\nmethod = \"thd1\"\nload = [\"l4a\", \"l4b\"]\nout_v = [17.%d, 17.48]\nthdn_pct = [0.99, 1.01]\nsupply_v = 14.31\nsupply_a = 17.9 # clamp\nambient_c = 23.5\nat = 2026-10-09T14:05:00+02:00\n\n", i, 50+i)
	}
	return b.String()
}

// BenchmarkDecode compares decoding a record with what the TOML decoder alone
// takes for it.
func BenchmarkDecode(b *testing.B) {
	text := longRecord()
	f := &File{Name: "record.toml", Text: []byte(text)}
	if _, problems := DecodeRecord(f, "two-75"); len(problems) > 0 {
		b.Fatal(problems)
	}
	b.Run("record", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			DecodeRecord(f, "two-75")
		}
	})
	b.Run("bare", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			var values map[string]any
			if _, err := toml.Decode(text, &values); err != nil {
				b.Fatal(err)
			}
		}
	})
}
