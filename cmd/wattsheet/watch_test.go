package main

import (
	"bytes"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// A watched is watch at work.
type watched struct {
	lock   sync.Mutex
	text   bytes.Buffer // what it says, to stdout and to stderr
	status chan int
	end    func() int
}

func (w *watched) Write(p []byte) (int, error) {
	w.lock.Lock()
	defer w.lock.Unlock()
	return w.text.Write(p)
}

func (w *watched) said() string {
	w.lock.Lock()
	defer w.lock.Unlock()
	return w.text.String()
}

// watching starts watch; it is ended as by Ctrl-C.
func watching(t *testing.T, args ...string) *watched {
	t.Helper()
	w := &watched{status: make(chan int, 1)}
	go func() {
		w.status <- run(strings.NewReader(""), w, w, append([]string{"watch"}, args...), time.Now, nil)
	}()
	w.end = sync.OnceValue(func() int {
		self, err := os.FindProcess(os.Getpid())
		if err != nil {
			t.Fatal(err)
		}
		w.says(t, "http://") // from then on it listens to Ctrl-C
		if err := self.Signal(os.Interrupt); err != nil {
			t.Fatal(err)
		}
		return <-w.status
	})
	t.Cleanup(func() { w.end() })
	return w
}

// says waits until it has said something; a status instead is a failure.
func (w *watched) says(t *testing.T, pattern string) string {
	t.Helper()
	for end := time.Now().Add(40 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		select {
		case status := <-w.status:
			t.Fatalf("it ended with status %d, and said\n%s", status, w.said())
		default:
		}
		if found := regexp.MustCompile(`(?m)` + pattern).FindString(w.said()); found != "" {
			return found
		}
	}
	t.Fatalf("it never said %q, but\n%s", pattern, w.said())
	return ""
}

func (w *watched) address(t *testing.T) string {
	t.Helper()
	return w.says(t, `^http://localhost:\d+/$`)
}

// From the first line to Ctrl-C: what is said, once each; what is served; what is written, and when.
func TestWatch(t *testing.T) {
	dir := t.TempDir()
	tinySite(t).copyTo(t, dir)
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
	l.Close()
	w := watching(t, "--root", dir, "--port", port, "--write")
	address := w.address(t)
	if address != "http://localhost:"+port+"/" || !strings.HasPrefix(w.said(), address+"\n") {
		t.Errorf("it said\n%s", w.said())
	}
	w.says(t, `^all: 1 unit evaluated, took `)
	w.says(t, `public: \d+ files written, 0 unchanged, 0 removed, took [0-9.]+m?s$`)
	page := func() string {
		r, err := http.Get(address + "units/ottersprocket-20/")
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		body, _ := io.ReadAll(r.Body)
		return string(body)
	}
	built := func() string {
		text, err := os.ReadFile(filepath.Join(dir, "public", "units", "ottersprocket-20", "index.html"))
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	if !strings.Contains(page(), "/.preview/page.js") || strings.Contains(built(), ".preview") {
		t.Error("the script is not where it belongs")
	}
	file := filepath.Join(dir, "content", "units", "ottersprocket-20", "record.toml")
	good, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	save := func(text string) {
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	record := "content/units/ottersprocket-20/record.toml"

	save(strings.Replace(string(good), "Ottersprocket", "Ottersprockett", 1))
	w.says(t, `^`+record+`: 1 unit evaluated, took `)
	w.says(t, `public: \d+ files? written, \d+ unchanged, 0 removed, took [0-9.]+m?s\n(.*\n)*.*public: `)
	if !strings.Contains(page(), "Ottersprockett") || !strings.Contains(built(), "Ottersprockett") {
		t.Error("the change isn't there")
	}

	save(strings.Replace(string(good), "maker", "mkaer", 1))
	w.says(t, `^`+record+`: 0 units evaluated, took .*; \d+ errors?`)
	first := w.said()
	if !strings.Contains(page(), "Ottersprockett") || !strings.Contains(built(), "Ottersprockett") {
		t.Error("the last good page is gone")
	}
	save(strings.Replace(string(good), "maker", "mkaer", 1) + "\n")
	eventuallySays(t, w, record+`: 0 units evaluated`, 2)
	if n, m := strings.Count(first, "mkaer"), strings.Count(w.said(), "mkaer"); n == 0 || n != m {
		t.Errorf("the mistake was named %d times, then %d times:\n%s", n, m, w.said())
	}

	// One more beside it: only that is named.
	save(strings.Replace(string(good), "maker", "mkaer", 1) + "\n[nowhere]\n")
	w.says(t, `"nowhere" is not `)
	w.says(t, `^`+record+`: 0 units evaluated, took .*; [2-9] errors`)
	if n, m := strings.Count(first, "mkaer"), strings.Count(w.said(), "mkaer"); n != m {
		t.Errorf("the mistake was named %d times, then %d times:\n%s", n, m, w.said())
	}

	save(string(good))
	w.says(t, `^`+record+`: 1 unit evaluated, took .*; the mistakes are mended$`)
	if status := w.end(); status != exitDone {
		t.Errorf("status %d", status)
	}
	if _, err := net.DialTimeout("tcp4", "127.0.0.1:"+port, time.Second); err == nil {
		t.Error("it still listens")
	}
	if strings.Contains(w.said(), dir+"\n") || strings.Contains(w.said(), "panic") {
		t.Errorf("it said\n%s", w.said())
	}
}

// A template's mistake is only met when a page is made: it is told with --write, once, and keeps all from being written.
func TestWatchTellsOfATemplate(t *testing.T) {
	dir := t.TempDir()
	tinySite(t).copyTo(t, dir)
	put := func(name, text string) {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	site, err := os.ReadFile(filepath.Join(dir, "content/site.toml"))
	if err != nil {
		t.Fatal(err)
	}
	put("content/site.toml", "theme = \"paper\"\n"+string(site))
	put("themes/paper/pages/front.html", `{{define "main"}}<p>{{.Nothing}}{{end}}`)
	w := watching(t, "--root", dir, "--write")
	w.says(t, `^themes/paper/pages/front.html:1:\d+: .*Nothing`)
	w.says(t, `: 1 error; nothing was written$|: 1 error, .*; nothing was written$`)
	put("content/prose/about.md", "# About\n\nOther words.\n")
	w.says(t, `^content/prose/about.md: 0 units evaluated`)
	time.Sleep(time.Second) // the publication that follows has nothing new to tell, and reads the template for its line
	put("themes/paper/pages/front.html", `{{define "main"}}<p>mended{{end}}`)
	w.says(t, `public: \d+ files written`)
	if n := strings.Count(w.said(), "field Nothing"); n != 1 {
		t.Errorf("the mistake was named %d times:\n%s", n, w.said())
	}
}

// eventuallySays waits until something was said so many times.
func eventuallySays(t *testing.T, w *watched, text string, times int) {
	t.Helper()
	for end := time.Now().Add(40 * time.Second); strings.Count(w.said(), text) < times; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%q was not said %d times:\n%s", text, times, w.said())
		}
	}
}

// Without --write nothing is written but the cache; with --poll changes are found as well; --share says who can see it.
func TestWatchPollsAndShares(t *testing.T) {
	dir := t.TempDir()
	tinySite(t).copyTo(t, dir)
	w := watching(t, "--root", dir, "--poll=50ms", "--share")
	for end := time.Now().Add(40 * time.Second); !strings.Contains(w.said(), "unit evaluated") && time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if strings.Contains(w.said(), "no address in a local network") {
			<-w.status
			w.status <- exitFailed
			w.end = func() int { return 0 }
			t.Skip("this machine has no local network")
		}
	}
	w.says(t, `^http://[0-9.]+:\d+/\?token=[A-Z2-7]{26,}$`)
	w.says(t, `^wattsheet: whoever has this address can see the preview`)
	file := filepath.Join(dir, "content", "prose", "about.md")
	if err := os.WriteFile(file, []byte("# About\n\nOther words.\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	w.says(t, `^content/prose/about.md: 1 unit evaluated`)
	if status := w.end(); status != exitDone {
		t.Errorf("status %d", status)
	}
	if _, err := os.Stat(filepath.Join(dir, "public")); err == nil {
		t.Error("public was made")
	}
}
