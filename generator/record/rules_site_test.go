package record

import "testing"

// An address that paths can be put behind, and hosts can be told of, is one for a site.
func TestSiteAddresses(t *testing.T) {
	for text, right := range map[string]bool{
		"https://bench.example": true, "https://bench.example/": true, "https://bench.example/amps": true, "https://bench.example/amps/two/": true,
		"http://localhost:8080/": true, "https://b\u00fccher.example/\u00e4/": true, "https://bench.example/a&b/": true,
		"https://bench.example/?": false, "https://bench.example#": false, "https://bench.example//": false, "https://bench.example/a//b/": false,
		"https://bench.example/../": false, "https://bench.example/./a": false, "https://bench.example/a*/": false, "https://bench.example/a/:splat": false,
		"bench.example": false, "https://me@bench.example/": false, "": false,
	} {
		if why, hint := badSite(text); (why == "") != right || (hint == "") != right {
			t.Errorf("%q: %q, %q", text, why, hint)
		}
	}
}
