package preview

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"wattsheet/generator/record"
)

// The stream of events (HTML Living Standard, server-sent events) is asked for with the pages that are open in the
// browser, each as "ID,DIGEST,LOOK,PATH" in a parameter p, and with the files that scripts of a page have read, each as
// "ID,DIGEST,PATH" in a parameter b; what the browser doesn't know yet of such a file is told. Each event is a JSON object of what is news: the problems of
// the content, and under each ID what became of the page:
//
//	same     its bytes are what the browser has
//	style    only its stylesheets have other names
//	reload   it is another
//	gone     the site has it no more
//
// The first event tells of everything, so whoever lost the connection asks again and has missed nothing. An event without
// news says that the stream is still there: a connection may end without a word, while a machine sleeps.
const (
	heartbeat = 15 * time.Second
	// sendTime bounds how long a client may take to receive an event.
	sendTime = 10 * time.Second
	// mostPages is how many pages one stream may be about.
	mostPages = 300
)

// A listener is one browser with its pages.
type listener struct {
	open     []openPage
	problems string // what it was told last
	begun    bool
}

// An openPage is one tab, with what the browser has of its page.
type openPage struct {
	id, path     string
	digest, look string
	told         string
	beside       map[string]string // digests by the paths of files that its scripts have read
}

// A news is one event.
type news struct {
	Problems json.RawMessage     `json:"problems,omitempty"`
	Pages    map[string]pageNews `json:"pages,omitempty"`
}

type pageNews struct {
	Kind   string   `json:"kind"`
	Have   string   `json:"have,omitempty"`
	Look   string   `json:"look,omitempty"`
	Styles []string `json:"styles,omitempty"`
	// Beside has the digests of files that its scripts have read, where the browser has others, or none.
	Beside map[string]string `json:"beside,omitempty"`
}

// openPages reads what a browser has open; empty why says that it could be read.
func openPages(asked, beside []string) (open []openPage, why string) {
	if len(asked) > mostPages || len(beside) > mostPages {
		return nil, "These are too many pages."
	}
	for _, text := range asked {
		parts := strings.SplitN(text, ",", 4)
		if len(parts) != 4 {
			return nil, "This is no list of pages."
		}
		open = append(open, openPage{id: parts[0], digest: parts[1], look: parts[2], path: parts[3], beside: map[string]string{}})
	}
	for _, text := range beside {
		parts := strings.SplitN(text, ",", 3)
		if len(parts) != 3 || !isPlain(parts[2]) {
			return nil, "This is no list of files."
		}
		for _, o := range open {
			if o.id == parts[0] {
				o.beside[parts[2]] = parts[1]
			}
		}
	}
	return open, ""
}

// events answers with the stream, until the browser or the preview ends it.
func (p *pages) events(w http.ResponseWriter, r *http.Request) {
	asked := r.URL.Query()
	open, why := openPages(asked["p"], asked["b"])
	if why != "" {
		refuse(w, http.StatusBadRequest, why)
		return
	}
	l := &listener{open: open}
	paths := make([]string, 0, len(open))
	for _, one := range open {
		paths = append(paths, one.path)
	}
	wake, end := p.hub.listen(paths)
	defer end()
	w.Header().Set("Content-Type", "text/event-stream")
	w.WriteHeader(http.StatusOK)
	if r.Method == http.MethodHead || !send(w, "retry: 500\n\n") {
		return
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		s := p.hub.current(r.Context())
		if s == nil {
			return
		}
		if text := l.news(p.hub, s); text != "" && !send(w, text) {
			return
		}
		for waiting := true; waiting; {
			select {
			case <-r.Context().Done():
				return
			case <-beat.C:
				if !send(w, "data: {}\n\n") {
					return
				}
			case <-wake:
				waiting = false
			}
		}
	}
}

// send writes a part of a stream, and reports whether it could.
func send(w http.ResponseWriter, text string) bool {
	stream := http.NewResponseController(w)
	if stream.SetWriteDeadline(time.Now().Add(sendTime)) != nil {
		return false
	}
	_, err := w.Write([]byte(text))
	return err == nil && stream.Flush() == nil
}

// news is the event for a state; empty when there is nothing new for this browser.
func (l *listener) news(h *hub, s *state) string {
	var n news
	var faults []record.Shown // of the pages that are open
	for i := range l.open {
		o := &l.open[i]
		became := pageNews{Kind: "gone"}
		if isPlain(o.path) {
			now := h.kept(s, o.path)
			became = o.became(now, s)
			o.lookBeside(h, s, &became)
			faults = append(faults, now.wrong...)
		}
		if l.begun && became.Kind == o.told && became.Kind != "style" && became.Kind != "reload" {
			continue
		}
		if l.begun && became.Kind == "same" && (o.told == "style" || o.told == "reload") {
			o.told = "same"
			continue
		}
		o.told = became.Kind
		if n.Pages == nil {
			n.Pages = map[string]pageNews{}
		}
		n.Pages[o.id] = became
	}
	l.begun = true
	problems := s.problems
	if len(faults) > 0 {
		problems = problemsJSON(append(distinct(faults), s.list...))
	}
	if text := string(problems); text != l.problems {
		l.problems, n.Problems = text, problems
	}
	if n.Problems == nil && n.Pages == nil {
		return ""
	}
	data, err := json.Marshal(n)
	if err != nil {
		panic(err) // texts only
	}
	return fmt.Sprintf("data: %s\n\n", data)
}

// lookBeside compares the files that scripts of the page have read: where one is another now, the page is loaded again.
func (o *openPage) lookBeside(h *hub, s *state, became *pageNews) {
	for path, had := range o.beside {
		now := short(h.kept(s, path).body)
		if now == had {
			continue
		}
		if became.Beside == nil {
			became.Beside = map[string]string{}
		}
		o.beside[path], became.Beside[path] = now, now
		if had != "" && (became.Kind == "same" || became.Kind == "style") {
			became.Kind, became.Have, became.Look = "reload", o.digest, o.look
		}
	}
}

// became compares what the browser has with what the page is now, and remembers that the browser will have it.
func (o *openPage) became(now page, s *state) pageNews {
	switch {
	case now.digest == o.digest:
		return pageNews{Kind: "same"}
	case now.own && !strings.HasPrefix(o.digest, ownMark):
		if (s.errors > 0 || now.wrong != nil) && o.told != "gone" {
			return pageNews{Kind: "same"} // there is nothing better: the problems say why
		}
		return pageNews{Kind: "gone"}
	}
	kind := "reload"
	if now.look == o.look && len(now.styles) > 0 {
		kind = "style"
	}
	o.digest, o.look = now.digest, now.look
	return pageNews{Kind: kind, Have: now.digest, Look: now.look, Styles: now.styles}
}

// distinct leaves out what was there before: a template's mistake is in every page that is made of it.
func distinct(all []record.Shown) (out []record.Shown) {
	for _, one := range all {
		if !slices.Contains(out, one) {
			out = append(out, one)
		}
	}
	return out
}
