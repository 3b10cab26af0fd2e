package preview

import (
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// A link with the token that is tapped on a page of another site leads to the preview at once: in a browser that says where
// a request comes from, as it does to its own machine, and in one that doesn't, as to a machine in the local network. The
// token is gone from the address then. A link without it doesn't lead in, though the browser has the cookie.
func TestSharedLinkIsFollowed(t *testing.T) {
	f := newFake(map[string]string{"units/otter/index.html": plainPage("otter", "")})
	for _, name := range []string{"127.0.0.1", "bench.example"} { // the second is none of the machine's own

		t.Run(name, func(t *testing.T) {
			h := newHub(f, &notes{})
			h.publish(nil)
			l, err := net.Listen("tcp4", "127.0.0.1:0")
			if err != nil {
				t.Fatal(err)
			}
			host := strings.Replace(l.Addr().String(), "127.0.0.1", name, 1)
			server := answering(&guard{hosts: []string{host}, token: "RIGHT", next: &pages{hub: h}})
			go server.Serve(l)
			t.Cleanup(func() { server.Close() })
			chat := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				w.Header().Set("Content-Type", "text/html")
				fmt.Fprintf(w, `<title>chat</title><a id="with" href="http://%s/units/otter/?token=RIGHT">a</a><a id="without" href="http://%[1]s/units/otter/">b</a>`, host)
			}))
			t.Cleanup(chat.Close)
			ctx := inBrowser(t, chromedp.Flag("host-resolver-rules", "MAP bench.example 127.0.0.1"))
			elsewhere := strings.Replace(chat.URL, "127.0.0.1", "localhost", 1)
			follow := func(link string) {
				t.Helper()
				visit(t, ctx, elsewhere)
				if err := chromedp.Do(ctx, chromedp.Click("#"+link)); err != nil {
					t.Fatal(err)
				}
			}
			follow("with")
			soon(t, ctx, `document.title === 'otter' && location.href === 'http://`+host+`/units/otter/'`)
			connected(t, h, 1)
			if err := chromedp.Do(ctx, chromedp.Reload()); err != nil {
				t.Fatal(err)
			}
			soon(t, ctx, `document.title === 'otter'`)
			follow("without")
			soon(t, ctx, `document.body.innerText.includes('This preview')`)
			if js[bool](t, ctx, `document.title === 'otter'`) {
				t.Error("a link without the token leads in")
			}
		})
	}
}
