package site

import (
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"
	"golang.org/x/net/html"

	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
	"wattsheet/generator/verdict"
)

// TestReplyStandsWhole: the maker's answer is on the page word for word, under a
// headline of its own, and the head of the page leads to it.
func TestReplyStandsWhole(t *testing.T) {
	s, _ := demo()
	found := 0
	for _, sh := range s.Sheets {
		doc := document(t, "units/"+sh.Slug+"/index.html")
		section := cascadia.Query(doc, cascadia.MustCompile("section.reply"))
		if !sh.Record.Reply.Given() {
			if section != nil {
				t.Errorf("%s has a reply that nobody wrote", sh.Slug)
			}
			continue
		}
		found++
		if section == nil {
			t.Errorf("%s: no reply", sh.Slug)
			continue
		}
		if got, want := squeeze(content(cascadia.Query(section, cascadia.MustCompile("blockquote")))), squeeze(sh.Record.Reply.Text); got != want {
			t.Errorf("%s: the reply reads %q, want %q", sh.Slug, got, want)
		}
		if cascadia.Query(section, cascadia.MustCompile("h2.headline#reply")) == nil || cascadia.Query(doc, cascadia.MustCompile("p.replied a[href='#reply']")) == nil {
			t.Errorf("%s: the reply isn't as prominent as the verdict", sh.Slug)
		}
	}
	if found < 2 {
		t.Errorf("only %d replies in the demo", found)
	}
}

// TestPairStandsOnBothPages: an earlier model and the one that follows it are side
// by side, the earlier first, on the pages of both.
func TestPairStandsOnBothPages(t *testing.T) {
	s, _ := demo()
	found := 0
	for _, later := range s.Sheets {
		slug := later.Record.Unit.Follows.ID
		if slug == "" {
			continue
		}
		found++
		for _, at := range []string{slug, later.Slug} {
			section := cascadia.Query(document(t, "units/"+at+"/index.html"), cascadia.MustCompile("section.pair"))
			if section == nil {
				t.Errorf("%s shows no pair", at)
				continue
			}
			rows := cascadia.QueryAll(section, cascadia.MustCompile(".pair-row"))
			for _, row := range rows {
				names := cascadia.QueryAll(row, cascadia.MustCompile(".claim-label"))
				if len(names) != 2 || content(names[1]) != later.Name {
					t.Errorf("%s: a row has not the earlier and then the later", at)
					continue
				}
				for i, side := range cascadia.QueryAll(row, cascadia.MustCompile(".claim")) {
					c := claimLinked(t, s, []string{slug, later.Slug}[i], names[i])
					figure, word := cascadia.Query(side, cascadia.MustCompile(".figure")), cascadia.Query(side, cascadia.MustCompile(".verdict"))
					if content(figure) != squeeze(c.Weakest.Mean.Text) || content(word) != c.Word {
						t.Errorf("%s: claim %s reads %s, %s", at, c.ID, content(figure), content(word))
					}
				}
			}
			if got := cascadia.QueryAll(section, cascadia.MustCompile("ul li")); len(got) < 3 || !strings.Contains(content(section), "told apart at every corner") {
				t.Errorf("%s: %d sentences on whether they are told apart", at, len(got))
			}
			if len(rows) == 0 {
				t.Errorf("%s: no claims side by side", at)
			}
		}
	}
	if found == 0 {
		t.Error("no unit of the demo follows another")
	}
}

// claimLinked is the claim of a unit that a label links to.
func claimLinked(t *testing.T, s *Site, slug string, label *html.Node) *sheet.Claim {
	t.Helper()
	_, id, _ := strings.Cut(attr(cascadia.Query(label, cascadia.MustCompile("a")), "href"), "#claim-")
	for _, sh := range s.Sheets {
		for _, c := range sh.Claims {
			if sh.Slug == slug && c.ID == id {
				return c
			}
		}
	}
	t.Fatalf("%s has no claim %q", slug, id)
	return nil
}

// TestShortWaitsForTheMaker: on a site that requires contact nothing is published
// that calls a claim short before the maker had a say.
func TestShortWaitsForTheMaker(t *testing.T) {
	load := func() *Site {
		s, problems, err := Load("../..", today)
		if err != nil || problems.Errors() {
			t.Fatal(err, problems)
		}
		return s
	}
	s := load()
	s.Content.Site.ContactRequired = true
	if problems := s.unfair(""); len(problems) > 0 {
		t.Errorf("the demo as it is: %v", problems)
	}
	if problems := s.unfair("2026-11-25"); len(problems) == 0 {
		t.Error("fernklaxon's maker may answer until that day")
	}
	short := 0
	for _, sh := range s.Sheets {
		sh.Record.Contacts, sh.Record.Reply = nil, record.Reply{}
		for _, c := range sh.Claims {
			if c.Verdict == verdict.Short {
				short++
			}
		}
	}
	problems := s.unfair("")
	if len(problems) != short || short == 0 {
		t.Errorf("%d problems for %d short claims", len(problems), short)
	}
	for _, p := range problems {
		if p.Severity != record.Error || p.Line == 0 || !strings.Contains(p.Hint, "[[contact]]") {
			t.Errorf("this doesn't help its reader: %v", p)
		}
	}
	if outputs, _, err := s.Outputs(); err != nil || outputs != nil {
		t.Errorf("published all the same: %d outputs, %v", len(outputs), err)
	}
	s.Content.Site.ContactRequired = false
	if problems := s.unfair(""); len(problems) > 0 {
		t.Errorf("without being required: %v", problems)
	}
}

// TestTypedNumbers: a number typed in notes that drifted from the record is found;
// one that agrees, or speaks of something else, is not.
func TestTypedNumbers(t *testing.T) {
	s, _ := demo()
	sh := s.Sheets[0]
	for _, one := range s.Sheets {
		if one.Slug == "copperdaub-hedgeclank-900" {
			sh = one
		}
	}
	for text, want := range map[string]string{
		"It claims 280 W at 4 Ω.":                   "",
		"It gave 268.6 W.":                          "", // within U of claim 4-ohm's mean
		"It gave 301 W.":                            "301 W",
		"It gave 0.301 kW.":                         "0.301 kW",
		"It gave 301 watts.":                        "301 watts",
		"It weighs 4.1 kg.":                         "", // rounds to it
		"It weighs 4.2 kg.":                         "4.2 kg",
		"It weighs 4.12 kg and is 311 mm wide.":     "311 mm",
		"On a 12 V battery.":                        "", // a kind of system
		"At 14.9 V it gave more.":                   "14.9 V",
		"It took 3 kW for a moment.":                "", // near to nothing
		"`301 W`":                                   "",
		"Between 1,301 W and x301 W and 1301,5 W.":  "", // near to nothing
		"It gave 301,5 W.":                          "301,5 W",
		"It gave 0,301 kW.":                         "0,301 kW",
		"It gave 268,6 W.":                          "",
		"It gave 301 Watt.":                         "301 Watt",
		"At 14,9 Volt it gave more.":                "14,9 Volt",
		"301&nbsp;W":                                "301 W",
		"301\u2009W":                                "301 W",
		"It is 1,301 mm wide":                       "", // thousands: near to nothing
		"From 301–305 W.":                           "", // a range
		"**301 W**":                                 "301 W",
		"[301 W](https://example.org/)":             "301 W",
		"| a | b |\n|---|---|\n| 301 W | 280 W |\n": "301 W",
		"301\u00a0W":                                "301 W",
		"Here [](value:r01/total) and not 301 W.":   "301 W",
	} {
		file := &record.File{Name: "notes.md", Text: []byte(text)}
		_, problems := renderMarkdown(file, manner{Root: "../../", Sheet: sh, Level: 3, IDs: "notes-"})
		var got []string
		for _, p := range problems {
			number, _, _ := strings.Cut(p.Summary, " is typed")
			got = append(got, number)
			if p.Severity != record.Warning || p.Line == 0 || p.Hint == "" {
				t.Errorf("%q: %v", text, p)
			}
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%q: found %q, want %q", text, got, want)
		}
	}
}
