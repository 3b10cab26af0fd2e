package record

import (
	"bytes"
	"strings"
	"testing"
)

const rewriteHead = "# how runs are made\n[[method]]\nid = \"one\"\ntitle = \"at 1 %\"   # a comment\nwording = \"driven up\"\n"

// Only the pool changes: comments, blanks, other methods and line ends stay.
func TestRewritePool(t *testing.T) {
	pool := PoolText{RelPct: "0.91", DoF: "14", Date: "2026-11-01", Runs: []string{"a/r1", "b/r2"}}
	tail := "\n[[method]] # Ω\nid = \"two\"\ntitle = \"two\"\nwording = \"\"\"\nlong\n\"\"\"\n"
	rows := []struct{ name, before, after string }{
		{"a table of its own",
			rewriteHead + "[method.pool]\nrel_pct = 0.8 # declared\ndof = 8\ndate = 2026-08-30\n" + tail,
			rewriteHead + "[method.pool]\nrel_pct = 0.91 # declared\ndof = 14\ndate = 2026-11-01\nruns = [\"a/r1\", \"b/r2\"]\n" + tail},
		{"a table with runs over several lines",
			rewriteHead + "[method.pool]\nruns = [\n  \"x/r1\", # first\n]\nrel_pct = 0.8\n" + tail,
			rewriteHead + "[method.pool]\nruns = [\"a/r1\", \"b/r2\"]\nrel_pct = 0.91\ndof = 14\ndate = 2026-11-01\n" + tail},
		{"an inline table",
			rewriteHead + "pool = { rel_pct = 0.8 } # here\n" + tail,
			rewriteHead + "pool = { rel_pct = 0.91, dof = 14, date = 2026-11-01, runs = [\"a/r1\", \"b/r2\"] } # here\n" + tail},
		{"none yet",
			rewriteHead + tail,
			rewriteHead[:len(rewriteHead)-1] + "\n\n[method.pool]\nrel_pct = 0.91\ndof = 14\ndate = 2026-11-01\nruns = [\"a/r1\", \"b/r2\"]\n" + tail},
	}
	for _, r := range rows {
		f := &File{Name: "methods.toml", Text: []byte(r.before)}
		m, problems := DecodeMethods(f)
		if problems.Errors() {
			t.Fatalf("%s: %v", r.name, problems)
		}
		got, err := RewritePool(f, &m.Methods[0], pool)
		if err != nil {
			t.Errorf("%s: %v", r.name, err)
			continue
		}
		if string(got) != r.after {
			t.Errorf("%s:\n%s\nwant\n%s", r.name, got, r.after)
		}
		if !bytes.Equal(f.Text, []byte(r.before)) {
			t.Errorf("%s: the text given was changed", r.name)
		}
	}
}

func TestRewritePoolOfInlineMethod(t *testing.T) {
	f := &File{Name: "methods.toml", Text: []byte(`method = [{ id = "one", title = "x", wording = "y" }]`)}
	m, problems := DecodeMethods(f)
	if problems.Errors() {
		t.Fatal(problems)
	}
	if _, err := RewritePool(f, &m.Methods[0], PoolText{RelPct: "1", DoF: "8", Date: "2026-01-01"}); err == nil || !strings.Contains(err.Error(), "[[method]]") {
		t.Errorf("want a word on the inline table, got %v", err)
	}
}
