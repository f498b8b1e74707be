package main

import (
	"context"
	"encoding/json"
	"net"
	"net/http/httptest"
	"strings"
	"testing"
	"unicode"

	"github.com/coder/websocket"

	"steadfoot/coach/group"
	"steadfoot/coach/group/hub"
	"steadfoot/coach/group/local"
)

// TestLeadListens: nobody but this machine can join unless that is asked for.
func TestLeadListens(t *testing.T) {
	given := func(string) bool { return false }
	for _, c := range []struct {
		o    leadOptions
		here bool
	}{
		{leadOptions{}, true},
		{leadOptions{tls: true}, true},
		{leadOptions{bus: busOptions{url: "nats://bus.example", event: "walk"}}, true},
		{leadOptions{network: true}, false},
		{leadOptions{listen: ":9000"}, false},
	} {
		if err := c.o.check(given); err != nil {
			t.Fatal(err)
		}
		host, _, err := net.SplitHostPort(c.o.listen)
		if err != nil {
			t.Fatal(err)
		}
		l, err := listenAt(net.JoinHostPort(host, "0"))
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		if here := l.Addr().(*net.TCPAddr).IP.IsLoopback(); here != c.here {
			t.Errorf("%+v listens at %v", c.o, l.Addr())
		}
	}
}

// TestLeadWho: names that walkers gave themselves do nothing to a terminal, neither
// in the list of walkers nor in any other line.
func TestLeadWho(t *testing.T) {
	src, err := local.New(local.Options{Now: func() float64 { return 1 }, Term: 1, Groups: []string{"all"}})
	if err != nil {
		t.Fatal(err)
	}
	h, err := hub.New(hub.Options{Source: src, Word: "heron"})
	if err != nil {
		t.Fatal(err)
	}
	defer h.Close()
	server := httptest.NewServer(h)
	defer server.Close()
	names := []string{"\x1b[2J\x1b]0;owned\x07Mira", "\u202eTal\r\noops", "<script>x</script>", strings.Repeat("long ", 500)}
	for _, name := range names {
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		c, _, err := websocket.Dial(ctx, strings.Replace(server.URL, "http", "ws", 1)+"/member", nil)
		if err != nil {
			t.Fatal(err)
		}
		defer c.CloseNow()
		b, err := json.Marshal(group.Join{Kind: group.KindJoin, Version: group.Version, Word: "heron", Name: name})
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Write(ctx, websocket.MessageText, b); err != nil {
			t.Fatal(err)
		}
		if _, _, err := c.Read(ctx); err != nil {
			t.Fatal(err)
		}
	}
	var out strings.Builder
	l := &leader{hub: h, show: &leadView{w: &out}}
	l.who()
	l.show.say(strings.Join(names, " "))
	if n := strings.Count(out.String(), "\n"); n != len(names)+2 { // and how many there are, and the line said
		t.Errorf("%d lines:\n%q", n, out.String())
	}
	for _, line := range strings.Split(out.String(), "\n") {
		if strings.ContainsFunc(line, func(r rune) bool { return !unicode.IsPrint(r) }) {
			t.Errorf("a terminal gets %q", line)
		}
	}
}
