package preview

import (
	"bytes"
	"strings"

	"golang.org/x/net/html"
)

// atOnce reports whether something may be wrong as a page is read, before a deferred script runs: another script, or what
// a policy refuses in the page itself or from elsewhere.
func atOnce(body []byte) bool {
	for tokens := html.NewTokenizer(bytes.NewReader(body)); ; {
		switch tokens.Next() {
		case html.ErrorToken: // the end
			return false
		case html.StartTagToken, html.SelfClosingTagToken:
			if isRefusable(tokens) {
				return true
			}
		}
	}
}

// isRefusable reports whether the tag at hand is a script that isn't deferred, or has what a policy may refuse: styles,
// scripts that handle an event, and what comes from elsewhere.
func isRefusable(tokens *html.Tokenizer) bool {
	name, more := tokens.TagName()
	tag := string(name)
	var deferred, from, data, sheet, elsewhere, refused bool
	for more {
		var key, value []byte
		key, value, more = tokens.TagAttr()
		away := isElsewhere(string(value))
		switch attribute := string(key); attribute {
		case "style":
			refused = true
		case "src":
			from, refused = true, refused || away
		case "srcset":
			refused = refused || away || bytes.Contains(value, []byte("//")) || bytes.Contains(value, []byte("data:"))
		case "poster":
			refused = refused || away
		case "href", "xlink:href":
			elsewhere = elsewhere || away
		case "rel":
			sheet = bytes.Contains(bytes.ToLower(value), []byte("stylesheet"))
		case "type":
			data = bytes.HasPrefix(bytes.ToLower(value), []byte("application/"))
		case "defer":
			deferred = true
		default:
			refused = refused || len(attribute) > 2 && strings.HasPrefix(attribute, "on")
		}
	}
	switch tag {
	case "style", "base", "object":
		return true
	case "script":
		return refused || !data && !(deferred && from)
	case "link":
		return refused || elsewhere && sheet
	case "use", "image":
		return refused || elsewhere
	}
	return refused
}

// isElsewhere reports whether an address is none of this site, or none at all, such as one that has its data in itself.
func isElsewhere(address string) bool {
	address = strings.TrimLeft(address, " \n\t\r\f")
	scheme, _, found := strings.Cut(address, ":")
	return found && scheme != "" && !strings.ContainsAny(scheme, "/?#") || strings.HasPrefix(address, "//")
}
