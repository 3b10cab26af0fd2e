package preview

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
)

// asked sends a request as it is written, without a client that mends it, and gives the answer.
func asked(t *testing.T, address, request string) (*http.Response, string) {
	t.Helper()
	c, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_ = c.SetDeadline(time.Now().Add(patience))
	if _, err := io.WriteString(c, request); err != nil {
		t.Fatal(err)
	}
	method, _, _ := strings.Cut(request, " ")
	r, err := http.ReadResponse(bufio.NewReader(c), &http.Request{Method: method})
	if err != nil {
		t.Fatalf("%v, to %q", err, request)
	}
	defer r.Body.Close()
	body, _ := io.ReadAll(r.Body)
	return r, string(body)
}

// Who is answered, and who isn't: by the name asked for, where the request comes from, and how. A name that leads here
// is how DNS rebinding reads a server on this machine; Origin and Sec-Fetch-Site are the browser's own word (Fetch
// Metadata Request Headers, W3C; RFC 6454).
func TestWhoIsAnswered(t *testing.T) {
	f := newFake(map[string]string{"index.html": plainPage("secret", ""), "data.json": "{}"})
	h, server, _ := served(t, f)
	h.publish(nil)
	host := server.Listener.Addr().String()
	port := host[strings.LastIndex(host, ":"):]
	for _, row := range []struct {
		method, host string
		headers      string
		want         int
	}{
		{"GET", host, "", 200},
		{"GET", "localhost" + port, "", 200},
		{"HEAD", host, "", 200},
		{"GET", host, "Origin: http://" + host + "\r\n", 200},
		{"GET", host, "Sec-Fetch-Site: same-origin\r\n", 200},
		{"GET", host, "Sec-Fetch-Site: none\r\n", 200},
		// names that are not its own
		{"GET", "evil.example", "", 403},
		{"GET", "evil.example" + port, "", 403},
		{"GET", "localhost", "", 403},
		{"GET", "localhost.evil.example" + port, "", 403},
		{"GET", "localhost." + port, "", 403},
		{"GET", "127.0.0.2" + port, "", 403},
		{"GET", "127.1" + port, "", 403},
		{"GET", "0.0.0.0" + port, "", 403},
		{"GET", "2130706433" + port, "", 403},
		{"GET", host + "1", "", 403},
		{"GET", "", "", 403},
		{"GET", "user@" + host, "", 403},
		// other origins
		{"GET", host, "Origin: http://evil.example\r\n", 403},
		{"GET", host, "Origin: null\r\n", 403},
		{"GET", host, "Origin: https://" + host + "\r\n", 403},
		{"GET", host, "Origin: http://localhost" + port + "\r\n", 403},
		{"GET", host, "Origin: http://" + host + "\r\nOrigin: http://evil.example\r\n", 403},
		{"GET", host, "Sec-Fetch-Site: cross-site\r\n", 403},
		{"GET", host, "Sec-Fetch-Site: same-site\r\n", 403},
		{"GET", host, "Sec-Fetch-Site: none\r\nSec-Fetch-Site: cross-site\r\n", 403},
		// other ways to ask
		{"POST", host, "Content-Length: 0\r\n", 405},
		{"PUT", host, "Content-Length: 0\r\n", 405},
		{"DELETE", host, "", 405},
		{"OPTIONS", host, "Access-Control-Request-Method: GET\r\n", 405},
		{"TRACE", host, "", 405},
		{"get", host, "", 405},
	} {
		for _, path := range []string{"/", "/data.json", "/.preview/page.js"} {
			r, body := asked(t, host, fmt.Sprintf("%s %s HTTP/1.1\r\nHost: %s\r\n%sConnection: close\r\n\r\n", row.method, path, row.host, row.headers))
			what := fmt.Sprintf("%s %s of %q with %q", row.method, path, row.host, row.headers)
			if r.StatusCode != row.want && !(row.host == "user@"+host && r.StatusCode == 400) {
				t.Errorf("%s: status %d, want %d", what, r.StatusCode, row.want)
			}
			if row.want != 200 && (strings.Contains(body, "secret") || strings.Contains(body, "otter") || strings.TrimSpace(body) == "") && row.method != "HEAD" {
				t.Errorf("%s: answered %q", what, body)
			}
			for name := range r.Header {
				if strings.HasPrefix(name, "Access-Control-") {
					t.Errorf("%s: there is a header %s", what, name)
				}
			}
			if row.want == 200 && (r.Header.Get("Cache-Control") != "no-store" || r.Header.Get("X-Content-Type-Options") != "nosniff") {
				t.Errorf("%s: headers %v", what, r.Header)
			}
		}
	}
}

// An absolute address in the request line counts as the name (RFC 9112, 3.2.2).
func TestAbsoluteAddressIsAName(t *testing.T) {
	f := newFake(map[string]string{"index.html": plainPage("secret", "")})
	h, server, _ := served(t, f)
	h.publish(nil)
	host := server.Listener.Addr().String()
	// The asterisk names no page, but the server (RFC 9110, 9.3.7): it isn't answered past the guard either.
	for name, want := range map[string]int{"evil.example": 403, host: 405} {
		if r, _ := asked(t, host, "OPTIONS * HTTP/1.1\r\nHost: "+name+"\r\nConnection: close\r\n\r\n"); r.StatusCode != want || r.Header.Get("Cache-Control") != "no-store" {
			t.Errorf("OPTIONS * of %s: status %d, headers %v", name, r.StatusCode, r.Header)
		}
	}
	if r, _ := asked(t, host, "GET http://evil.example/ HTTP/1.1\r\nHost: "+host+"\r\nConnection: close\r\n\r\n"); r.StatusCode != 403 {
		t.Errorf("status %d", r.StatusCode)
	}
}

// Nothing but the site's files can be named: no way out of it, no hidden file, no odd byte. The site is asked, never the disk.
func TestPathsThatNameNothing(t *testing.T) {
	f := newFake(map[string]string{"index.html": plainPage("front", ""), "units/otter/index.html": plainPage("otter", "")})
	h, server, _ := served(t, f)
	h.publish(nil)
	host := server.Listener.Addr().String()
	for _, path := range []string{
		"/..", "/../", "/../go.mod", "/../../etc/passwd", "/units/../index.html", "/./index.html", "/units//otter/", "//evil.example/", "//",
		"/%2e%2e/go.mod", "/%2e%2e%2fgo.mod", "/%2E%2E/", "/..%2fgo.mod", "/..%5cgo.mod", "/units%2fotter/index.html", "/units%5cotter",
		"/units\\otter", "/index.html%00", "/%00", "/index.html%0a", "/.wattsheet", "/units/.hidden/x", "/.preview", "/.preview/",
		"/.preview/own.html", "/.preview/../pages.go", "/.preview/%2e%2e/pages.go", "/.preview/page.js%00", "/.git/config", "/c:/x", "/units/otter/index.html/x",
		"/%c0%ae%c0%ae/go.mod", "/%252e%252e/go.mod",
	} {
		r, body := asked(t, host, "GET "+path+" HTTP/1.1\r\nHost: "+host+"\r\nConnection: close\r\n\r\n")
		if r.StatusCode != 404 && r.StatusCode != 400 {
			t.Errorf("%s: status %d, %q", path, r.StatusCode, body)
		}
		if strings.Contains(body, "front") && !strings.Contains(body, "To the front page") || strings.Contains(body, "module wattsheet") {
			t.Errorf("%s: answered %q", path, body)
		}
	}
	for path := range f.opened {
		if !isPlain(path) {
			t.Errorf("the site was asked for %q", path)
		}
	}
}

// With a token only who has it is answered; the address loses it at once.
func TestToken(t *testing.T) {
	f := newFake(map[string]string{"units/otter/index.html": plainPage("secret", "")})
	h := newHub(f, &notes{})
	h.publish(nil)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	host := l.Addr().String()
	s := &server{hub: h}
	s.add(l, &guard{hosts: []string{host}, token: "RIGHT", next: &pages{hub: h}})
	tokenCookie := "wattsheet-preview-" + host[strings.LastIndex(host, ":")+1:]
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- s.serve(ctx) }()
	defer func() { cancel(); <-ended }()

	const in = "the way in"
	for _, row := range []struct {
		path, cookie string
		want         any
	}{
		{"/units/otter/", "", 403}, {"/units/otter/?token=wrong", "", 403}, {"/units/otter/?token=", "", 403}, {"/units/otter/?token=RIGHTS", "", 403},
		{"/.preview/events", "", 403}, {"/.preview/page.js", "", 403}, {"/nowhere", "", 403},
		{"/units/otter/", "wrong", 403}, {"/units/otter/", "", 403}, {"/units/otter/?token=wrong", "RIGHT", 403},
		{"/units/otter/", "RIGHT", 200}, {"/.preview/page.js", "RIGHT", 200}, {"/units/otter/?token=RIGHT", "", in}, {"/units/otter/?token=RIGHT&t=4m5s&token=wrong", "", in},
	} {
		cookie := ""
		if row.cookie != "" {
			cookie = "Cookie: " + tokenCookie + "=" + row.cookie + "\r\n"
		}
		r, body := asked(t, host, "GET "+row.path+" HTTP/1.1\r\nHost: "+host+"\r\n"+cookie+"Connection: close\r\n\r\n")
		if row.want != in {
			if r.StatusCode != row.want || (r.StatusCode != 200 && strings.Contains(body, "secret")) || r.Header.Get("Set-Cookie") != "" {
				t.Errorf("%s with %q: status %d, want %d: %q", row.path, row.cookie, r.StatusCode, row.want, body)
			}
			continue
		}
		set := r.Header.Get("Set-Cookie")
		for _, want := range []string{tokenCookie + "=RIGHT", "Path=/", "HttpOnly", "SameSite=Strict"} {
			if !strings.Contains(set, want) {
				t.Errorf("the cookie is %q, without %s", set, want)
			}
		}
		to := "/units/otter/"
		if strings.Contains(row.path, "t=4m5s") {
			to += "?t=4m5s"
		}
		if r.StatusCode != 200 || !strings.Contains(body, `content="0; url=`+to+`"`) || !strings.Contains(body, `<a href="`+to+`"`) || strings.Contains(body, "RIGHT") || strings.Contains(body, "secret") {
			t.Errorf("%s: status %d, %q", row.path, r.StatusCode, body)
		}
	}
	// Somebody else's page may link here with the token, and nothing else; what is answered then is the way in only.
	const followed = "Sec-Fetch-Mode: navigate\r\nSec-Fetch-Dest: document\r\n"
	for _, row := range []struct {
		request, headers string
		want             int
	}{
		{"GET /units/otter/?token=RIGHT", "Sec-Fetch-Site: cross-site\r\n" + followed, 200},
		{"GET /units/otter/?token=RIGHT", "Sec-Fetch-Site: same-site\r\n" + followed, 200},
		{"GET /units/otter/?token=RIGHT", "Sec-Fetch-Site: cross-site\r\nCookie: " + tokenCookie + "=RIGHT\r\n" + followed, 200},
		{"GET /units/otter/?token=wrong", "Sec-Fetch-Site: cross-site\r\n" + followed, 403},
		{"GET /units/otter/", "Sec-Fetch-Site: cross-site\r\n" + followed, 403},
		{"GET /units/otter/", "Sec-Fetch-Site: cross-site\r\nCookie: " + tokenCookie + "=RIGHT\r\n" + followed, 403},
		{"POST /units/otter/?token=RIGHT", "Content-Length: 0\r\nSec-Fetch-Site: cross-site\r\n" + followed, 403},
		{"GET /units/otter/?token=RIGHT", "Sec-Fetch-Site: cross-site\r\nOrigin: http://evil.example\r\n" + followed, 403},
		{"GET /units/otter/?token=RIGHT", "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: navigate\r\nSec-Fetch-Dest: iframe\r\n", 403},
		{"GET /units/otter/?token=RIGHT", "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: no-cors\r\nSec-Fetch-Dest: script\r\n", 403},
	} {
		r, body := asked(t, host, row.request+" HTTP/1.1\r\nHost: "+host+"\r\n"+row.headers+"Connection: close\r\n\r\n")
		if r.StatusCode != row.want || strings.Contains(body, "secret") {
			t.Errorf("%s with %q: status %d, want %d: %q", row.request, row.headers, r.StatusCode, row.want, body)
		}
	}
	// A preview on another port has a cookie of its own, which a browser sends here as well.
	for _, others := range []string{"wattsheet-preview-1=OTHER; ", "wattsheet-preview=OTHER; "} {
		if r, _ := asked(t, host, "GET /units/otter/ HTTP/1.1\r\nHost: "+host+"\r\nCookie: "+others+tokenCookie+"=RIGHT\r\nConnection: close\r\n\r\n"); r.StatusCode != 200 {
			t.Errorf("with the cookie %q of another: status %d", others, r.StatusCode)
		}
	}
	if r, _ := asked(t, host, "GET /units/otter/ HTTP/1.1\r\nHost: "+host+"\r\nCookie: wattsheet-preview-1=RIGHT\r\nConnection: close\r\n\r\n"); r.StatusCode != 403 {
		t.Errorf("with another's cookie alone: status %d", r.StatusCode)
	}
	if r, _ := asked(t, host, "GET /?token=RIGHT HTTP/1.1\r\nHost: evil.example\r\n"+followed+"Connection: close\r\n\r\n"); r.StatusCode != 403 {
		t.Errorf("by another name: status %d", r.StatusCode)
	}
	// What looks like another site's address in the path stays a path.
	for _, path := range []string{"//evil.example/%2e%2e", "/\\evil.example", "/%5c%5cevil.example", "///evil.example"} {
		_, body := asked(t, host, "GET "+path+"?token=RIGHT HTTP/1.1\r\nHost: "+host+"\r\nConnection: close\r\n\r\n")
		_, to, is := strings.Cut(body, `<a href="`)
		to, _, _ = strings.Cut(to, `"`)
		if at, err := url.Parse(to); !is || err != nil || at.Host != "" || !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.Contains(to, "\\") {
			t.Errorf("%s leads to %q", path, to)
		}
	}
}

// The usual port is left to who has it; a port that was asked for is taken or refused. Only this machine's own addresses
// are listened on.
func TestPorts(t *testing.T) {
	o := Options{Source: newFake(nil)}
	one, err := listen(o, &oneAtATime{to: &notes{}})
	if err != nil {
		t.Skipf("no port is free here: %v", err)
	}
	defer one.close()
	two, err := listen(o, &oneAtATime{to: &notes{}})
	if err != nil {
		t.Fatal(err)
	}
	defer two.close()
	if one.own[0] == two.own[0] {
		t.Errorf("both are at %s", one.own[0])
	}
	for _, p := range one.parts {
		if at := p.listener.Addr().(*net.TCPAddr); !at.IP.IsLoopback() {
			t.Errorf("%v is listened on", at)
		}
	}
	taken := one.parts[0].listener.Addr().(*net.TCPAddr).Port
	if _, err := listen(Options{Source: o.Source, Port: taken}, &oneAtATime{to: &notes{}}); err == nil || !strings.Contains(err.Error(), "\nhint: choose another with --port") {
		t.Errorf("a taken port gives %v", err)
	}
}

func TestShareHasATokenInTheAddress(t *testing.T) {
	if _, err := localAddress(); err != nil {
		t.Skip(err)
	}
	tokens := map[string]bool{}
	for range 2 {
		s, err := listen(Options{Source: newFake(nil), Share: true}, &oneAtATime{to: &notes{}})
		if err != nil {
			t.Fatal(err)
		}
		at, err := url.Parse(s.shared[0])
		if err != nil || len(at.Query().Get(tokenKey)) < 26 { // 130 bits in base 32
			t.Errorf("the address is %s (%v)", s.shared[0], err)
		}
		tokens[at.Query().Get(tokenKey)] = true
		for _, p := range s.parts {
			ip := p.listener.Addr().(*net.TCPAddr).IP
			if guard := p.server.Handler.(*guard); ip.IsLoopback() == (guard.token != "") || ip.IsUnspecified() {
				t.Errorf("%v has the token %q", ip, guard.token)
			}
		}
		s.close()
	}
	if len(tokens) != 2 {
		t.Error("two previews have one token")
	}
}
