package record

import (
	"fmt"
	"net/url"
	"path"
	"regexp"
	"strconv"
	"strings"
)

// A watched is what can be told from a video's address: how its page is asked for a
// second, and its player. The forms are those that the hosts document; an address of no
// known form is followed as it is written.
type watched struct {
	page   func(seconds int) string // nil: the page can't be asked for a second
	player *Player                  // nil: there is none that a page may frame
}

// A Player is a page that plays a video in a frame.
type Player struct {
	// Waiting shows it, and waits until it is started.
	Waiting string
	// Address plays it from its beginning, by itself.
	Address string
	// Start is added to the address to begin at a second, for which "%" stands.
	Start string
	// Origin is what a policy has to allow for it.
	Origin string
}

// At is the address that plays the video from a second on.
func (p Player) At(seconds int) string {
	if seconds == 0 {
		return p.Address
	}
	return p.Address + strings.Replace(p.Start, "%", strconv.Itoa(seconds), 1)
}

// AddressAt gives the address at which the video is watched from a second on. Where
// its host has no known form for that, timed is false and the address is the video's
// own, which begins at its beginning.
func (v *Video) AddressAt(seconds int) (address string, timed bool) {
	w := v.watched()
	if w.page == nil {
		return v.Address, seconds == 0
	}
	return w.page(seconds), true
}

// Player gives the page that plays the video in a frame. There is none for files, for
// hosts of no known form, and without https, which a page with https may not frame.
func (v *Video) Player() (p Player, ok bool) {
	w := v.watched()
	if w.player == nil {
		return Player{}, false
	}
	return *w.player, true
}

// Host is the name of the host where the video is watched; empty while it isn't out.
func (v *Video) Host() string {
	u, err := url.Parse(v.Address)
	if err != nil {
		return ""
	}
	return strings.TrimPrefix(strings.ToLower(u.Hostname()), "www.")
}

var (
	// Origins go into policies, where other characters end a rule.
	plainHost = regexp.MustCompile(`^[a-z0-9]([a-z0-9.-]*[a-z0-9])?(:[0-9]{1,5})?$`)

	tubeID   = regexp.MustCompile(`^[A-Za-z0-9_-]{11}$`)
	tubePath = regexp.MustCompile(`^/(?:embed|live|shorts|v)/([A-Za-z0-9_-]{11})/?$`)
	// A number, and for a video that isn't listed a word that opens it.
	numberPath = regexp.MustCompile(`^/(?:video/|channels/[\w-]+/)?([0-9]{4,12})(?:/([0-9a-f]{4,40}))?/?$`)
	openWord   = regexp.MustCompile(`^[0-9a-f]{4,40}$`)
	// A UUID, or the same in 22 characters of base 58, on a host of any name.
	peerPath = regexp.MustCompile(`^/(?:w|videos/watch|videos/embed)/([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}|[1-9A-HJ-NP-Za-km-z]{22})/?$`)
)

// fileKinds are the endings of files that browsers play.
var fileKinds = map[string]bool{".mp4": true, ".m4v": true, ".webm": true, ".ogv": true, ".mov": true}

func (v *Video) watched() watched {
	u, err := url.Parse(v.Address)
	if v.Address == "" || err != nil {
		return watched{}
	}
	host := strings.ToLower(u.Host)
	if !plainHost.MatchString(host) {
		return watched{}
	}
	w := watchedAt(u, host)
	if u.Scheme != "https" {
		w.player = nil
	}
	return w
}

func watchedAt(u *url.URL, host string) watched {
	switch strings.TrimPrefix(strings.TrimPrefix(host, "www."), "m.") {
	case "youtube.com", "youtube-nocookie.com", "youtu.be":
		return onTube(u, host)
	case "vimeo.com", "player.vimeo.com":
		return byNumber(u)
	}
	if m := peerPath.FindStringSubmatch(u.Path); m != nil {
		return onPeer(u, host, m[1])
	}
	if fileKinds[strings.ToLower(path.Ext(u.Path))] {
		return watched{page: func(seconds int) string {
			at := *u
			// Media Fragments URI 1.0, section 4.2.1: normal play time in seconds.
			if at.Fragment, at.RawFragment = "", ""; seconds > 0 {
				at.Fragment = fmt.Sprintf("t=%d", seconds)
			}
			return at.String()
		}}
	}
	return watched{}
}

// onTube: …/watch?v=ID&t=76s, the short host's ?t=76, and in a frame start=76, from the
// host that sets no cookie before the video plays.
func onTube(u *url.URL, host string) watched {
	id := u.Query().Get("v")
	short := host == "youtu.be"
	if short {
		id = strings.Trim(u.Path, "/")
	} else if m := tubePath.FindStringSubmatch(u.Path); m != nil {
		id = m[1]
	}
	if !tubeID.MatchString(id) {
		return watched{}
	}
	const origin = "https://www.youtube-nocookie.com"
	return watched{
		page: func(seconds int) string {
			if short {
				return "https://youtu.be/" + id + timed("?t=%d", seconds)
			}
			return "https://www.youtube.com/watch?v=" + id + timed("&t=%ds", seconds)
		},
		player: &Player{origin + "/embed/" + id, origin + "/embed/" + id + "?autoplay=1", "&start=%", origin},
	}
}

// byNumber: …/NUMBER#t=1m16s, and in a frame the same with dnt=1, which asks for no
// new cookies.
func byNumber(u *url.URL) watched {
	m := numberPath.FindStringSubmatch(u.Path)
	if m == nil {
		return watched{}
	}
	number, word := m[1], m[2]
	if h := u.Query().Get("h"); word == "" && openWord.MatchString(h) {
		word = h
	}
	const origin = "https://player.vimeo.com"
	page, player := "https://vimeo.com/"+number, origin+"/video/"+number+"?dnt=1"
	if word != "" {
		page, player = page+"/"+word, player+"&h="+word
	}
	return watched{
		page: func(seconds int) string {
			if seconds == 0 {
				return page
			}
			return page + fmt.Sprintf("#t=%dm%ds", seconds/60, seconds%60)
		},
		player: &Player{player, player + "&autoplay=1", "#t=%s", origin},
	}
}

// onPeer: a host of any name; start takes seconds, and in a frame p2p=0 keeps the
// reader's address from other viewers.
func onPeer(u *url.URL, host, id string) watched {
	at := u.Scheme + "://" + host
	player := at + "/videos/embed/" + id + "?p2p=0&warningTitle=0"
	return watched{
		page: func(seconds int) string {
			return at + strings.Replace(strings.TrimSuffix(u.Path, "/"), "/videos/embed/", "/w/", 1) + timed("?start=%d", seconds)
		},
		player: &Player{player, player + "&autoplay=1", "&start=%", at},
	}
}

func timed(form string, seconds int) string {
	if seconds == 0 {
		return ""
	}
	return fmt.Sprintf(form, seconds)
}
