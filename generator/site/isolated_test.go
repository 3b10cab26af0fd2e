package site

import (
	"strings"
	"testing"
)

// A name from right to left doesn't turn what stands beside it: in titles, feeds and
// sentences it is isolated by signs, in a list by an element.
func TestNamesFromRightToLeftAreIsolated(t *testing.T) {
	const name = "\u2068לוטרה 20\u2069"
	root := addressed(t, map[string]string{tinyRecord: strings.Replace(tinyFile(t, tinyRecord), "Ottersprocket", "לוטרה", 1)}, "https://bench.example/", "")
	files := made(t, loaded(t, root), stillOnly())
	page, feed := files["units/ottersprocket-20/index.html"], files["feed.atom"]
	for _, row := range []struct{ in, want string }{
		{page, "<title>" + name + ": "}, {page, `property="og:title" content="` + name + ": "}, {page, `<p class="subline">` + name + ", "},
		{feed, "<title>" + name + ": "}, {files["feed.json"], name + ": "},
		{files["index.html"], "<bdi>לוטרה 20</bdi></a></h3>"},
		{files["units/ottersprocket-20/derivation/index.html"], "<title>Step by step: " + name},
		{files["units/ottersprocket-20/near/index.html"], "<title>Near " + name + " · "},
	} {
		if !strings.Contains(row.in, row.want) {
			head, _, _ := strings.Cut(row.in, "</head>")
			t.Errorf("there is no %q in\n%.1500s", row.want, head)
		}
	}
	if strings.Contains(made(t, loaded(t, addressed(t, nil, "https://bench.example/", "")), stillOnly())["units/ottersprocket-20/index.html"], "\u2068") {
		t.Error("a name from left to right is isolated too")
	}
}
