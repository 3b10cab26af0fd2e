package preview

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"net/url"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"wattsheet/generator/record"
)

// ownFolder is where the preview's own files are. Names that begin with a dot are never the site's, so no published
// file can be meant.
const ownFolder = "/.preview/"

// The policies of the preview's own pages and of its worker, the only one that may hold a connection: pages of the site
// keep the policy that they are published with.
const (
	ownPolicy    = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
	workerPolicy = "default-src 'none'; connect-src 'self'"
	framesPolicy = "frame-ancestors 'self'"
)

//go:embed page
var ownFiles embed.FS

// pageScript is the preview's script on each page: two parts, which are told apart by what they are about.
var pageScript = slices.Concat(ownFile("slips.js"), ownFile("page.js"))

func ownFile(name string) []byte {
	data, err := ownFiles.ReadFile("page/" + name)
	if err != nil {
		panic(err) // it is a part of the program
	}
	return data
}

var ownTemplate = template.Must(template.ParseFS(ownFiles, "page/own.html"))

// answerTime bounds how long a client may take to receive an answer.
const answerTime = 30 * time.Second

// A page is a file as it is served.
type page struct {
	status int
	path   string // below the site's root
	kind   string // its content type
	body   []byte
	own    bool           // it is none of the site's, but says why there is none
	wrong  []record.Shown // what keeps it from being made now: it is the last good one, or says so

	shows        string // see Source
	digest, look string // of HTML only, as what follows
	styles       []string
	policy       string // as the page itself says it, or with which the preview's script runs
	sent         []byte // body with the preview's script
	early        string // what the browser is to fetch at once, as a header
}

func (p page) isHTML() bool { return strings.HasPrefix(p.kind, "text/html") }

// pages answers requests that a guard let through.
type pages struct {
	hub *hub
}

func (p *pages) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	control := http.NewResponseController(w)
	switch name, own := strings.CutPrefix(r.URL.Path, ownFolder); {
	case own && name == "events":
		p.events(w, r)
		return
	case own:
		_ = control.SetWriteDeadline(time.Now().Add(answerTime))
		serveOwn(w, name)
		return
	}
	way, folder, ok := wayOf(r.URL)
	if !ok {
		refuse(w, http.StatusNotFound, "The site has no such address.")
		return
	}
	s := p.hub.current(r.Context())
	if s == nil {
		return
	}
	found := p.hub.open(s, way)
	_ = control.SetWriteDeadline(time.Now().Add(answerTime))
	if found.own && found.wrong == nil && !folder {
		if index := way + "/index.html"; !p.hub.open(s, index).own {
			w.Header().Set("Location", (&url.URL{Path: "/" + way + "/", RawQuery: r.URL.RawQuery}).RequestURI())
			w.WriteHeader(http.StatusTemporaryRedirect)
			return
		}
	}
	found.serve(w)
}

// wayOf is the path below the site's root that an address names; folder says that it names a folder, whose index.html is
// meant. ok is false for what no file of a site is called: the site has plain paths without hidden names.
func wayOf(u *url.URL) (way string, folder, ok bool) {
	escaped := strings.ToLower(u.EscapedPath())
	if strings.Contains(escaped, "%2f") || strings.Contains(escaped, "%5c") || !strings.HasPrefix(u.Path, "/") {
		return "", false, false
	}
	way = u.Path[1:]
	if way == "" || strings.HasSuffix(way, "/") {
		way, folder = way+"index.html", true
	}
	return way, folder, isPlain(way)
}

// isPlain reports whether a file of a site may have this path.
func isPlain(way string) bool {
	odd := func(r rune) bool { return r < ' ' || r == 0x7f || r == '\\' || r == ':' }
	return fs.ValidPath(way) && !strings.ContainsFunc(way, odd) && !strings.HasPrefix(way, ".") && !strings.Contains(way, "/.")
}

// serve answers with a page.
func (p page) serve(w http.ResponseWriter) {
	h := w.Header()
	body := p.body
	if !p.own {
		h.Set("Content-Security-Policy", framesPolicy)
	}
	if p.isHTML() {
		body = p.sent
	}
	if p.policy != "" {
		h.Set("Content-Security-Policy", p.policy+"; "+framesPolicy)
	}
	if p.early != "" {
		h.Set("Link", p.early)
	}
	h.Set("Content-Type", p.kind)
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(p.status)
	_, _ = w.Write(body)
}

// headBegin is where a page's head begins.
var headBegin = regexp.MustCompile(`<head\b[^>]*>\n?`)

// dressed is a page with what it is served with: that takes a while of a large one, which nobody then waits for.
func (p page) dressed() page {
	published := policyOf(p.body)
	p.policy = admitted(published, p.digest)
	if p.policy == published {
		p.sent = p.withScript("", "")
		p.early = early(p.sent)
	} else {
		p.sent = p.withScript(p.policy, ` nonce="`+p.digest+`"`)
	}
	return p
}

// withScript puts the preview's script before all others of the page, at the beginning of its head: it hears what they do
// wrong. It is deferred, as theirs are, and waited for only where something may be wrong before: to be waited for before
// the page is read would be seen with every save. Where the page's policy doesn't allow it, another takes its place, and
// its tag has a mark; all other scripts are refused then.
func (p page) withScript(policy, mark string) []byte {
	wait, own, body := ` defer blocking="render"`, "", p.body
	if atOnce(body) || mark != "" && bytes.Contains(body, []byte("<script")) {
		wait = ""
	}
	if p.own {
		own = " data-own"
	}
	if policy != "" {
		body = withPolicy(body, policy)
	}
	tag := fmt.Appendf(nil, "<script%s%s src=\"%spage.js\" data-page=\"%s\" data-have=\"%s\" data-look=\"%s\"%s></script>\n",
		mark, wait, ownFolder, template.HTMLEscapeString(p.path), p.digest, p.look, own)
	at := headBegin.FindIndex(body)
	if at == nil {
		return append(bytes.Clone(body), tag...)
	}
	return bytes.Join([][]byte{body[:at[1]], tag, body[at[1]:]}, nil)
}

// serveOwn answers with a file of the preview's own.
func serveOwn(w http.ResponseWriter, name string) {
	data, err := ownFiles.ReadFile("page/" + name)
	if name == "page.js" {
		data = pageScript
	}
	if err != nil || !fs.ValidPath(name) || path.Ext(name) == ".html" {
		refuse(w, http.StatusNotFound, "The preview has no such file.")
		return
	}
	if name == "worker.js" {
		w.Header().Set("Content-Security-Policy", workerPolicy)
	}
	w.Header().Set("Content-Type", contentType(name))
	_, _ = w.Write(data)
}

// ownPage says why there is no page, with what is wrong in the content.
func ownPage(s *state, way string, err error) page {
	about := struct {
		Title, Text string
		Problems    []record.Shown
		More        int
	}{Title: "No such page", Text: "The site has no file of this address: it was deleted or moved, or never was there."}
	p := page{status: http.StatusNotFound, path: way, kind: contentType(".html"), own: true}
	switch {
	case err != nil:
		p.status = http.StatusInternalServerError
		about.Title, about.Text = "This page can't be made", "That is a mistake of the theme, or of the program. As soon as it is mended, the page is shown."
		about.Problems = wrongIn(way, err)
	case s.errors > 0:
		p.status = http.StatusServiceUnavailable
		about.Title, about.Problems = count(s.errors, "error"), s.list
		about.Text = "There is no page of this address yet. As soon as the content has no errors, it is made and shown, if the site has it."
	}
	if about.More = max(0, len(about.Problems)-most); about.More > 0 {
		about.Problems = about.Problems[:most]
	}
	var b bytes.Buffer
	if err := ownTemplate.Execute(&b, about); err != nil {
		panic(err) // the template is a part of the program
	}
	p.body = b.Bytes()
	p.digest = ownMark + short(p.body)
	p.look = p.digest
	return p.dressed()
}

// ownMark begins the digest of a page that is none of the site's.
const ownMark = "own-"

// faultOf makes what a panic says an error.
func faultOf(fault any) error {
	if err, is := fault.(error); is {
		return err
	}
	return errors.New(fmt.Sprint(fault))
}

func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// contentTypes are those of all files that a site has, by the ending of their names.
var contentTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".txt": "text/plain; charset=utf-8", ".md": "text/markdown; charset=utf-8", ".csv": "text/csv; charset=utf-8",
	".json": "application/json", ".toml": "application/toml", ".xml": "application/xml", ".atom": "application/atom+xml",
	".svg": "image/svg+xml", ".png": "image/png", ".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".webp": "image/webp",
	".ico": "image/x-icon", ".woff2": "font/woff2", ".pdf": "application/pdf", ".zip": "application/zip",
	".webmanifest": "application/manifest+json", ".wav": "audio/wav",
}

// contentType goes by the ending of a name alone: what is in a file doesn't decide what a browser makes of it.
func contentType(name string) string {
	if kind := contentTypes[strings.ToLower(path.Ext(name))]; kind != "" {
		return kind
	}
	return "application/octet-stream"
}
