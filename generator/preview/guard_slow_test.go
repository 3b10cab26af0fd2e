package preview

import (
	"bufio"
	"errors"
	"io"
	"net"
	"net/http"
	"os"
	"testing"
	"time"
)

// A request that announces a body and sends none is answered at once, whoever it is from, and its connection ends soon:
// else anybody who reaches the port could hold as many as the system has.
func TestBodyThatNeverComes(t *testing.T) {
	f := newFake(map[string]string{"index.html": plainPage("front", "")})
	h, server, _ := served(t, f)
	h.publish(nil)
	host := server.Listener.Addr().String()
	for _, row := range []struct {
		request string
		want    int
	}{
		{"GET / HTTP/1.1\r\nHost: " + host + "\r\nContent-Length: 10\r\n\r\n", 200},
		{"POST / HTTP/1.1\r\nHost: " + host + "\r\nContent-Length: 10\r\n\r\n", 405},
		{"POST / HTTP/1.1\r\nHost: " + host + "\r\nTransfer-Encoding: chunked\r\n\r\n", 405},
		{"POST / HTTP/1.1\r\nHost: evil.example\r\nContent-Length: 10\r\n\r\n", 403},
	} {
		t.Run(row.request[:4], func(t *testing.T) {
			t.Parallel()
			c, err := net.Dial("tcp", host)
			if err != nil {
				t.Fatal(err)
			}
			defer c.Close()
			_ = c.SetDeadline(time.Now().Add(patience))
			start := time.Now()
			if _, err := io.WriteString(c, row.request); err != nil {
				t.Fatal(err)
			}
			reader := bufio.NewReader(c)
			r, err := http.ReadResponse(reader, nil)
			if err != nil || r.StatusCode != row.want {
				t.Fatalf("answered %v, %v", r, err)
			}
			if took := time.Since(start); took >= bodyTime {
				t.Errorf("answered after %v", took)
			}
			if _, err := io.Copy(io.Discard, reader); errors.Is(err, os.ErrDeadlineExceeded) {
				t.Error("the connection stays")
			}
		})
	}
}

// A client that asks and asks and reads nothing is let go, also where all it gets are refusals.
func TestClientThatReadsNothing(t *testing.T) {
	server := answering(&guard{hosts: []string{"localhost:1"}, next: http.NotFoundHandler()})
	if server.WriteTimeout <= 0 {
		t.Fatal("an answer may take for ever")
	}
	server.WriteTimeout = 200 * time.Millisecond
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go server.Serve(l)
	defer server.Close()
	c, err := net.Dial("tcp", l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_ = c.SetDeadline(time.Now().Add(patience))
	for err == nil {
		_, err = io.WriteString(c, "GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n")
	}
	if errors.Is(err, os.ErrDeadlineExceeded) {
		t.Error("the connection stays")
	}
}
