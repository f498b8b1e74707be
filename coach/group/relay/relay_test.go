package relay

import (
	"bufio"
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/coder/websocket"
)

// echo answers lines.
func echo(t *testing.T) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go func() {
				defer c.Close()
				for s := bufio.NewScanner(c); s.Scan(); {
					fmt.Fprintln(c, s.Text())
				}
			}()
		}
	}()
	return l.Addr().String()
}

// TestTCP: bytes come in order, not before their time, and not at all after a
// cut.
func TestTCP(t *testing.T) {
	r, err := Listen(echo(t), Link{Up: Way{Base: 20 * time.Millisecond}, Down: Way{Base: 10 * time.Millisecond, Jitter: 10 * time.Millisecond}}, 1)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	c, err := net.Dial("tcp", r.Addr())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	in := bufio.NewScanner(c)
	for i := range 5 {
		began := time.Now()
		fmt.Fprintf(c, "%d\n%d\n", i, i+100)
		for _, want := range []int{i, i + 100} {
			if !in.Scan() || in.Text() != fmt.Sprint(want) {
				t.Fatalf("got %q, want %d (%v)", in.Text(), want, in.Err())
			}
		}
		if d := time.Since(began); d < 20*time.Millisecond {
			t.Errorf("answered after %v", d)
		}
	}
	r.Set(Link{Up: Way{Loss: 1, Again: 100 * time.Millisecond}})
	began := time.Now()
	fmt.Fprintln(c, "lost")
	if !in.Scan() || time.Since(began) < 100*time.Millisecond {
		t.Errorf("a loss took %v", time.Since(began))
	}
	r.Cut(true)
	if in.Scan() {
		t.Error("heard after a cut")
	}
	d, err := net.Dial("tcp", r.Addr())
	if err == nil {
		defer d.Close()
		if bufio.NewScanner(d).Scan() {
			t.Error("let in while shut")
		}
	}
}

// TestMessages: messages overtake each other, pings are lost, others are not.
func TestMessages(t *testing.T) {
	hub := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		c, err := websocket.Accept(w, r, nil)
		if err != nil {
			return
		}
		defer c.CloseNow()
		for {
			kind, b, err := c.Read(r.Context())
			if err != nil {
				return
			}
			_ = c.Write(r.Context(), kind, b)
		}
	}))
	defer hub.Close()
	server := httptest.NewServer(NewMessages(hub.URL, Link{
		Up: Way{Base: 40 * time.Millisecond, Jitter: 40 * time.Millisecond, Loss: 0.5},
	}, 2))
	defer server.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	c, _, err := websocket.Dial(ctx, server.URL+"/any", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer c.CloseNow()
	const n = 40
	for i := range n {
		kind := "ping"
		if i%2 == 0 {
			kind = "status"
		}
		if err := c.Write(ctx, websocket.MessageText, fmt.Appendf(nil, `{"kind":%q,"n":%d}`, kind, i)); err != nil {
			t.Fatal(err)
		}
	}
	others, swapped, last := 0, 0, -1
	for others < n/2 {
		_, b, err := c.Read(ctx)
		if err != nil {
			t.Fatalf("%v after %d others", err, others)
		}
		var i int
		if _, err := fmt.Sscanf(string(b), `{"kind":"status","n":%d}`, &i); err == nil {
			others++
		} else if _, err := fmt.Sscanf(string(b), `{"kind":"ping","n":%d}`, &i); err != nil {
			t.Fatalf("%s", b)
		}
		if i < last {
			swapped++
		}
		last = i
	}
	if swapped == 0 {
		t.Error("none overtook another")
	}
}
