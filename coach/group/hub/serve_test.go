package hub

import (
	"bufio"
	"context"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"steadfoot/coach/group"
)

// serve runs Serve and returns where, and how to end it.
func serve(t *testing.T, o Options, config *tls.Config) (addr string, end func() error) {
	t.Helper()
	o.Source, o.Word, o.Key = newSource("Seniors"), word, key
	h, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() { served <- h.Serve(ctx, l, config) }()
	t.Cleanup(cancel)
	return l.Addr().String(), func() error { cancel(); return <-served }
}

func TestServe(t *testing.T) {
	pages := http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, "a page") })
	addr, end := serve(t, Options{Pages: pages}, nil)
	r, err := http.Get("http://" + addr + "/anything")
	if err != nil {
		t.Fatal(err)
	}
	body, _ := io.ReadAll(r.Body)
	r.Body.Close()
	if string(body) != "a page" {
		t.Errorf("page %q", body)
	}
	for name, part := range map[string]string{
		"Content-Security-Policy": "default-src 'self'",
		"X-Content-Type-Options":  "nosniff",
		"Referrer-Policy":         "no-referrer",
		"Permissions-Policy":      "microphone=(self)",
	} {
		if !strings.Contains(r.Header.Get(name), part) {
			t.Errorf("%s: %q", name, r.Header.Get(name))
		}
	}
	conn, _, err := websocket.Dial(t.Context(), "ws://"+addr+"/member", nil)
	if err != nil {
		t.Fatal(err)
	}
	c := &client{t, conn}
	c.send(joining("Mira Tal"))
	next[group.Welcome](c)
	ended := make(chan error, 1)
	go func() { ended <- end() }()
	c.refused(group.SorryEnding)
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if _, err := net.DialTimeout("tcp", addr, time.Second); err == nil {
		t.Error("it still listens")
	}
}

func TestServeTLS(t *testing.T) {
	lent := httptest.NewTLSServer(nil) // for its certificate
	defer lent.Close()
	addr, end := serve(t, Options{}, &tls.Config{Certificates: lent.TLS.Certificates})
	client2 := &http.Client{Transport: &http.Transport{TLSClientConfig: lent.Client().Transport.(*http.Transport).TLSClientConfig}}
	conn, _, err := websocket.Dial(t.Context(), "wss://"+strings.Replace(addr, "127.0.0.1", "127.0.0.1", 1)+"/member", &websocket.DialOptions{HTTPClient: client2})
	if err != nil {
		t.Fatal(err)
	}
	c := &client{t, conn}
	c.send(joining("Mira Tal"))
	next[group.Welcome](c)
	conn.CloseNow()
	if err := end(); err != nil {
		t.Error(err)
	}
}

// TestDoor: one address takes no more places than its own.
func TestDoor(t *testing.T) {
	addr, end := serve(t, Options{PerAddress: 2}, nil)
	var open []net.Conn
	for range 8 {
		c, err := net.Dial("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		fmt.Fprintf(c, "GET / HTTP/1.1\r\nHost: x\r\n\r\n")
		if _, err := bufio.NewReader(c).ReadString('\n'); err != nil {
			t.Fatalf("connection %d: %v", len(open), err)
		}
		open = append(open, c)
	}
	more, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	defer more.Close()
	fmt.Fprintf(more, "GET / HTTP/1.1\r\nHost: x\r\n\r\n") // may fail, if it is closed by then
	if _, err := more.Read(make([]byte, 1)); err == nil {
		t.Error("one more has got in")
	}
	if err := end(); err != nil {
		t.Error(err)
	}
}
