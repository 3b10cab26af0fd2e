package site

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"

	"wattsheet/generator/record"
)

// visibleMarks are the marks of a record in videos that are out, by what is marked.
func visibleMarks(r *record.Record) (marks []record.Mark) {
	w := watchingOf(r)
	for _, m := range r.Marks() {
		if v, _, _ := w.at(m.Text); v != nil {
			marks = append(marks, m)
		}
	}
	return marks
}

// Everything that is marked leads into its video at that second, by a link that says what
// it is of, and so do the heads of derivations. The list has the marks by time, and leads
// to what is seen.
func TestMarksLeadIntoTheVideo(t *testing.T) {
	s, _ := demo()
	links, videos := 0, 0
	for _, sh := range s.Sheets {
		marks := visibleMarks(sh.Record)
		doc := document(t, "units/"+sh.Slug+"/index.html")
		steps := document(t, "units/"+sh.Slug+"/"+derivationName+"/index.html")
		var inMain []string
		for _, n := range cascadia.QueryAll(doc, cascadia.MustCompile("main a.in-video")) {
			inMain = append(inMain, attr(n, "href")+" "+content(n))
		}
		derived := 0
		for _, m := range marks {
			v, seconds := sh.Record.Marked(m.Text)
			address, _ := v.AddressAt(seconds)
			clock := record.Clock(seconds)
			switch m.Kind {
			case "settings":
				if cascadia.Query(doc, cascadia.MustCompile(`.fact-group a[href="`+address+`"]`)) == nil {
					t.Errorf("%s: the settings don't lead to %s", sh.Slug, address)
				}
				continue
			case "run", "claim", "spec":
				derived++
			}
			links++
			at := slices.IndexFunc(inMain, func(said string) bool { return strings.HasPrefix(said, address+" "+clock+" in ") })
			if at < 0 || m.Kind == "run" && !strings.HasSuffix(inMain[at], ": run "+m.Name) {
				t.Errorf("%s: %s %q doesn't lead to %s", sh.Slug, m.Kind, m.Name, address)
			}
		}
		if n := len(cascadia.QueryAll(steps, cascadia.MustCompile("details.derivation > .seen > a.in-video"))); n != derived {
			t.Errorf("%s: %d derivations lead into a video, %d claims, runs and specs are marked", sh.Slug, n, derived)
		}
		listed := 0
		for _, part := range cascadia.QueryAll(doc, cascadia.MustCompile(".watch")) {
			videos++
			last := -1
			for _, row := range cascadia.QueryAll(part, cascadia.MustCompile(".marks li")) {
				listed++
				time, thing := cascadia.Query(row, cascadia.MustCompile("a.at")), cascadia.Query(row, cascadia.MustCompile("a:not(.at)"))
				at, err := strconv.Atoi(attr(time, "data-at"))
				if err != nil || at < last || !strings.HasPrefix(content(time), record.Clock(at)+" in the video: "+content(thing)) {
					t.Errorf("%s: the list has %q after %d s", sh.Slug, content(row), last)
				}
				if cascadia.Query(doc, cascadia.MustCompile(`[id="`+strings.TrimPrefix(attr(thing, "href"), "#")+`"]`)) == nil {
					t.Errorf("%s: %q leads nowhere", sh.Slug, attr(thing, "href"))
				}
				last = at
			}
		}
		if listed != len(marks) {
			t.Errorf("%s: %d marks, %d in the lists", sh.Slug, len(marks), listed)
		}
	}
	if links < 20 || videos < 3 {
		t.Errorf("only %d marks in %d videos were looked at", links, videos)
	}
}

// A page's policy allows the players of its own videos and nothing more, and what hosts
// send with a unit's page allows at least that. Both hold at once, so neither may be
// stricter than the page needs.
func TestPoliciesOfVideos(t *testing.T) {
	s, outputs := demo()
	files := map[string]string{}
	for _, o := range outputs {
		files[o.Path] = string(o.Bytes)
	}
	rules := rulesOf(t, files[headersName])
	frames := regexp.MustCompile(`; frame-src ([^;]*)`)
	own := func(page string) (string, []string) {
		policy := attr(cascadia.Query(parse(t, []byte(files[page])), cascadia.MustCompile("meta[http-equiv=Content-Security-Policy]")), "content")
		if m := frames.FindStringSubmatch(policy); m != nil {
			return frames.ReplaceAllString(policy, ""), strings.Fields(m[1])
		}
		return policy, nil
	}
	players := 0
	for _, sh := range s.Sheets {
		page := "units/" + sh.Slug + "/index.html"
		policy, allowed := own(page)
		if want := watchingOf(sh.Record).origins(); policy != pagePolicy || !slices.Equal(allowed, want) {
			t.Errorf("%s allows the frames %v, want %v; else %q", page, allowed, want, policy)
		}
		players += len(allowed)
		for _, path := range []string{"/" + page, "/units/" + sh.Slug + "/"} {
			sent := headersFor(rules, path)["Content-Security-Policy"]
			m := frames.FindStringSubmatch(sent)
			if m == nil || strings.Contains(sent, ",") || frames.ReplaceAllString(sent, "") != pagePolicy+"; frame-ancestors 'none'" {
				t.Fatalf("%s is sent with %q", path, sent)
			}
			for _, origin := range allowed {
				if !slices.Contains(strings.Fields(m[1]), origin) {
					t.Errorf("%s: %s is not allowed by %q", path, origin, sent)
				}
			}
		}
		if _, below := own("units/" + sh.Slug + "/" + derivationName + "/index.html"); below != nil {
			t.Errorf("%s: the derivations may frame %v", sh.Slug, below)
		}
	}
	if players == 0 {
		t.Error("no page has a player")
	}
	for _, path := range []string{"/", "/methodology/", "/units/" + s.Sheets[0].Slug + "/derivation/"} {
		if sent := headersFor(rules, path)["Content-Security-Policy"]; sent != pagePolicy+"; frame-ancestors 'none'" {
			t.Errorf("%s is sent with %q", path, sent)
		}
	}
}

// Origins that don't fit into a line of the header file are allowed in general; each page
// still names its own.
func TestManyPlayers(t *testing.T) {
	var few, many []*brief
	for i := range 100 {
		u := &brief{Frames: []string{fmt.Sprintf("https://videos-%d.example", i%10)}}
		few = append(few, u)
		many = append(many, &brief{Frames: []string{fmt.Sprintf("https://videos-%d.example", i)}})
	}
	if got := strings.Fields(framesOf(few)); len(got) != 10 || !slices.IsSorted(got) {
		t.Errorf("ten origins are %v", got)
	}
	b := &binder{site: &Site{Content: &record.Content{Site: new(record.Site)}}}
	rulesOf(t, b.headers(framesOf(few)))
	if got := framesOf(many); got != "https:" {
		t.Errorf("a hundred origins are %q", got)
	}
}

// A video's markup has what guides ask for: a name, a still and the day of upload; each
// part a name, where it begins and ends, and the address of this page at that second
// (Google's guide to video markup: same path, with the time; from memory that both
// offsets are whole seconds).
func TestVideosForMachines(t *testing.T) {
	s, _ := demo()
	seen := 0
	for _, sh := range s.Sheets {
		at := "units/" + sh.Slug + "/index.html"
		_, block := structuredOf(t, document(t, at))
		for _, v := range videoNodes(t, block) {
			seen++
			i := slices.IndexFunc(sh.Record.Videos, func(r record.Video) bool { return r.Title == v["name"] })
			if i < 0 || v["uploadDate"] != sh.Record.Videos[i].Published.Text || !strings.HasSuffix(v["thumbnailUrl"].(string), "/"+cardName) || v["description"] == "" {
				t.Errorf("%s: %v", sh.Slug, v)
				continue
			}
			if player, _ := v["embedUrl"].(string); strings.Contains(player, "autoplay") {
				t.Errorf("%s: %s plays by itself", sh.Slug, player)
			}
			rec, end := &sh.Record.Videos[i], 0.0
			clips := v["hasPart"].([]any)
			for n, c := range clips {
				clip := c.(map[string]any)
				from, to := clip["startOffset"].(float64), clip["endOffset"].(float64)
				if n > 0 && from != end || to <= from || clip["name"] == "" || !strings.HasSuffix(clip["url"].(string), fmt.Sprintf("t=%v", from)) {
					t.Errorf("%s: the clip %v after %v", sh.Slug, clip, end)
				}
				if which := strings.Contains(clip["url"].(string), "?video="+rec.ID+"&"); which != (i > 0) {
					t.Errorf("%s: %s doesn't say which video", sh.Slug, clip["url"])
				}
				end = to
			}
			if end != float64(rec.Seconds()) {
				t.Errorf("%s: the last clip ends at %v s", sh.Slug, end)
			}
		}
	}
	if seen < 3 {
		t.Errorf("only %d videos", seen)
	}
	for seconds, want := range map[int]string{0: "", 59: "PT59S", 60: "PT1M", 1120: "PT18M40S", 3600: "PT1H", 3723: "PT1H2M3S"} {
		if got := duration(seconds); got != want { // ISO 8601, 4.4.3.2
			t.Errorf("%d s are %q, want %q", seconds, got, want)
		}
	}
}

// videoNodes are the videos of a data block, in their order.
func videoNodes(t *testing.T, block string) (out []map[string]any) {
	t.Helper()
	var whole struct {
		Graph []map[string]any `json:"@graph"`
	}
	if err := json.Unmarshal([]byte(block), &whole); err != nil {
		t.Fatal(err)
	}
	for _, n := range whole.Graph {
		if n["@type"] == "VideoObject" {
			out = append(out, n)
		}
	}
	return out
}

// A video that is held, or that has no address yet, is nowhere, nor are its marks.
func TestNothingOfAVideoThatIsNotOut(t *testing.T) {
	const shown = "\n[[video]]\nid = \"shown\"\ntitle = \"The one that is out\"\naddress = \"https://videos.example/w/kkGMgK9ZtnKfYAgnEtQxbv\"\n"
	const held = "\n[[video]]\nid = \"secret\"\ntitle = \"The one that is held\"\naddress = \"https://hidden.example/w/kkGMgK9ZtnKfYAgnEtQxbv\"\nhold = true\n"
	const later = "\n[[video]]\nid = \"unripe\"\ntitle = \"The one to come\"\n"
	for _, row := range []struct{ videos, mark string }{{shown + held, "secret 43:21"}, {held, "43:21"}, {shown + later, "unripe 43:21"}, {later, "43:21"}, {"", "43:21"}} {
		root := tiny(t, nil)
		const file = "content/units/ottersprocket-20/record.toml"
		replaceIn(t, root, file, "[[run]]\n", "[[run]]\nvideo = \""+row.mark+"\"\n")
		appended(file, row.videos)(t, root)
		for path, text := range made(t, loaded(t, root), stillOnly()) {
			if strings.HasPrefix(path, schemaFolder+"/") {
				continue
			}
			for _, secret := range []string{"secret", "hidden.example", "43:21", "2601", "unripe", "The one to come"} {
				if strings.Contains(text, secret) && !(secret == "2601" && !strings.HasSuffix(path, ".json")) {
					t.Errorf("%s with %q: %s has %q", row.mark, row.videos, path, secret)
				}
			}
			if strings.HasSuffix(path, "ottersprocket-20/sheet.json") && strings.Contains(row.videos, "shown") != strings.Contains(text, "The one that is out") {
				t.Errorf("%s: %s", path, "the video that is out")
			}
		}
	}
}
