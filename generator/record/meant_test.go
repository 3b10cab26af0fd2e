package record

import (
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
