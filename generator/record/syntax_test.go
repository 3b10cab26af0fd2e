package record

import (
	"fmt"
	"strings"
	"testing"
)

// broken are texts that are no valid TOML, as people mistype them.
var broken = []string{
	"power_w = 74,3", "power_w = 74.3 W", "power_w = 74.3W # at the meter", "load_ohm = 4Ω", "price = 300 €", "price = $ 300",
	"power_w =", "power_w", "power w = 3", "power_w 74", "power_w: 74", "= 3", ".a = 3", "]",
	"model = Two 75", "model = “Two 75”", `model = "Two 75`, `model = "Two "75" x"`, "model = 'Two\n75'", "remarks = \"\"\"Two\n75\n[run]\n",
	`remarks = """a""""""`, `model = "Two" "75"`, `model = "C:\Users"`, `model = "Two\ 75"`, `model = "Two \75"`, `model = "\uD800"`, `model = "\x4"`,
	"model = \"a\x01b\"", "model = \"a\rb\"", "model = \x00", "model = \"Caf\xe9\"", "\xff\xfeu\x00",
	"bridged = True", "bridged = yes", "a = nul",
	"at = 9.10.2026", "at = 10/9/2026", "at = 2026-13-40", "at = 2026-10-09 25:00:00Z",
	"power_w = 07", "power_w = .5", "power_w = 5.", "power_w = 1__0", "power_w = 1e", "power_w = -", "power_w = 99999999999999999999",
	"out_v = 17.52, 17.48", "out_v = [17.52 17.48]", "[[run]]\nout_v = [17.52, 17.48\nthdn_pct = 1", "out_v = [17.52,, 17.48]",
	"with = { a = 1", "with = { a = 1 b = 2 }",
	"[unit", "[[run]", "[]", "[.a]", "[unit] maker = 1", "[unit]]",
	"power_w = 74.3 // at the meter", "model = \"Two\" /* sic */", "load = \"a4\" -- the left one", "ambient_c = −5.5", "ambient_c = – 5",
	"[unit]\rmaker = 1",
	"a = 1\na = 2", "[unit]\n[source]\n[unit]", "[[run]]\n[run]", "[run]\n[[run]]", "a = 1\n[a.b]",
	"[[run]]\nout_v = [17.52,\nthdn_pct = 1", "[[run]]\nout_v = [\n  17.52,\n[[claim]]\nid = \"a\"", "out_v = [17.52, # left", "out_v = [\n17.52,\na4 # = left\n]", "with = { a = 1,",
	"a. = 1", "a..b = 1", "a = 0xg", "a = -0x1",
	"a = " + strings.Repeat("[", 30) + strings.Repeat("]", 30), "a" + strings.Repeat(".a", 30) + " = 1",
}

// typed are texts that end where somebody is still typing, and saves: no line end follows.
var typed = []string{
	"power_w", "power_w ", "power", "a.b", "a.", `"power"`, "power_w =", `model = "Two`, "model = 'Two", `remarks = """Two`, "[", "[[ru", "[[run]", "bridged = tr", "at = 2026-", "a = -", "a = 0x", "a = 1e",
	"[[run]]\nout_v = [", "[[run]]\nout_v = [17.52,", "[[run]]\nout_v = [\n  17.52", "[[run]]\nout_v = [\n  17.52,\n", `load = ["a4", "b`, "with = {", "with = { out", "with = { out_v =", `with = { out_v = "m"`, `with = { out_v = "m",`,
}

// TestSyntax compares what is printed for broken texts with testdata/syntax.txt.
func TestSyntax(t *testing.T) {
	var b strings.Builder
	told := func(text, end string) {
		_, problems := DecodeRecord(&File{Name: "record.toml", Text: []byte(text + end)}, "two-75")
		if len(problems) != 1 {
			t.Errorf("%q: %d problems, not one:\n%v", text, len(problems), problems)
		}
		fmt.Fprintf(&b, "--- %q\n%s\n", text, problems.Error())
	}
	for _, text := range broken {
		told(text, "\n")
	}
	b.WriteString("\nwithout a line end\n")
	for _, text := range typed {
		told(text, "")
	}
	golden(t, "testdata/syntax.txt", b.String())
}

// TestNesting proves that depth costs the decoder neither stack nor time,
// whatever else is wrong with the text.
func TestNesting(t *testing.T) {
	for _, text := range []string{
		"a = " + strings.Repeat("[", 1<<20),
		"a = " + strings.Repeat("{a=", 1<<20),
		"a" + strings.Repeat(".a", 1<<20) + " = 1",
		"[a" + strings.Repeat(".a", 1<<20) + "]",
		"a = { " + strings.Repeat("a.", 1<<20) + "a = 1 }",
		"x = 1 1\na = " + strings.Repeat("[", 1<<20),
		strings.Repeat("[", 1<<20),
	} {
		if _, problems := DecodeSite(&File{Name: "site.toml", Text: []byte(text)}); len(problems) != 1 {
			t.Errorf("%.20q…: %d problems, not one", text, len(problems))
		}
	}
}
