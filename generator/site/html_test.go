package site

import (
	"encoding/json"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// program finds a program that runs one of the tools, or skips as tool does.
func program(t *testing.T, name string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("another program: left out in short runs")
	}
	found, err := exec.LookPath(name)
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatalf("%s is needed: sh .ci/setup installs it", name)
	} else if err != nil {
		t.Skipf("%s is not installed: sh .ci/setup installs it", name)
	}
	return found
}

// said runs a checker and decodes what it prints as JSON. Checkers fail when they
// find something, so only what can't be read is a failure here.
func said(t *testing.T, v any, name string, args ...string) {
	t.Helper()
	// Into a file: Node ends without waiting for a full pipe.
	file, err := os.Create(filepath.Join(t.TempDir(), "said.json"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	command := exec.CommandContext(t.Context(), name, args...)
	command.Stdout = file
	ended := command.Run()
	printed, err := os.ReadFile(file.Name())
	if err != nil {
		t.Fatal(err)
	}
	if broken := json.Unmarshal(printed, v); broken != nil {
		t.Fatalf("%s: %v, %v: %.400s", path.Base(name), ended, broken, printed)
	}
}

// filesOf lists the files below a folder whose names end so.
func filesOf(t *testing.T, dir string, endings ...string) []string {
	t.Helper()
	var out []string
	for name := range tree(t, dir) {
		if slices.Contains(endings, path.Ext(name)) {
			out = append(out, filepath.Join(dir, filepath.FromSlash(name)))
		}
	}
	slices.Sort(out)
	return out
}

// faulty writes files with mistakes that a checker has to find.
func faulty(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		put(t, dir, name, text)
	}
	return dir
}

// newer is what the checker says of container queries (CSS Containment Module Level 3),
// which it doesn't know. That they work, the browser tests see, with text twice as large.
var newer = []string{"CSS: Unrecognized at-rule “@container”", "CSS: “container”: Property “container” doesn't exist."}

// The Nu Html Checker, which follows the HTML Living Standard (WHATWG), finds no
// error in any page, style sheet or drawing.
func TestFilesAreValid(t *testing.T) {
	t.Parallel() // beside others that wait for other programs
	jar, java := tool(t, "vnu-jar/build/dist/vnu.jar"), program(t, "java")
	_, dir := published(t)
	long := t.TempDir()
	longList(t, long)
	bad := faulty(t, map[string]string{
		"bad.html": "<!DOCTYPE html>\n<html lang=\"en\"><title>x</title><p><div></p></html>\n",
		"bad.css":  "a { color: 3 apples }\n",
		"bad.svg":  "<svg xmlns=\"http://www.w3.org/2000/svg\"><circle wobble=\"3\"/></svg>\n",
	})
	files := slices.Concat(filesOf(t, dir, ".html", ".css", ".svg"), filesOf(t, long, ".html", ".css"), filesOf(t, bad, ".html", ".css", ".svg"))
	var report struct {
		Messages []struct {
			Type, SubType, URL, Message, Extract string
			LastLine                             int
		}
	}
	said(t, &report, java, append([]string{"-Xmx512m", "-jar", jar, "--format", "json", "--stdout", "--also-check-css", "--also-check-svg"}, files...)...)
	noticed := map[string]bool{}
	for _, m := range report.Messages {
		at := fmt.Sprintf("%s:%d: %s: %q", m.URL, m.LastLine, m.Message, m.Extract)
		switch {
		case strings.Contains(m.URL, "/bad."):
			noticed[path.Base(m.URL)] = true
		case strings.HasSuffix(m.URL, ".css") && slices.Contains(newer, m.Message):
		case m.Type != "info":
			t.Error(at)
		case strings.Contains(m.Message, "Content Security Policy"):
			// 'self' means nothing to a checker that reads from the disk. What the
			// policy blocks, the browser tests see.
		default:
			t.Logf("%s: %s", m.SubType, at)
		}
	}
	for _, name := range []string{"bad.html", "bad.css", "bad.svg"} {
		if !noticed[name] {
			t.Errorf("the checker finds nothing in %s", name)
		}
	}
}

// html-validate's recommended rules hold for every page; the rules that are off
// stand in its settings, with the reason.
func TestPagesKeepTheRules(t *testing.T) {
	t.Parallel() // beside others that wait for other programs
	checker, node := tool(t, "html-validate/bin/html-validate.mjs"), program(t, "node")
	settings, err := filepath.Abs("../../testdata/tools/htmlvalidate.mjs")
	if err != nil {
		t.Fatal(err)
	}
	_, dir := published(t)
	long := t.TempDir()
	longList(t, long)
	bad := faulty(t, map[string]string{
		"bad.html": "<!DOCTYPE html>\n<html lang=\"en\"><head><title>x</title></head><body><p style=\"color: red\">x</p></body></html>\n",
	})
	var report []struct {
		FilePath string
		Messages []struct {
			RuleID, Message, Selector string
			Line                      int
		}
	}
	files := slices.Concat(filesOf(t, dir, ".html"), filesOf(t, long, ".html"), filesOf(t, bad, ".html"))
	said(t, &report, node, append([]string{checker, "--config", settings, "--formatter", "json"}, files...)...)
	noticed := false
	for _, file := range report {
		for _, m := range file.Messages {
			if path.Base(file.FilePath) == "bad.html" {
				noticed = noticed || m.RuleID == "no-inline-style"
				continue
			}
			t.Errorf("%s:%d: %s at %s (%s)", file.FilePath, m.Line, m.Message, m.Selector, m.RuleID)
		}
	}
	if !noticed {
		t.Error("the checker doesn't mind an inline style")
	}
}

// What a page opened from the disk, or under the pages' own policy, can't do: as
// tried in Chromium from file://, modules, scripts with integrity, requests by
// script, and drawings used from another file don't work there.
var (
	neverInScript = regexp.MustCompile(`\bfetch\s*\(|\bimport\s*\(|XMLHttpRequest|WebSocket|EventSource|sendBeacon|importScripts|\beval\s*\(|new Function|javascript:`)
	neverInStyle  = regexp.MustCompile(`@import|javascript:|expression\(|url\(\s*["']?(?:[a-zA-Z][a-zA-Z0-9+.-]*:)?//`)
	loads         = map[string]string{ // what the browser fetches by itself
		"script": "src", "img": "src", "link": "href", "source": "src", "video": "src", "audio": "src", "track": "src",
		"iframe": "src", "embed": "src", "object": "data", "image": "href", "use": "href", "input": "src", "base": "href", "form": "action",
	}
)

// offline lists what in a file would not work, or ask somebody else, when the
// site is read from a disk.
func offline(name string, data []byte, home string) []string {
	switch path.Ext(name) {
	case ".js":
		return finds(neverInScript, data)
	case ".css":
		return finds(neverInStyle, data)
	case ".html", ".svg":
		var out []string
		tokens := html.NewTokenizer(strings.NewReader(string(data)))
		for {
			switch tokens.Next() {
			case html.ErrorToken:
				if err := tokens.Err(); err != io.EOF {
					out = append(out, err.Error())
				}
				return out
			case html.StartTagToken, html.SelfClosingTagToken:
				out = append(out, offlineTag(tokens.Token(), home)...)
			}
		}
	}
	return nil
}

func finds(never *regexp.Regexp, data []byte) []string {
	var out []string
	for _, at := range never.FindAllIndex(data, -1) {
		out = append(out, string(data[at[0]:min(at[1]+30, len(data))]))
	}
	return out
}

// offlineTag lists the attributes of one tag that would not do.
func offlineTag(tag html.Token, home string) []string {
	var out []string
	canonical := false
	for _, a := range tag.Attr {
		canonical = canonical || tag.Data == "link" && a.Key == "rel" && (a.Val == "canonical" || a.Val == "alternate")
	}
	for _, a := range tag.Attr {
		to, err := url.Parse(a.Val)
		away := err != nil || to.Scheme != "" && to.Scheme != "data" || to.Host != ""
		wrong := strings.HasPrefix(a.Key, "on") || a.Key == "style" || a.Key == "integrity" || a.Key == "crossorigin" || a.Key == "srcdoc" ||
			a.Key == "type" && strings.EqualFold(a.Val, "module") ||
			strings.HasPrefix(strings.ToLower(strings.TrimSpace(a.Val)), "javascript:")
		switch {
		case a.Key == "srcset":
			wrong = wrong || strings.Contains(a.Val, "//")
		case canonical && a.Key == "href":
			wrong = wrong || !strings.HasPrefix(a.Val, home) && away
		case a.Key == loads[tag.Data] || a.Key == "xlink:href":
			wrong = wrong || away || tag.Data == "use" && !strings.HasPrefix(a.Val, "#")
		}
		if wrong {
			out = append(out, "<"+tag.Data+" "+a.Key+"="+a.Val+">")
		}
	}
	return out
}

// No file of the site needs a server, or anybody else's.
func TestFilesWorkOffline(t *testing.T) {
	s, outputs := demo()
	looked := map[string]int{}
	for _, o := range outputs {
		looked[path.Ext(o.Path)]++
		for _, what := range offline(o.Path, o.Bytes, s.Content.Site.Address) {
			t.Errorf("%s: %s", o.Path, what)
		}
	}
	if looked[".html"] < 5 || looked[".css"] == 0 || looked[".svg"] == 0 {
		t.Errorf("looked at %v only", looked)
	}
}

// Each thing that must not be there is found.
func TestOfflineFindsEachThing(t *testing.T) {
	for text, name := range map[string]string{
		`<script src="a.js" integrity="sha256-x"></script>`:       "x.html",
		`<script type="module" src="a.js"></script>`:              "x.html",
		`<script src="https://elsewhere.example/a.js"></script>`:  "x.html",
		`<script src="//elsewhere.example/a.js"></script>`:        "x.html",
		`<link rel="stylesheet" href="http://elsewhere.example">`: "x.html",
		`<link rel="canonical" href="https://elsewhere.example">`: "x.html",
		`<img src="https://elsewhere.example/x.png">`:             "x.html",
		`<img src="x.png" srcset="//elsewhere.example/x.png 2x">`: "x.html",
		`<svg><use href="sprite.svg#x"/></svg>`:                   "x.svg",
		`<svg><use xlink:href="sprite.svg#x"/></svg>`:             "x.svg",
		`<p style="color:red">x</p>`:                              "x.html",
		`<svg onload="f()"/>`:                                     "x.svg",
		`<a href=" JavaScript:f()">x</a>`:                         "x.html",
		`x=fetch("a.json")`:                                       "x.js",
		`import("./a.js")`:                                        "x.js",
		`@import "a.css";`:                                        "x.css",
		`a{background:url(//elsewhere.example/x.png)}`:            "x.css",
	} {
		if len(offline(name, []byte(text), "https://home.example")) != 1 {
			t.Errorf("%s: not found, or found twice", text)
		}
	}
	for text, name := range map[string]string{
		`<link rel="canonical" href="https://home.example/a/"><a href="https://elsewhere.example">x</a>`:            "x.html",
		`<svg><use href="#x"/></svg><img src="x.png"><script type="application/json">{"a":"style=fetch("}</script>`: "x.html",
		`a{background:url(x.png)}`:  "x.css",
		`const prefetch = (x) => x`: "x.js",
	} {
		if found := offline(name, []byte(text), "https://home.example"); len(found) > 0 {
			t.Errorf("%s: found %q", text, found)
		}
	}
}
