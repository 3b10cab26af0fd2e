package preview

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// UsualPort is where a preview listens if it is free: "watt" on a telephone's keys.
const UsualPort = 9288

// tries is how many ports from the usual one on are tried.
const tries = 20

// A server listens on the addresses of this machine.
type server struct {
	hub         *hub
	own, shared []string // addresses
	parts       []part
}

// A part is one listener with its server: they differ in who may ask, and how.
type part struct {
	listener net.Listener
	server   *http.Server
}

// listen takes a port on this machine's own addresses and, to share, on that in the local network.
func listen(o Options, say *oneAtATime) (*server, error) {
	port, local, err := listenLocally(o.Port)
	if err != nil {
		return nil, err
	}
	s := &server{hub: newHub(o.Source, say)}
	pages := &pages{hub: s.hub}
	at := strconv.Itoa(port)
	hosts := []string{"localhost:" + at, "127.0.0.1:" + at, "[::1]:" + at}
	if at == "80" {
		hosts = append(hosts, "localhost", "127.0.0.1", "[::1]")
	}
	for _, l := range local {
		s.add(l, &guard{hosts: hosts, next: pages})
	}
	s.own = []string{"http://localhost:" + at + "/"}
	if !o.Share {
		return s, nil
	}
	if err := s.share(at, pages); err != nil {
		s.close()
		return nil, err
	}
	return s, nil
}

// share adds the address in the local network, and a token without which nothing is answered there.
func (s *server) share(port string, pages http.Handler) error {
	ip, err := localAddress()
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp4", net.JoinHostPort(ip.String(), port))
	if err != nil {
		return fmt.Errorf("the address %s can't be listened on: %w\nhint: choose another port with --port", net.JoinHostPort(ip.String(), port), reason(err))
	}
	host := l.Addr().String()
	if port == "80" {
		host = ip.String()
	}
	token := rand.Text()
	s.add(l, &guard{hosts: []string{host}, token: token, next: pages})
	s.shared = []string{"http://" + host + "/?" + tokenKey + "=" + token}
	return nil
}

func (s *server) add(l net.Listener, handler http.Handler) {
	s.parts = append(s.parts, part{l, answering(handler)})
}

// answering is a server that leaves every request to its handler: by itself the library would answer OPTIONS * to anybody.
func answering(handler http.Handler) *http.Server {
	return &http.Server{
		Handler: handler, ReadHeaderTimeout: 5 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 64 << 10,
		WriteTimeout:                 answerTime, // of refusals; what takes time to make begins anew when it is made
		DisableGeneralOptionsHandler: true,
		ErrorLog:                     log.New(nowhere{}, "", 0), // what a client does wrong is nobody's concern here
	}
}

type nowhere struct{}

func (nowhere) Write(p []byte) (int, error) { return len(p), nil }

func (s *server) close() {
	for _, p := range s.parts {
		p.listener.Close()
	}
}

// serve answers requests until the context ends, then lets what is being answered end.
func (s *server) serve(ctx context.Context) error {
	failed := make(chan error, len(s.parts))
	for _, p := range s.parts {
		p.server.BaseContext = func(net.Listener) context.Context { return ctx }
		go func() { failed <- p.server.Serve(p.listener) }()
	}
	var err error
	select {
	case <-ctx.Done():
	case err = <-failed:
		err = fmt.Errorf("the preview can't go on serving: %w", reason(err))
	}
	patience, done := context.WithTimeout(context.WithoutCancel(ctx), 2*time.Second)
	defer done()
	for _, p := range s.parts {
		if p.server.Shutdown(patience) != nil {
			p.server.Close()
		}
	}
	return err
}

// listenLocally takes one port on 127.0.0.1 and, where there is one, on ::1.
func listenLocally(asked int) (port int, local []net.Listener, err error) {
	if asked != 0 {
		local, err = listenOn(asked)
		if err != nil {
			return 0, nil, fmt.Errorf("the port %d can't be listened on: %w\nhint: choose another with --port, or none to get one that is free", asked, reason(err))
		}
		return asked, local, nil
	}
	for port = UsualPort; port < UsualPort+tries; port++ {
		if local, err = listenOn(port); err == nil {
			return port, local, nil
		}
	}
	return 0, nil, fmt.Errorf("none of the ports %d to %d can be listened on: %w\nhint: choose one with --port", UsualPort, port-1, reason(err))
}

func listenOn(port int) ([]net.Listener, error) {
	at := strconv.Itoa(port)
	four, err := net.Listen("tcp4", net.JoinHostPort("127.0.0.1", at))
	if err != nil {
		return nil, err
	}
	six, err := net.Listen("tcp6", net.JoinHostPort("::1", at))
	switch {
	case err == nil:
		return []net.Listener{four, six}, nil
	case errors.Is(err, syscall.EADDRINUSE): // localhost might lead there
		four.Close()
		return nil, err
	}
	return []net.Listener{four}, nil // this machine has no ::1
}

// localAddress is this machine's address in the local network: the one that it would reach others by, or any other
// private one.
func localAddress() (net.IP, error) {
	// To connect by UDP sends nothing; 192.0.2.1 is nobody's (RFC 5737).
	if c, err := net.Dial("udp4", "192.0.2.1:9"); err == nil {
		defer c.Close()
		if at, ok := c.LocalAddr().(*net.UDPAddr); ok && at.IP.IsPrivate() {
			return at.IP, nil
		}
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil, fmt.Errorf("the addresses of this machine can't be found: %w", reason(err))
	}
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsPrivate() {
			return n.IP.To4(), nil
		}
	}
	return nil, errors.New("this machine has no address in a local network\nhint: connect it to one, or leave --share out")
}

// reason is what the system says, without the address that the message names already.
func reason(err error) error {
	var op *net.OpError
	if errors.As(err, &op) {
		err = op.Err
	}
	return errors.New(strings.TrimPrefix(err.Error(), "bind: "))
}
