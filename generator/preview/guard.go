package preview

import (
	"crypto/subtle"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"
)

// A guard lets requests through that come from a browser on a page of this server itself, or from nowhere (an address
// typed). Any web site can make a visitor's browser ask this machine for a page; a guard keeps such a site from
// reading one: by the name it used (a name of its own that leads here), or by what the browser says of where the
// request comes from.
type guard struct {
	hosts []string // the names of this server, each with its port, as browsers write them
	token string   // what the address has to carry, or the cookie that it was changed for; empty where none is needed
	next  http.Handler
}

// inTemplate is the page that leads in, once the token was in an address.
var inTemplate = template.Must(template.ParseFS(ownFiles, "page/in.html"))

// bodyTime bounds how long a client may take to send a body, though none is asked for.
const bodyTime = time.Second

// tokenKey is the token's name in an address.
const tokenKey = "token"

// cookie is its name as a cookie. Browsers give a machine's cookies to all its ports: another preview there has its own.
func (g *guard) cookie() string {
	return "wattsheet-preview-" + g.hosts[0][strings.LastIndexByte(g.hosts[0], ':')+1:]
}

func (g *guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Content-Security-Policy", ownPolicy)
	if r.ContentLength != 0 { // nobody waits for a body that isn't read, before the answer or after it
		h.Set("Connection", "close")
		_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(bodyTime))
	}
	if why := g.refuses(r); why != "" && !g.invites(r) {
		refuse(w, http.StatusForbidden, why)
		return
	}
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		h.Set("Allow", "GET, HEAD")
		refuse(w, http.StatusMethodNotAllowed, "This preview only answers GET and HEAD.")
		return
	}
	if g.token != "" && !g.known(w, r) {
		return
	}
	g.next.ServeHTTP(w, r)
}

// refuses says why a request isn't answered; empty when it is. No name of a file or unit is in what it says.
func (g *guard) refuses(r *http.Request) string {
	if !slices.Contains(g.hosts, r.Host) {
		return "This preview isn't called by that name. Use the address that wattsheet watch printed."
	}
	for _, origin := range r.Header.Values("Origin") {
		if origin != "http://"+r.Host {
			return "This preview doesn't answer pages of another site."
		}
	}
	for _, from := range r.Header.Values("Sec-Fetch-Site") {
		if from != "same-origin" && from != "none" {
			return "This preview doesn't answer what another site asks for or links to. Type its address, or open it from the terminal."
		}
	}
	return ""
}

// invites reports whether a request is a link with the token that somebody followed from another site, as from a
// conversation in the browser. What it is answered with is nothing but a way on.
func (g *guard) invites(r *http.Request) bool {
	h := r.Header
	return g.token != "" && r.Method == http.MethodGet && g.is(r.URL.Query().Get(tokenKey)) && slices.Contains(g.hosts, r.Host) && h.Get("Origin") == "" &&
		h.Get("Sec-Fetch-Mode") == "navigate" && h.Get("Sec-Fetch-Dest") == "document"
}

// known reports whether a request carries the token. One in the address is changed for a cookie, so that it doesn't
// stay in the address. Where it isn't known, or was changed, the answer is given.
//
// The cookie is sent with requests of this server's own pages only. A browser that follows a redirect still asks on behalf
// of the page whose link was followed, so there is a page in between, which asks by itself.
func (g *guard) known(w http.ResponseWriter, r *http.Request) bool {
	if cookie, err := r.Cookie(g.cookie()); err == nil && g.is(cookie.Value) && !r.URL.Query().Has(tokenKey) {
		return true
	}
	if !g.is(r.URL.Query().Get(tokenKey)) {
		refuse(w, http.StatusForbidden, "This preview is only for those who know its whole address, with the token that wattsheet watch printed.")
		return false
	}
	http.SetCookie(w, &http.Cookie{Name: g.cookie(), Value: g.token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	asked := r.URL.Query()
	asked.Del(tokenKey)
	on := url.URL{Path: "/" + strings.TrimLeft(r.URL.Path, "/\\"), RawQuery: asked.Encode()}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_ = inTemplate.Execute(w, on.RequestURI()) // a client that is gone isn't told
	return false
}

// is compares in a time that doesn't depend on how much of the token is right.
func (g *guard) is(said string) bool {
	return subtle.ConstantTimeCompare([]byte(said), []byte(g.token)) == 1
}

func refuse(w http.ResponseWriter, status int, sentence string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(sentence + "\n"))
}
