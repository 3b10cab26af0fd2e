package site

import (
	"html/template"
	"strings"
	"testing"
)

// A list that writes itself is, byte by byte, what Go's html/template makes of its members.
func TestListsAreAsATemplateMakesThem(t *testing.T) {
	const odd = `1 + 1 < 3 & "quoted" 'twice' 4` + nbsp + "Ω"
	steps := derivationList{{Title: odd, Note: odd, Seen: `<a href="#">seen</a>`, Body: "<section></section>\n"}, {Title: "plain"}}
	cases := []struct {
		list, members string
		model         any
	}{
		{`{{.Links}}`, `{{range .}}<link rel="stylesheet" href="{{.}}">
{{end}}`, styleList{"../assets/a.0f.css", "../assets/b.css?x=1&y=2"}},
		{`{{.Elements}}`, `{{range .}}<script defer blocking="render" src="{{.}}"></script>
{{end}}`, scriptList{"../assets/a.0f.js", "b.js"}},
		{`{{.Items}}`, `{{range .}}<li><a href="{{.Href}}">{{.Text}}</a></li>
{{end}}`, navigation{{"../about/index.html", odd}, {"../loads/index.html", "By load"}}},
		{`{{.Folded}}`, `{{range .}}<details class="derivation">
<summary><span class="derivation-title">{{.Title}}</span> <span class="soft">{{.Note}}</span></summary>
{{with .Seen}}<p class="seen">{{.}}</p>
{{end}}{{.Body}}</details>
{{end}}`, steps},
		{`{{.Items}}`, `{{range .}}<li><a href="{{.Href}}">{{.Text}}</a><pre><code>{{.Code}}</code></pre></li>
{{end}}`, embedList{{"embed/sheet/index.html", odd, `<iframe src="https://a.example/" title="` + odd + `"></iframe>`}}},
	}
	for _, c := range cases {
		var made [2]strings.Builder
		for i, text := range []string{c.list, c.members} {
			if err := template.Must(template.New("").Parse(text)).Execute(&made[i], c.model); err != nil {
				t.Fatal(err)
			}
		}
		if list, members := made[0].String(), made[1].String(); list != members || list == "" {
			t.Errorf("%T writes %q, a template its members %q", c.model, list, members)
		}
	}
}
