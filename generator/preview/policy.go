package preview

import (
	"html"
	"regexp"
	"slices"
	"strings"
)

var policyTag = regexp.MustCompile(`<meta http-equiv="Content-Security-Policy" content="([^"]*)">`)

// policyOf is the policy that a page carries; empty where it has none.
func policyOf(page []byte) string {
	m := policyTag.FindSubmatch(page)
	if m == nil {
		return ""
	}
	return html.UnescapeString(string(m[1]))
}

// admitted is a page's policy with which the preview's script runs. As a rule that is its own. Pages that are made for frames
// allow no script at all: they get one that allows the one with this mark, and a worker, and still none of a theme's.
func admitted(policy, mark string) string {
	scripts, found := directive(policy, "script-src")
	if !found {
		scripts, found = directive(policy, "default-src")
	}
	if !found || slices.Contains(scripts, "'self'") {
		return policy
	}
	scripts = slices.DeleteFunc(slices.Clone(scripts), func(one string) bool { return one == "'none'" })
	with := []string{strings.Join(append([]string{"script-src", "'nonce-" + mark + "'"}, scripts...), " ")}
	for _, one := range strings.Split(policy, ";") {
		if one = strings.TrimSpace(one); !strings.HasPrefix(one, "script-src ") && one != "" {
			with = append(with, one)
		}
	}
	if _, found := directive(policy, "worker-src"); !found {
		with = append(with, "worker-src 'self'")
	}
	return strings.Join(with, "; ")
}

// directive gives what a policy says of one kind of thing.
func directive(policy, name string) (values []string, found bool) {
	for _, one := range strings.Split(policy, ";") {
		if words := strings.Fields(one); len(words) > 0 && words[0] == name {
			return words[1:], true
		}
	}
	return nil, false
}

// withPolicy is a page with another policy in the place of its own.
func withPolicy(page []byte, policy string) []byte {
	at := policyTag.FindSubmatchIndex(page)
	if at == nil {
		return page
	}
	return slices.Concat(page[:at[2]], []byte(html.EscapeString(policy)), page[at[3]:])
}
