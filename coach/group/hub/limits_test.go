package hub

import (
	"context"
	"net"
	"net/http"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/detect"
)

func TestFlood(t *testing.T) {
	pl := open(t, nil)
	other, _ := pl.join(joining("Jon Ash"))
	c, _ := pl.join(joining("Mira Tal"))
	for range 2 * atOnce { // the clock stands still
		c.send(group.Ping{Kind: group.KindPing})
	}
	c.refused(group.SorryRate)
	other.send(group.Ping{Kind: group.KindPing, N: 1})
	if next[group.Pong](other).N != 1 {
		t.Error("the others suffer")
	}
}

// TestSteadyRate: who keeps to the rate stays.
func TestSteadyRate(t *testing.T) {
	pl := open(t, nil)
	c, _ := pl.join(joining("Mira Tal"))
	for i := range 5 * atOnce {
		pl.src.advance(1.01 / perSecond)
		c.send(group.Ping{Kind: group.KindPing, N: i})
		if next[group.Pong](c).N != i {
			t.Fatal("a pong is missing")
		}
	}
}

// TestFloodOfControl: pings of the WebSocket itself count as well.
func TestFloodOfControl(t *testing.T) {
	pl := open(t, nil)
	c, _ := pl.join(joining("Mira Tal"))
	done := make(chan struct{})
	go func() {
		defer close(done)
		for range 3 * atOnce {
			ctx, cancel := context.WithTimeout(context.Background(), time.Millisecond)
			_ = c.conn.Ping(ctx) // nobody waits for the answer
			cancel()
		}
	}()
	c.ends()
	<-done
}

func TestTooManySteps(t *testing.T) {
	pl := open(t, nil)
	c, _ := pl.join(joining("Mira Tal"))
	m := group.Steps{Kind: group.KindSteps}
	for i := range group.MaxSteps {
		m.Steps = append(m.Steps, event.Step{Step: detect.Step{T: 900 + float64(i)/1000}})
	}
	for range stepsAtOnce/group.MaxSteps + 1 {
		pl.src.advance(1e-9)
		c.send(m)
	}
	c.refused(group.SorryRate)
}

func TestHugeFrame(t *testing.T) {
	pl := open(t, nil)
	c, _ := pl.join(joining("Mira Tal"))
	c.send(strings.Repeat(" ", group.MaxMessage+1))
	c.tooBig()
	b := pl.dial("/board") // no more is read before the key is known
	b.send(`{"kind":"key","version":1,"key":"` + strings.Repeat("x", group.MaxMessage) + `"}`)
	b.tooBig()
	b = pl.board("")
	next[group.Board](b)
	b.send(group.Command{Kind: group.KindCommand, N: 1, Do: group.DoSession, Session: strings.Repeat("#", group.MaxCommand/2)})
	if next[group.Done](b).Why != "" {
		t.Error("a large session is refused")
	}
	b.send(strings.Repeat(" ", group.MaxCommand+1))
	b.tooBig()
}

// tooBig waits for the end that a message above the limit brings.
func (c *client) tooBig() {
	c.t.Helper()
	if err := c.ends(); websocket.CloseStatus(err) != websocket.StatusMessageTooBig {
		c.t.Errorf("it ended with: %v", err)
	}
}

func TestBinary(t *testing.T) {
	pl := open(t, nil)
	c, _ := pl.join(joining("Mira Tal"))
	_ = c.conn.Write(context.Background(), websocket.MessageBinary, []byte(`{"kind":"leave"}`))
	c.refused(group.SorryBad)
}

// TestNeverReads: a member that reads nothing is dropped; the others get what is
// theirs meanwhile.
func TestNeverReads(t *testing.T) {
	pl := open(t, nil)
	slow, w := pl.join(joining("Jon Ash"))
	other, _ := pl.join(joining("Mira Tal"))
	pl.src.do(func() { pl.src.maps[0].Session = strings.Repeat("x", 1<<20) })
	seq := 1
	for pl.row(w.ID).Here {
		seq++
		pl.src.do(func() { pl.src.maps[0].Seq = seq })
		if m := next[group.Changed](other); m.Map.Seq != seq {
			t.Fatalf("map %d, want %d", m.Map.Seq, seq)
		}
		if seq > 100 {
			t.Fatal("it is waited for")
		}
		pl.src.advance(1)
		other.send(group.Ping{Kind: group.KindPing})
		slow.send(group.Ping{Kind: group.KindPing}) // it lives, so it is not its silence
		next[group.Pong](other)
		pl.sweep()
	}
	t.Logf("dropped after %d maps of 1 MB", seq)
}

// TestSilent: who is silent is dropped, before the join sooner than after.
func TestSilent(t *testing.T) {
	pl := open(t, nil)
	c, w := pl.join(joining("Mira Tal"))
	half := pl.dial("/member")
	tcp, err := net.Dial("tcp", pl.server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer tcp.Close() // a connection that stays half open
	pl.until("both here", func() bool { pl.mu2(); defer pl.Hub.mu.Unlock(); return len(pl.peers) == 2 })
	pl.written() // or the welcome is one that takes longer than a write may
	pl.src.advance(maxToJoin + 1)
	pl.sweep()
	half.refused("")
	if !pl.row(w.ID).Here {
		t.Error("a member was dropped too soon")
	}
	pl.src.advance(maxIdle)
	pl.sweep()
	c.refused("")
	pl.until("away", func() bool { return !pl.row(w.ID).Here })
}

// written waits until no write is under way.
func (pl *place) written() {
	pl.t.Helper()
	pl.until("all is written", func() bool {
		pl.mu2()
		defer pl.Hub.mu.Unlock()
		for p := range pl.peers {
			if p.writing.Load() != 0 || len(p.queue) > 0 {
				return false
			}
		}
		return true
	})
}

// mu2 takes the hub's lock, which the place's hides.
func (pl *place) mu2() { pl.Hub.mu.Lock() }

func TestOrigin(t *testing.T) {
	pl := open(t, func(o *Options) { o.Origins = []string{"walks.example"} })
	host := pl.server.Listener.Addr().String()
	for _, c := range []struct {
		origin string
		ok     bool
	}{
		{"", true},
		{"http://" + host, true},
		{"https://walks.example", true},
		{"https://evil.example", false},
		{"http://" + host + ".evil.example", false},
		{"http://evil.example/" + host, false},
		{"http://user@evil.example", false},
		{"null", false},
		{"file://", false},
		{"%%", false},
	} {
		for _, path := range []string{"/member", "/board"} {
			header := http.Header{}
			if c.origin != "" {
				header.Set("Origin", c.origin)
			}
			ctx, cancel := context.WithTimeout(context.Background(), patience)
			conn, r, err := websocket.Dial(ctx, "ws://"+host+path, &websocket.DialOptions{HTTPHeader: header})
			cancel()
			if (err == nil) != c.ok {
				t.Errorf("%s from %q: %v", path, c.origin, err)
			}
			if conn != nil {
				conn.CloseNow()
			}
			if !c.ok && (r == nil || r.StatusCode != http.StatusForbidden) {
				t.Errorf("%s from %q: %v", path, c.origin, r)
			}
		}
	}
}

// TestGuessing: after a few wrong words an address has to wait, and the right one
// does not count meanwhile either; who has a seat may come back.
func TestGuessing(t *testing.T) {
	pl := open(t, nil)
	member, first := pl.join(joining("Mira Tal"))
	try := func(w, code string) {
		t.Helper()
		c := pl.dial("/member")
		j := joining("X")
		j.Word = w
		c.send(j)
		c.refused(code)
	}
	for range freeTries {
		try("wrong", group.SorryWord)
	}
	try("wrong", group.SorryRate)
	try(word, group.SorryRate)
	member.conn.CloseNow()
	j := joining("Mira Tal")
	j.Seat = first.Seat
	if _, w := pl.join(j); w.ID != first.ID {
		t.Error("the seat is another walker's")
	}
	pl.src.advance(1.01)
	pl.join(joining("Jon Ash"))

	for i := range freeTries + 1 {
		c := pl.dial("/board")
		c.send(group.Key{Kind: group.KindKey, Version: group.Version, Key: word})
		if i < freeTries {
			c.refused(group.SorryWord)
		} else {
			c.refused(group.SorryRate)
		}
	}
	c := pl.board("")
	c.refused(group.SorryRate)
}

func TestGuesses(t *testing.T) {
	var g guesses
	now, tried := 0.0, 0
	for range 3600 { // an hour at a try each second
		now++
		if right, wait := g.try("a", "x", "y", now); right || wait == 0 && tried >= freeTries {
			t.Fatal("a try for nothing")
		} else if g.wrong["a"].n > tried {
			tried++
		}
	}
	if tried > 3600/maxPause+10 {
		t.Errorf("%d tries in an hour", tried)
	}
	if right, _ := g.try("b", "y", "y", now); !right {
		t.Error("another address has to wait")
	}
	for i := range maxKnown + 10 {
		g.try(string(rune('A'+i)), "x", "y", now)
	}
	if len(g.wrong) > maxKnown {
		t.Errorf("%d addresses are kept", len(g.wrong))
	}
	if g.wrong["a"].n != tried {
		t.Error("the worst one was forgotten first")
	}
}

func TestCrowd(t *testing.T) {
	pl := open(t, func(o *Options) { o.PerAddress = 3 })
	for range 3 {
		pl.join(joining("X"))
	}
	_, r, err := websocket.Dial(context.Background(), strings.Replace(pl.server.URL, "http", "ws", 1)+"/member", nil)
	if err == nil || r.StatusCode != http.StatusTooManyRequests {
		t.Errorf("%v, %v", r, err)
	}

	c := newCrowd(10)
	for range 10 {
		if !c.come("a", 0) {
			t.Fatal("too few")
		}
		c.goes("a")
	}
	if c.come("a", 0.5) || !c.come("b", 0.5) || !c.come("a", 2) {
		t.Error("one new connection a second should come")
	}
	if one, two := host("[2001:db8::1]:80"), host("[2001:db8::2:1]:81"); one != two || one == host("[2001:db8:1::1]:80") {
		t.Errorf("%s, %s", one, two)
	}
}

// TestClose: everybody hears that the leader goes, and no goroutine is left, even
// of those who do not read and those who never joined.
func TestClose(t *testing.T) {
	before := runtime.NumGoroutine()
	pl := open(t, nil)
	c, _ := pl.join(joining("Mira Tal"))
	b := pl.board("")
	next[group.Board](b)
	pl.dial("/member") // says nothing
	deaf, w := pl.join(joining("Jon Ash"))
	pl.src.do(func() { pl.src.maps[0].Seq, pl.src.maps[0].Session = 2, strings.Repeat("x", 16<<20) })
	next[group.Changed](c)
	pl.until("the write to the deaf one hangs", func() bool {
		pl.mu2()
		defer pl.Hub.mu.Unlock()
		return pl.seats.byID[w.ID].peer.writing.Load() != 0
	})
	// The others are to be told within a second, in which they would not read that map.
	pl.src.do(func() { pl.src.maps[0].Seq, pl.src.maps[0].Session = 3, "" })
	for next[group.Changed](c).Map.Seq != 3 {
	}
	for next[group.Board](b).Groups[0].Session != "" {
	}
	gone := make(chan struct{})
	go func() {
		defer close(gone) // also when one was not told, which ends this goroutine
		c.refused(group.SorryEnding)
		b.refused(group.SorryEnding)
	}()
	pl.Close()
	<-gone
	pl.Close() // again
	if _, _, err := websocket.Dial(context.Background(), strings.Replace(pl.server.URL, "http", "ws", 1)+"/member", nil); err == nil {
		// The handshake may be answered, the connection not.
		late := pl.dial("/member")
		late.ends()
	}
	deaf.conn.CloseNow()
	pl.server.Close()
	pl.until("no goroutine is left", func() bool {
		http.DefaultClient.CloseIdleConnections()
		return runtime.NumGoroutine() <= before
	})
}
