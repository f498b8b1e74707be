package hub

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/detect"
)

// TestPrivate: a member is told its own seat and its group's map, and nothing of other
// walkers, whatever it sends; nor do pages or refusals tell a secret.
func TestPrivate(t *testing.T) {
	pl := open(t, nil)
	other, w := pl.join(joining("Ilse Brandt"))
	other.send(group.Status{Kind: group.KindStatus, At: 1000, Hears: group.HearsWalking, Cadence: 187.25, Clock: 1})
	pl.until("status", func() bool { return pl.row(w.ID).Last.Cadence == 187.25 })
	b := pl.board("")
	next[group.Board](b)

	spy, own := pl.join(joining("Mira Tal"))
	for _, m := range []any{
		group.Ping{Kind: group.KindPing},
		group.Status{Kind: group.KindStatus, At: 1000, Hears: group.HearsWalking, Cadence: 180, Clock: 1},
		group.Steps{Kind: group.KindSteps, Steps: []event.Step{{Step: detect.Step{T: 999}}}},
	} {
		spy.send(m)
	}
	pl.src.do(func() { pl.src.maps[0].Seq = 2 })
	next[group.Board](b) // and a tick of the hub
	spy.send(group.Ping{Kind: group.KindPing, N: 9})
	var all strings.Builder
	for {
		m := spy.read()
		fmt.Fprintf(&all, "%s\n", encode(m))
		if p, ok := m.(group.Pong); ok && p.N == 9 {
			break
		}
	}
	for what, secret := range map[string]string{
		"name": "Ilse", "ID": w.ID, "seat": w.Seat, "cadence": "187.25", "key": key, "word": word, "own seat again": own.Seat,
	} {
		if strings.Contains(all.String(), secret) {
			t.Errorf("a member is told the %s: %s", what, all.String())
		}
	}
	for _, first := range []any{
		group.Key{Kind: group.KindKey, Version: group.Version, Key: word},
		group.Join{Kind: group.KindJoin, Version: group.Version, Word: key, Name: "Mira Tal"},
		group.Command{Kind: group.KindCommand, Do: group.DoStop},
	} {
		for _, path := range []string{"/member", "/board"} {
			c := pl.dial(path)
			c.send(first)
			if s, ok := c.read().(group.Sorry); !ok || strings.Contains(s.Why, key) || strings.Contains(s.Why, word) {
				t.Errorf("%s, %+v: %+v", path, first, s)
			}
		}
	}
	if r, err := http.Get(pl.server.URL + "/board"); err != nil || r.StatusCode != http.StatusNotFound {
		t.Errorf("the board without a socket: %v, %v", r, err)
	}
	if len(pl.src.past) > 0 || pl.src.Maps()[0].Seq != 2 {
		t.Error("a member moved the beat")
	}
}

// TestNames: a name is shown without what hides, turns or breaks the text; pages must
// escape the rest. One that is too long for a message is no message.
func TestNames(t *testing.T) {
	pl := open(t, nil)
	for name, want := range map[string]string{
		"<script>alert(1)</script>":            "<script>alert(1)</script>",
		"\u202eMira\u2066 \x1b]0;x\x07Tal\r\n": "Mira ]0;xTal",
		strings.Repeat("é", 1000):              strings.Repeat("é", group.MaxName),
		"Mira\x00\u200bTal":                    "MiraTal",
		"Z" + strings.Repeat("\u0301", 50):     "Z\u0301\u0301\u0301",
	} {
		j := joining(name)
		j.Way = "\u202ephone\x1b[2J"
		_, w := pl.join(j)
		row := pl.row(w.ID)
		if w.Name != want || row.Name != want || row.Way != "phone[2J" {
			t.Errorf("%.20q is shown as %q, by way of %q", name, row.Name, row.Way)
		}
		if b, err := json.Marshal(row); err != nil || strings.ContainsAny(string(b), "<>\x1b") {
			t.Errorf("on the wire: %s, %v", b, err)
		}
	}
	before := len(pl.Walkers())
	c := pl.dial("/member")
	c.send(joining(strings.Repeat("Mira", 2500)))
	c.tooBig()
	c = pl.dial("/member")
	j := joining("Mira Tal")
	j.Way = strings.Repeat("w", 21)
	c.send(j)
	c.refused(group.SorryBad)
	if n := len(pl.Walkers()); n != before {
		t.Errorf("%d walkers, were %d", n, before)
	}
}

// TestNotAnother: the ID that the board shows is no seat, and neither is a name.
func TestNotAnother(t *testing.T) {
	pl := open(t, nil)
	_, w := pl.join(joining("Mira Tal"))
	for _, seat := range []string{w.ID, "Mira Tal", strings.ToUpper(w.Seat), w.Seat[:31], w.Seat + " "} {
		j := joining("mira tal")
		j.Seat = seat
		if _, other := pl.join(j); other.ID == w.ID || strings.EqualFold(other.Name, w.Name) {
			t.Errorf("the seat %q gave %+v", seat, other)
		}
	}
	j := joining("Mira Tal") // the seat, without the word
	j.Seat, j.Word = w.Seat, "hero"
	c := pl.dial("/member")
	c.send(j)
	c.refused(group.SorryWord)
	if !pl.row(w.ID).Here {
		t.Error("the walker was sent away")
	}
}

// TestBoardFlood: a board is held to the same rate, and the leader lives on.
func TestBoardFlood(t *testing.T) {
	pl := open(t, nil)
	b := pl.board("")
	for i := range 2 * atOnce {
		b.send(group.Command{Kind: group.KindCommand, N: i, Do: group.DoShift, By: 1})
	}
	b.refused(group.SorryRate)
	if n := len(pl.src.past); n > atOnce {
		t.Errorf("%d commands were done", n)
	}
	next[group.Board](pl.board(""))
}

// TestFloodOfPongs: answers that nobody asked for count as messages.
func TestFloodOfPongs(t *testing.T) {
	pl := open(t, nil)
	c, err := net.Dial("tcp", pl.server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	fmt.Fprint(c, "GET /member HTTP/1.1\r\nHost: x\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n"+
		"Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n")
	in := bufio.NewReader(c)
	if r, err := http.ReadResponse(in, nil); err != nil || r.StatusCode != http.StatusSwitchingProtocols {
		t.Fatalf("%v, %v", r, err)
	}
	pong := "\x8a\x80\x00\x00\x00\x00" // empty, with a mask of zeros (RFC 6455, section 5.2)
	fmt.Fprint(c, strings.Repeat(pong, 3*atOnce))
	_ = c.SetReadDeadline(time.Now().Add(patience))
	if _, err := in.ReadString('}'); err != nil { // a Sorry
		t.Errorf("it goes on: %v", err)
	}
}

// TestBoards: boards have their number, beside the members.
func TestBoards(t *testing.T) {
	pl := open(t, nil)
	for range maxBoards {
		next[group.Board](pl.board(""))
	}
	pl.board("").refused(group.SorryFull)
	pl.join(joining("Mira Tal"))
}

// TestUninvited: connections that never say the word are bounded as well, and do not
// keep out those who are here.
func TestUninvited(t *testing.T) {
	pl := open(t, func(o *Options) { o.MaxMembers = 4 })
	c, _ := pl.join(joining("Mira Tal"))
	most := 5 + maxBoards // 4 members and a quarter, see hub.most
	for range most - 1 {
		pl.dial("/member")
	}
	pl.until("all are there", func() bool { pl.mu2(); defer pl.Hub.mu.Unlock(); return len(pl.peers) == most })
	over, _, err := websocket.Dial(context.Background(), strings.Replace(pl.server.URL, "http", "ws", 1)+"/member", nil)
	if err == nil {
		(&client{t, over}).ends()
	}
	c.send(group.Ping{Kind: group.KindPing, N: 1})
	if next[group.Pong](c).N != 1 {
		t.Error("who is here is not answered")
	}
	pl.until("nothing is written", func() bool { // a write may not take as long as the clock is moved by
		pl.mu2()
		defer pl.Hub.mu.Unlock()
		for p := range pl.peers {
			if p.writing.Load() != 0 || len(p.queue) > 0 {
				return false
			}
		}
		return true
	})
	pl.src.advance(maxToJoin + 1)
	pl.sweep()
	pl.until("they are gone", func() bool { pl.mu2(); defer pl.Hub.mu.Unlock(); return len(pl.peers) == 1 })
	pl.join(joining("Jon Ash"))
}

// TestUnread: answers that are not read do not pile up.
func TestUnread(t *testing.T) {
	p := newPeer(func() float64 { return 0 }, "a") // whose writer does not run
	for range queued {
		p.send([]byte("x"))
	}
	select {
	case <-p.ending:
		t.Fatal("it ends too soon")
	default:
	}
	p.send([]byte("x"))
	select {
	case <-p.ending:
	default:
		t.Error("it goes on")
	}
	old, young := []byte("old"), []byte("new")
	p.show(old)
	p.show(young)
	if got := *p.newest.Load(); string(got) != "new" || len(p.wake) != 1 {
		t.Errorf("%q waits", got)
	}
}

// TestDoorInAll: connections of all addresses together are bounded, whether or not they
// ask for anything.
func TestDoorInAll(t *testing.T) {
	pl := open(t, func(o *Options) { o.MaxMembers = 10 })
	d := newDoor(nil, pl.Hub)
	for i := range d.most {
		if !d.enter(fmt.Sprint(i)) {
			t.Fatalf("connection %d is refused", i)
		}
	}
	if d.enter("x") || d.most > 1000 {
		t.Errorf("more than %d are let in", d.most)
	}
	d.leave("0")
	if !d.enter("x") {
		t.Error("a place that is free again is not given")
	}
}

// TestForget: addresses that came and went are not kept for ever.
func TestForget(t *testing.T) {
	c := newCrowd(4)
	for i := range 6000 {
		a := fmt.Sprint(i)
		if !c.come(a, float64(i)) {
			t.Fatal("the first one may not come")
		}
		c.goes(a)
	}
	if n := len(c.here); n > 4097 {
		t.Errorf("%d addresses are kept", n)
	}
	for range 4 {
		c.come("b", 6000)
	}
	for i := range 5000 {
		c.come(fmt.Sprint("x", i), 20000)
	}
	if c.come("b", 1e6) {
		t.Error("who is here was forgotten")
	}
}

// TestSlowRequests: who sends a request by and by, or a huge one, holds no connection.
func TestSlowRequests(t *testing.T) {
	t.Parallel()
	addr, end := serve(t, Options{}, nil)
	slow, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	defer slow.Close()
	fmt.Fprint(slow, "GET / HTTP/1.1\r\nHost: x\r\n")
	huge, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	defer huge.Close()
	go fmt.Fprintf(huge, "GET / HTTP/1.1\r\nHost: x\r\nX: %s\r\n\r\n", strings.Repeat("x", 64<<10))
	if r, err := http.ReadResponse(bufio.NewReader(huge), nil); err != nil || r.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
		t.Errorf("headers of 64 kB: %v, %v", r, err)
	}
	_ = slow.SetReadDeadline(time.Now().Add(2 * patience))
	for b := make([]byte, 512); ; {
		if _, err := slow.Read(b); err != nil {
			if net, ok := err.(net.Error); ok && net.Timeout() {
				t.Error("half a request is waited for")
			}
			break
		}
	}
	if err := end(); err != nil {
		t.Error(err)
	}
}
