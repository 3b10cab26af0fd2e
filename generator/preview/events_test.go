package preview

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"wattsheet/generator/site"
)

// A stream is one browser's connection, event by event.
type stream struct {
	events chan news
	close  func()
}

// hears opens a stream about pages, each "id,digest,look,path".
func hears(t *testing.T, server string, pages ...string) *stream {
	return hearsBeside(t, server, nil, pages...)
}

// hearsBeside is hears with files that scripts of the pages have read, each "id,digest,path".
func hearsBeside(t *testing.T, server string, files []string, pages ...string) *stream {
	t.Helper()
	r, err := http.Get(server + "/.preview/events?" + url.Values{"p": pages, "b": files}.Encode())
	if err != nil {
		t.Fatal(err)
	}
	if kind := r.Header.Get("Content-Type"); r.StatusCode != 200 || kind != "text/event-stream" {
		t.Fatalf("status %d, type %q", r.StatusCode, kind)
	}
	s := &stream{events: make(chan news, 100), close: func() { r.Body.Close() }}
	t.Cleanup(s.close)
	go func() {
		defer close(s.events)
		for lines := bufio.NewScanner(r.Body); lines.Scan(); {
			if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				var n news
				if err := json.Unmarshal([]byte(data), &n); err != nil {
					t.Error(err)
				}
				s.events <- n
			}
		}
	}()
	return s
}

func (s *stream) next(t *testing.T) news {
	t.Helper()
	select {
	case n, ok := <-s.events:
		if !ok {
			t.Fatal("the stream ended")
		}
		return n
	case <-time.After(patience):
		t.Fatal("no event came")
	}
	return news{}
}

func (s *stream) silent(t *testing.T) {
	t.Helper()
	select {
	case n := <-s.events:
		t.Errorf("told %+v", n)
	case <-time.After(80 * time.Millisecond):
	}
}

// asHad is a page as a browser has it.
func asHad(id, path, text string) string {
	digest, look, _ := marksOf([]byte(text))
	return strings.Join([]string{id, digest, look, path}, ",")
}

// What a browser is told, save by save.
func TestWhatBecomesOfAPage(t *testing.T) {
	styled := func(hash, text string) string {
		return `<html><head><link rel="stylesheet" href="assets/style.` + hash + `.css"></head><p>` + text
	}
	f := newFake(map[string]string{"a/index.html": styled("00000000", "a"), "b/index.html": styled("00000000", "b")})
	h, server, _ := served(t, f)
	h.publish(nil)
	s := hears(t, server.URL, asHad("1", "a/index.html", styled("00000000", "a")), asHad("2", "b/index.html", "older"),
		asHad("3", "gone/index.html", "once"), asHad("4", "../x", "y"))
	first := s.next(t)
	if string(first.Problems) != `{"List":[],"More":0}` {
		t.Errorf("problems %s", first.Problems)
	}
	for id, want := range map[string]string{"1": "same", "2": "reload", "3": "gone", "4": "gone"} {
		if first.Pages[id].Kind != want {
			t.Errorf("page %s is %q, want %q", id, first.Pages[id].Kind, want)
		}
	}
	step := func(what string, files map[string]string, want string) {
		t.Helper()
		f.set(files)
		h.publish(nil)
		if want == "" {
			s.silent(t)
			return
		}
		n := s.next(t)
		if len(n.Pages) != 1 || n.Pages["1"].Kind != want || n.Problems != nil {
			t.Errorf("%s: told %+v", what, n)
		}
	}
	step("nothing", nil, "")
	step("another page", map[string]string{"c/index.html": "c"}, "")
	step("style", map[string]string{"a/index.html": styled("11111111", "a")}, "style")
	step("nothing again", nil, "")
	step("style again", map[string]string{"a/index.html": styled("22222222", "a")}, "style")
	step("text", map[string]string{"a/index.html": styled("22222222", "a2")}, "reload")
	step("both", map[string]string{"a/index.html": styled("33333333", "a3")}, "reload")
	shows := func(what string) {
		f.lock.Lock()
		f.shown, f.shows = "<p>a", what
		f.lock.Unlock()
	}
	shows("a picture")
	step("a picture that it shows", nil, "reload")
	step("no other", nil, "")
	h.expect([]site.Output{{Path: "a/index.html", Bytes: []byte(styled("33333333", "a3"))}})
	shows("another picture, after it was made ready")
	step("another picture", nil, "reload")
	step("a picture, and style", map[string]string{"a/index.html": styled("44444444", "a3")}, "style")
	shows("")
	step("none", map[string]string{"a/index.html": styled("33333333", "a3")}, "reload")
	step("deleted", map[string]string{"a/index.html": ""}, "gone")
	step("still deleted", nil, "")
	step("back", map[string]string{"a/index.html": styled("33333333", "a3")}, "same")
	step("deleted again", map[string]string{"a/index.html": ""}, "gone")
	step("back as another", map[string]string{"a/index.html": styled("33333333", "a4")}, "reload")

	problem := aProblem("x = 1", "1", "wrong", "hint")
	f.set(nil, problem)
	h.publish(f.problems)
	if n := s.next(t); !strings.Contains(string(n.Problems), `"Summary":"wrong"`) || n.Pages != nil {
		t.Errorf("told %+v", n)
	}
	h.publish(f.problems)
	s.silent(t)
	h.publish(nil)
	if n := s.next(t); string(n.Problems) != `{"List":[],"More":0}` || n.Pages != nil {
		t.Errorf("told %+v", n)
	}
}

// A page without a good version keeps what the browser has, and gives way when there is one.
func TestLastPageStaysWithoutAGoodOne(t *testing.T) {
	f := newFake(map[string]string{})
	h, server, _ := served(t, f)
	f.set(nil, aProblem("x = 1", "1", "wrong", ""))
	h.publish(f.problems)
	own := h.make(h.now, "a/index.html")
	s := hears(t, server.URL, asHad("1", "a/index.html", "of a preview before"), strings.Join([]string{"2", own.digest, own.look, "a/index.html"}, ","))
	if n := s.next(t); n.Pages["1"].Kind != "same" || n.Pages["2"].Kind != "same" {
		t.Errorf("told %+v", n)
	}
	f.set(map[string]string{"a/index.html": "now"})
	h.publish(nil)
	if n := s.next(t); n.Pages["1"].Kind != "reload" || n.Pages["2"].Kind != "reload" {
		t.Errorf("told %+v", n)
	}
}

// Eight browsers hear of a change; a page that several have open is made once for all of them, and served as it was
// compared.
func TestEightStreams(t *testing.T) {
	f := newFake(map[string]string{"index.html": "one"})
	h, server, _ := served(t, f)
	h.publish(nil)
	var all []*stream
	for range 8 {
		s := hears(t, server.URL, asHad("1", "index.html", "one"))
		s.next(t)
		all = append(all, s)
	}
	for round := range 5 {
		f.lock.Lock()
		f.opened = map[string]int{}
		f.lock.Unlock()
		text := fmt.Sprintf("round %d", round)
		f.set(map[string]string{"index.html": text})
		h.publish(nil)
		for _, s := range all {
			if n := s.next(t); n.Pages["1"].Kind != "reload" {
				t.Errorf("told %+v", n)
			}
		}
		if body := bodyOf(t, server.URL+"/"); !strings.Contains(body, text) {
			t.Errorf("then served is %q", body)
		}
		f.lock.Lock()
		if n := f.opened["index.html"]; n != 1 {
			t.Errorf("the page was made %d times", n)
		}
		f.lock.Unlock()
	}
	for _, s := range all {
		s.close()
	}
	connected(t, h, 0)
}

func TestStreamsThatAreRefused(t *testing.T) {
	h, server, _ := served(t, newFake(nil))
	h.publish(nil)
	many := make([]string, mostPages+1)
	for i := range many {
		many[i] = "1,a,b,c"
	}
	for _, pages := range [][]string{{"1,2"}, {""}, many} {
		if r, _ := get(t, server.URL+"/.preview/events?"+url.Values{"p": pages}.Encode()); r.StatusCode != 400 {
			t.Errorf("%d pages: status %d", len(pages), r.StatusCode)
		}
	}
}

// A page whose scripts have read a file comes again when that file is another; the browser is told its digest first.
func TestFilesBesideAPage(t *testing.T) {
	page := plainPage("beside", "")
	f := newFake(map[string]string{"compare/index.html": page, "data/list.js": "1"})
	h, server, _ := served(t, f)
	h.publish(nil)
	s := hearsBeside(t, server.URL, []string{"1,,data/list.js"}, asHad("1", "compare/index.html", page), asHad("2", "compare/index.html", page))
	first := s.next(t).Pages
	if first["1"].Kind != "same" || first["1"].Beside["data/list.js"] != short([]byte("1")) || first["2"].Beside != nil {
		t.Errorf("at first: %+v", first)
	}
	h.publish(nil)
	s.silent(t)
	f.set(map[string]string{"data/list.js": "2"})
	h.publish(nil)
	if got := s.next(t).Pages; got["1"].Kind != "reload" || len(got) != 1 {
		t.Errorf("another file: %+v", got)
	}
	h.publish(nil)
	s.silent(t)
	// Who asks again with an old digest has missed it.
	again := hearsBeside(t, server.URL, []string{"1," + short([]byte("1")) + ",data/list.js"}, asHad("1", "compare/index.html", page))
	if got := again.next(t).Pages["1"]; got.Kind != "reload" || got.Have == "" || got.Beside["data/list.js"] != short([]byte("2")) {
		t.Errorf("asked again: %+v", got)
	}
	for _, odd := range []string{"1", "1,", "1,x,../secret", "1,x,.hidden", "1,x,/etc/passwd"} {
		r, _ := get(t, server.URL+"/.preview/events?"+url.Values{"p": {asHad("1", "compare/index.html", page)}, "b": {odd}}.Encode())
		if r.StatusCode != 400 {
			t.Errorf("%q: status %d", odd, r.StatusCode)
		}
	}
}
