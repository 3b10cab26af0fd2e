package record

import (
	"reflect"
	"slices"
	"strings"
	"testing"
)

// A key or a word that a run is refused for is one mistake: what it was meant for isn't
// called missing as well. What is really missing still is.
func TestMeantKeysAreNotMissing(t *testing.T) {
	const head = "[unit]\nmaker = \"Otter\"\nmodel = \"Two\"\nchannels = [\"mono\"]\n[source]\nhow = \"own\"\nfrom = \"myself\"\n[[run]]\nid = \"r01\"\nmethod = \"thd1\"\n"
	for _, c := range []struct {
		run  string
		want []string
	}{
		{"load = \"l4a\"\nOut_V = 17.5", []string{`"Out_V" is not a key of [[run]]`}},
		{"load = \"l4a\"\nout = 17.5", []string{`"out" is not a key of [[run]]`}},
		{"load = \"l4a\"\nwatts = 75", []string{`"watts" is not a key of [[run]]`}},
		{"load = \"l4a\"\noutcome = \"Fuse\"", []string{`outcome is "Fuse"; it takes`}},
		{"load = \"l4a\"\nresult = \"fuse\"", []string{`"result" is not a key of [[run]]`}},
		{"Load = \"l4a\"\nout_v = 17.5", []string{`"Load" is not a key of [[run]]`}},
		{"impedance = 4\nout_v = 17.5", []string{`"impedance" is not a key of [[run]]`}},
		{"loads = [\"l4a\"]\nOutput_V = 17.5", []string{`"loads" is not a key of [[run]]`, `"Output_V" is not a key of [[run]]`}},
		{"out_v = 17.5", []string{"[[run]] has neither load nor load_ohm"}},
		{"load = \"l4a\"", []string{"[[run]] has neither out_v nor power_w"}},
		{"load = \"l4a\"\noutcome = \"completed\"", []string{"[[run]] has neither out_v nor power_w"}},
		{"load = \"l4a\"\nAmbient_C = 20", []string{"[[run]] has neither out_v nor power_w", `"Ambient_C" is not a key of [[run]]`}},
	} {
		content := contentWith(t, "", "", "")
		r, problems := DecodeRecord(&File{Name: "record.toml", Text: []byte(head + c.run + "\n")}, "two-75")
		content.Records = []*Record{r}
		for _, p := range content.Check() {
			if p.File == "record.toml" {
				problems = append(problems, p)
			}
		}
		problems.Sort()
		if len(problems) != len(c.want) {
			t.Errorf("%s: %d problems, not %d:\n%v", c.run, len(problems), len(c.want), problems)
			continue
		}
		for i, want := range c.want {
			if !strings.HasPrefix(problems[i].Summary, want) {
				t.Errorf("%s: problem %d is %q, not %q", c.run, i+1, problems[i].Summary, want)
			}
		}
	}
}

// A video's length goes by several words; in a claim the same words are something else.
func TestOtherWordsForLasts(t *testing.T) {
	const head = "[unit]\nmaker = \"Otter\"\nmodel = \"Two\"\nchannels = [\"mono\"]\n[source]\nhow = \"own\"\nfrom = \"myself\"\n"
	for text, want := range map[string]string{
		"[[video]]\nid = \"a\"\ntitle = \"A\"\nlength = \"12:00\"\n":                       "did you mean lasts?",
		"[[video]]\nid = \"a\"\ntitle = \"A\"\nduration = \"12:00\"\n":                     "did you mean lasts?",
		"[[claim]]\nid = \"a\"\npower_w = 1\nload_ohm = 4\nchannels = 1\nduration = 300\n": "did you mean duration_s? it is in seconds",
	} {
		_, problems := DecodeRecord(&File{Name: "record.toml", Text: []byte(head + text)}, "two-75")
		if len(problems) != 1 || problems[0].Hint != want {
			t.Errorf("%s%v\nwant the hint %s", text, problems, want)
		}
	}
}

// Other words for the words that a key takes are understood, each leads to one it takes.
func TestOtherWordsForWords(t *testing.T) {
	const head = "[unit]\nmaker = \"Otter\"\nmodel = \"Two\"\nchannels = [\"mono\"]\n"
	for text, want := range map[string]string{
		"[source]\nhow = \"purchased\"\nfrom = \"a shop\"\n":                                                                     `did you mean "bought"?`,
		"[source]\nhow = \"own\"\nfrom = \"me\"\n[[run]]\nid = \"a\"\nmethod = \"m\"\noutcome = \"Shutdown\"\n":                  `did you mean "protected"?`,
		"[source]\nhow = \"own\"\nfrom = \"me\"\n[[spec]]\nid = \"a\"\nname = \"mass\"\nlimit = \"max\"\nstated = 4\n":           `did you mean "at-most"?`,
		"[source]\nhow = \"own\"\nfrom = \"me\"\n[[function]]\nname = \"clip lamp\"\nresult = \"broken\"\n":                      `did you mean "fails"?`,
		"[source]\nhow = \"own\"\nfrom = \"me\"\n[[run]]\nid = \"a\"\nmethod = \"m\"\noutcome = \"gone with the wind, twice\"\n": "outcome: how the run ended",
	} {
		_, problems := DecodeRecord(&File{Name: "record.toml", Text: []byte(head + text)}, "two-75")
		if len(problems) != 1 || problems[0].Hint != want {
			t.Errorf("%s%v\nwant the hint %s", text, problems, want)
		}
	}
	for _, of := range []reflect.Type{reflect.TypeFor[Run](), reflect.TypeFor[Source](), reflect.TypeFor[Claim](), reflect.TypeFor[Function](), reflect.TypeFor[Spec]()} {
		for key, words := range otherWords {
			f := schemaOf(of).byKey[key]
			if f == nil || f.words == nil {
				continue
			}
			for other, word := range words {
				if !slices.Contains(f.words, word) || slices.Contains(f.words, other) {
					t.Errorf("%s of %s: %q for %q, which takes %q", key, of, other, word, f.words)
				}
			}
		}
	}
}

// A reading that is refused for what it is isn't held against its instrument too.
func TestRefusedReadingIsOneMistake(t *testing.T) {
	bench := "[usual]\nsupply_v = \"dc\"\n[[instrument]]\nid = \"dc\"\nname = \"dc\"\n[[instrument.range]]\nreads = \"supply_v\"\nto = 59.99\nreading_pct = 0.1\ncorrection = -0.006\ncorrection_pm = 0.004\n"
	const head = "[unit]\nmaker = \"Otter\"\nmodel = \"Two\"\nchannels = [\"mono\"]\n[source]\nhow = \"own\"\nfrom = \"myself\"\n[[run]]\nid = \"r01\"\nmethod = \"thd1\"\nload = \"l4a\"\nout_v = 17.5\n"
	for text, want := range map[string]string{
		"supply_v = \"14,4\"": `supply_v is "14,4", a text; a number is needed`,
		"supply_v = nan":      "supply_v is nan, which no instrument shows",
		"supply_v = 1440":     "supply_v is 1440; it has to be at least 0.001 and at most 1000",
		"supply_v = 144":      `supply_v is 144, beyond the largest range of instrument "dc" (59.99)`,
		"supply_v = 0.005":    `supply_v is 0.005, and the correction of instrument "dc" takes it to -0.001`,
	} {
		content := contentWith(t, "", "", "")
		meters, refused := DecodeBench(&File{Name: "bench.toml", Text: []byte(bench)})
		if len(refused) > 0 {
			t.Fatal(refused)
		}
		content.Bench = meters
		r, problems := DecodeRecord(&File{Name: "record.toml", Text: []byte(head + text + "\n")}, "two-75")
		content.Records = []*Record{r}
		for _, p := range content.Check() {
			if p.File == "record.toml" && strings.Contains(p.Summary, "supply_v") {
				problems = append(problems, p)
			}
		}
		if len(problems) != 1 || problems[0].Summary != want {
			t.Errorf("%s: %v\nwant %s", text, problems, want)
		}
	}
}
