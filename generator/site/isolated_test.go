package site

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"wattsheet/generator/record"
	"wattsheet/generator/theme"
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

// No visible text of any page has a name from right to left beside anything else that it could
// turn: it stands alone in its element, in an element that isolates it, or between the signs
// that do. Three units of the demo have a pair of models, a reply, corrections, captures and videos.
func TestNothingStandsBesideANameUnisolated(t *testing.T) {
	s, problems, err := Load("../..", today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	s.Content.Records = slices.DeleteFunc(s.Content.Records, func(r *record.Record) bool {
		return !slices.Contains([]string{"copperdaub-hedgeclank-900", "copperdaub-hedgeclank-900-2", "mirthgudgeon-nettlecog-1"}, r.Slug)
	})
	const word = "לוטרה"
	for _, r := range s.Content.Records {
		r.Unit.Maker, r.Unit.Model, r.Source.From = word, word+" "+r.Unit.Model, word
		if r.Source.Paid != "" && r.Source.Paid != "nothing" {
			r.Source.Paid = word
		}
		if r.Reply.From != "" {
			r.Reply.From = word
		}
	}
	s.Content.Site.Title, s.Content.Site.Tester = word, word
	s.evaluate()
	s.Notes, s.addresses = nil, nil // makers have other addresses now
	outputs, problems, err := s.rendered(theme.Default(), map[string]string{"style.css": "assets/style.css"})
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	want := map[string]bool{
		">Beside \u2068" + word: false, "<title>Captures of \u2068" + word: false, "<bdi>" + word + "</bdi> replied on": false, "model: <a": false,
		"by \u2068" + word + "\u2069.": false, " of <bdi>" + word + " " + word + " Nettlecog 1</bdi>": false, "Measured by \u2068" + word: false,
		"Near <bdi>" + word: false, "How the claims of <bdi>" + word + "</bdi> held": false,
	}
	for _, o := range outputs {
		if !strings.HasSuffix(o.Path, ".html") {
			continue
		}
		for text := range want {
			want[text] = want[text] || strings.Contains(string(o.Bytes), text)
		}
		for n := range parse(t, o.Bytes).Descendants() {
			if n.Type != html.TextNode || n.Parent.Data == "bdi" || !visible(n) {
				continue
			}
			left := strings.TrimSpace(betweenSigns.ReplaceAllString(n.Data, ""))
			if alone := named.MatchString(left) && n.Data == content(n.Parent); strings.Contains(left, word) && !alone {
				t.Errorf("%s: <%s> has %.200q", o.Path, n.Parent.Data, n.Data)
			}
		}
	}
	for text, is := range want {
		if !is {
			t.Errorf("no page has %q", text)
		}
	}
}

// A channel's name from right to left doesn't turn the figure behind it, so that 116.9 ± 6.3
// would be read as 6.3 ± 116.9, nor the method's beside it: on a sheet no such name has a digit or
// another such name after it, with no letter from left to right between.
func TestChannelsFromRightToLeft(t *testing.T) {
	const channel, method = "ערוץ", "שיטה"
	s, problems, err := Load("../..", today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	s.Content.Records = slices.DeleteFunc(s.Content.Records, func(r *record.Record) bool {
		return !slices.Contains([]string{"ravenspigot-loftanvil-350", "copperdaub-hedgeclank-900", "copperdaub-hedgeclank-900-2"}, r.Slug)
	})
	turned := func(names []string) {
		for i, name := range names {
			parts := strings.Split(name, "+")
			for j := range parts {
				parts[j] = channel + string(rune('א'+int(parts[j][0])%20))
			}
			names[i] = strings.Join(parts, "+")
		}
	}
	for _, r := range s.Content.Records {
		turned(r.Unit.Channels)
		for i := range r.Runs {
			turned(r.Runs[i].Driven)
		}
	}
	for i := range s.Content.Methods.Methods {
		s.Content.Methods.Methods[i].Title = method
	}
	s.evaluate()
	s.Notes, s.addresses = nil, nil
	outputs, problems, err := s.rendered(theme.Default(), map[string]string{"style.css": "assets/style.css"})
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	turns := regexp.MustCompile(`[\x{590}-\x{6ff}][^\pL]*[ (,:][^\pL]*[0-9\x{590}-\x{6ff}]`)
	want := map[string]bool{"output volts, channel \u2068" + channel: false, "channel <bdi>" + channel: false, "Channel \u2068" + channel: false, "<bdi>" + method + "</bdi>": false}
	for _, o := range outputs {
		if !strings.HasSuffix(o.Path, "/index.html") || !strings.HasPrefix(o.Path, "units/") {
			continue
		}
		for text := range want {
			want[text] = want[text] || strings.Contains(string(o.Bytes), text)
		}
		if strings.HasSuffix(o.Path, derivationName+"/index.html") {
			continue // some of its sentences name a method behind a channel
		}
		for n := range parse(t, o.Bytes).Descendants() {
			if n.Type != html.TextNode || n.Parent.Data == "bdi" || !visible(n) {
				continue
			}
			if left := betweenSigns.ReplaceAllString(n.Data, ""); turns.MatchString(left) {
				t.Errorf("%s: <%s> has %.200q", o.Path, n.Parent.Data, left)
			}
		}
	}
	for text, is := range want {
		if !is {
			t.Errorf("no sheet has %q", text)
		}
	}
}

var (
	betweenSigns = regexp.MustCompile("\u2068[^\u2069]*\u2069")
	named        = regexp.MustCompile(`^[\p{L}\d ]+$`) // a name, and nothing beside it
)

// visible reports whether a text node is text that a page shows.
func visible(n *html.Node) bool {
	for p := n.Parent; p != nil; p = p.Parent {
		if slices.Contains([]string{"head", "script", "style", "code", "pre"}, p.Data) {
			return false
		}
	}
	return true
}
