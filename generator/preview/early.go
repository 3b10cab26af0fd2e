package preview

import (
	"bytes"
	"regexp"
	"strings"
)

// What a page's head holds its first paint back for, in the plain form that the built-in templates write. Other tags are
// found by the browser as it reads the page.
var heldBack = regexp.MustCompile(`<(?:link rel="(stylesheet)" href|script defer blocking="render" src)="([A-Za-z0-9._/~-]+)"`)

// early is a Link header (RFC 8288) by which a browser fetches all of that as soon as the answer begins, not when it has read
// so far: the preview's script is one more file than the published page has, and files are fetched six at a time.
func early(page []byte) string {
	head, _, found := bytes.Cut(page, []byte("</head>"))
	if !found {
		return ""
	}
	var links []string
	for _, m := range heldBack.FindAllSubmatch(head, -1) {
		as := "script"
		if len(m[1]) > 0 {
			as = "style"
		}
		links = append(links, "<"+string(m[2])+">; rel=preload; as="+as)
	}
	return strings.Join(links, ", ")
}
