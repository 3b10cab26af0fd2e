package site

import (
	"path/filepath"
	"strings"
	"testing"
)

// An author of a theme can mend each usual slip from what is said of it: where it is, in words that need no knowledge of
// the program, and what was likely meant.
func TestMistakesOfTemplatesCanBeMended(t *testing.T) {
	const whole = "{{define \"main\"}}\n<h1>{{.Heading}}</h1>\n{{.Body}}\n{{end}}\n"
	for _, row := range []struct{ name, old, text, want string }{
		{"a slip in a field", "{{.Heading}}", "{{.Headding}}", ":2:7: .Headding asks for the field Headding, which a prosePage doesn't have\n    2 | <h1>{{.Headding}}</h1>\n      |       ^^^^^^^^^\nhint: did you mean .Heading? contract.md, which wattsheet start theme writes, lists the fields\n"},
		{"a field of a field", "{{.Heading}}", "{{.Nav.Home}}", ":2:11: .Nav.Home asks for the field Home, which a navigation doesn't have\n"},
		{"a field that is nothing like one", "{{.Heading}}", "{{.Xyzzy}}", "\nhint: contract.md, which wattsheet start theme writes, lists the fields\n"},
		{"a function", "{{.Heading}}", "{{upper .Heading}}", ":2:7: function \"upper\" not defined\n    2 | <h1>{{upper .Heading}}</h1>\n      |       ^^^^^\nhint: there are these: and, call, eq, "},
		{"a part", "{{.Body}}", "{{template \"dai\" .}}", ":3:12: no such template \"dai\"\n    3 | {{template \"dai\" .}}\n      |            ^^^^^^^\nhint: did you mean \"day\"? pages/parts.html defines what several pages show\n"},
		{"a condition without end", "{{.Body}}", "{{if .Body}}\n{{.Body}}", ":3:1: an {{end}} is missing: of this {{if .Body}}, or of {{define \"main\"}} in line 1\n    3 | {{if .Body}}\n      | ^^^^^^^^^^^^\nhint: each of them needs one of its own; put it behind what belongs to it\n"},
		{"a part without end", "{{end}}\n", "", ":1:1: {{define \"main\"}} has no {{end}}\n    1 | {{define \"main\"}}\n      | ^^^^^^^^^^^^^^^^^\nhint: put {{end}} behind what belongs to it\n"},
		{"the same behind one that is ended", "{{.Body}}", "{{/* {{if */}}{{range .Body}}{{end}}{{- with .Body -}}", ":3:37: an {{end}} is missing: of this {{- with .Body -}}, or of {{define \"main\"}} in line 1\n"},
		{"an action without end", "{{.Body}}", "x {{.Body\ny", ":3:3: this action has no }}\n    3 | x {{.Body\n      |   ^^^^^^^\nhint: end it with }} on the same line\n"},
		{"an end too many", "{{.Body}}", "{{.Body}}{{end}}", ":4:1: this {{end}} ends nothing\n"},
		{"a branch that leaves a quote open", "<h1>", "<h1 class={{if .Body}}\"{{end}}>", ":2:16: the branches of this {{if}} leave the page's HTML in different states\n    2 | "},
		{"a quote in a tag", "<h1>", "<h1 class=x{{if .Body}} \" {{end}}>", ": the page isn't whole HTML where \"page\" is done: "},
		{"text that no page shows", "{{end}}\n", "{{end}}\n{{/* a note */}}\n <p>more</p>\n", ":6:2: warning: no page shows this: it stands outside of every {{define}}\n    6 |  <p>more</p>\n      |  ^^^^^^^^^^^\nhint: put it between {{define \"main\"}} and its {{end}}\n"},
	} {
		text := strings.Replace(whole, row.old, row.text, 1)
		root := ownTheme(t, map[string]string{"pages/prose.html": text})
		d, err := openDraft(root, stillOnly(), false)
		if err != nil {
			t.Fatal(err)
		}
		b, err := d.Build(today, filepath.Join(root, "public"))
		d.Close()
		if err != nil || !strings.Contains(b.Problems.Error()+"\n", row.want) || b.Problems.Errors() == strings.Contains(row.want, "warning") {
			t.Errorf("%s: %v\n%v\nwant %s", row.name, err, b.Problems, row.want)
		}
		if !strings.Contains(b.Problems.Error(), "themes/paper/pages/prose.html:") {
			t.Errorf("%s: without its file:\n%v", row.name, b.Problems)
		}
	}
}
