package generator_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"wattsheet/generator/plan"
)

// Every numeric key of bench, methods and record with numbers at the ends of what is
// taken: what passes the checks gives a plan of numbers only.
func TestEverySpoiledNumberIsPlanned(t *testing.T) {
	values := []string{"0", "1e-9", "0.001", "0.01", "1", "50", "1000", "999_999", "1e12"}
	if testing.Short() {
		values = []string{"0", "0.001", "1000"}
	}
	planned := 0
	for _, file := range []string{"bench.toml", "methods.toml", "units/spoiled/record.toml"} {
		text := whole[file]
		if file == "units/spoiled/record.toml" {
			text = text[:strings.Index(text, "[[run]]")] // a plan looks at no run
		}
		root := placed(t, whole)
		for _, at := range keyed.FindAllStringSubmatchIndex(text, -1) {
			for _, value := range values {
				if err := write(root, map[string]string{file: text[:at[4]] + value + text[at[5]:] + strings.TrimPrefix(whole[file], text)}); err != nil {
					t.Fatal(err)
				}
				s, problems := loaded(t, root)
				if problems.Errors() {
					continue
				}
				planned++
				p := plan.Make(s.Content, s.Content.Records[0], "2026-11-26")
				said := fmt.Sprintf("%s, %s = %s", file, text[at[2]:at[3]], value)
				if out := p.JSON(); bytes.Contains(out, []byte(": null")) {
					t.Errorf("%s: the plan has what is no number:\n%.3000s", said, out)
				}
				if out := strings.Join(p.Text(), "\n"); noNumberIn(out) != nil || strings.Contains(out, "%!") {
					t.Errorf("%s: the text has what is no number:\n%s", said, out)
				}
				p.Page()
			}
		}
	}
	if planned < 30*len(values)/2 {
		t.Errorf("only %d spoiled contents were planned", planned)
	}
}
