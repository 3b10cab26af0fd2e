package preview

import "bytes"

// atOnce reports whether something may be wrong as a page is read, before a deferred script runs: another script, or what
// a policy refuses in the page itself or from elsewhere. Text that only looks so does no harm.
func atOnce(body []byte) bool {
	for {
		_, after, found := bytes.Cut(body, []byte("<"))
		if !found {
			return false
		}
		var refusable bool
		if refusable, body = isRefusable(after); refusable {
			return true
		}
	}
}

// Signs that end a piece of a tag. What stands between attributes may be the end of a line, too.
var (
	blank      = signs(" \n\t\r\f")
	between    = signs(" \n\t\r\f/")
	afterName  = signs(" \n\t\r\f/>")
	afterKey   = signs(" \n\t\r\f/=>")
	afterValue = signs(" \n\t\r\f>")
)

func signs(all string) *[256]bool {
	var table [256]bool
	for i := range len(all) {
		table[all[i]] = true
	}
	return &table
}

// isRefusable reports whether a tag, of which the first sign was read, is a script that isn't deferred, or has what a policy
// may refuse: styles, scripts that handle an event, and what comes from elsewhere. rest is what follows it.
func isRefusable(tag []byte) (refusable bool, rest []byte) {
	name, rest := until(tag, afterName)
	var deferred, from, data, sheet, elsewhere, refused bool
	for {
		if rest = past(rest, between); len(rest) == 0 || rest[0] == '>' {
			break
		}
		var key, value []byte
		key, value, rest = attribute(rest)
		away := isElsewhere(value)
		switch {
		case is(key, "style"), len(key) > 2 && is(key[:2], "on"):
			refused = true
		case is(key, "src"):
			from, refused = true, refused || away
		case is(key, "srcset"):
			refused = refused || away || bytes.Contains(value, []byte("//")) || bytes.Contains(value, []byte("data:"))
		case is(key, "poster"):
			refused = refused || away
		case is(key, "href"), is(key, "xlink:href"):
			elsewhere = elsewhere || away
		case is(key, "rel"):
			sheet = bytes.Contains(bytes.ToLower(value), []byte("stylesheet"))
		case is(key, "type"):
			data = hasPrefix(value, "application/")
		case is(key, "defer"):
			deferred = true
		}
	}
	switch {
	case is(name, "style"), is(name, "base"), is(name, "object"):
		refused = true
	case is(name, "script"):
		refused = refused || !data && !(deferred && from)
	case is(name, "link"):
		refused = refused || elsewhere && sheet
	case is(name, "use"), is(name, "image"):
		refused = refused || elsewhere
	}
	return refused, rest
}

// attribute reads one attribute of a tag, which begins a text.
func attribute(text []byte) (key, value, rest []byte) {
	key, rest = until(text[1:], afterKey) // a lone = begins a name
	key = text[:1+len(key)]
	after := past(rest, blank)
	if len(after) == 0 || after[0] != '=' {
		return key, nil, rest
	}
	after = past(after[1:], blank)
	if len(after) > 0 && (after[0] == '"' || after[0] == '\'') {
		value, rest, _ = bytes.Cut(after[1:], after[:1])
		return key, value, rest
	}
	value, rest = until(after, afterValue)
	return key, value, rest
}

// until cuts a text before the first of some signs.
func until(text []byte, ends *[256]bool) (before, rest []byte) {
	for i, c := range text {
		if ends[c] {
			return text[:i], text[i:]
		}
	}
	return text, nil
}

// past is a text without the signs of some that it begins with.
func past(text []byte, some *[256]bool) []byte {
	for i, c := range text {
		if !some[c] {
			return text[i:]
		}
	}
	return nil
}

// isElsewhere reports whether an address is none of this site, or none at all, such as one that has its data in itself.
func isElsewhere(address []byte) bool {
	address = past(address, blank)
	scheme, _, found := bytes.Cut(address, []byte(":"))
	return found && len(scheme) > 0 && !bytes.ContainsAny(scheme, "/?#") || bytes.HasPrefix(address, []byte("//"))
}

// is compares a name of HTML, in which capitals are as small letters.
func is(name []byte, small string) bool { return len(name) == len(small) && hasPrefix(name, small) }

func hasPrefix(text []byte, small string) bool {
	return len(text) >= len(small) && bytes.EqualFold(text[:len(small)], []byte(small))
}
