package hub

import (
	"fmt"
	"net/http"
	"reflect"
	"strings"
	"testing"

	"github.com/coder/websocket"

	"steadfoot/coach/group"
)

func TestBoard(t *testing.T) {
	pl := open(t, nil)
	c, w := pl.join(joining("Mira Tal"))
	pl.src.do(func() { pl.src.others = []group.Walker{{ID: "far", Name: "Jon Ash", Hub: "second"}} })
	b := pl.board("")
	m := next[group.Board](b)
	if m.Now != 1000 || m.Spread != 0.001 || !m.Leads || len(m.Groups) != 2 || len(m.Walkers) != 2 || m.Walkers[0].ID != w.ID || m.Walkers[1].Hub != "second" {
		t.Errorf("board %+v", m)
	}
	if strings.Contains(string(encode(m)), w.Seat) {
		t.Error("the board tells a seat")
	}
	b.send(group.Ping{Kind: group.KindPing, N: 3, T1: 4})
	if p := next[group.Pong](b); p.N != 3 || p.T2 != 1000 {
		t.Errorf("pong %+v", p)
	}

	// A status is on the next board.
	c.send(group.Status{Kind: group.KindStatus, At: 1000, Hears: group.HearsWalking, Cadence: 180, Clock: 1})
	for next[group.Board](b).Walkers[0].Last.Cadence != 180 {
	}
}

func TestCommands(t *testing.T) {
	pl := open(t, nil)
	c, w := pl.join(joining("Mira Tal"))
	b := pl.board("")
	order := func(c group.Command) group.Done {
		t.Helper()
		c.Kind, c.N, c.T = group.KindCommand, 17, 5
		b.send(c)
		d := next[group.Done](b)
		if d.N != 17 {
			t.Errorf("done %d", d.N)
		}
		return d
	}
	if d := order(group.Command{Do: group.DoTarget, Group: "Seniors", Cadence: 180}); d.Why != "" {
		t.Error(d.Why)
	}
	if p := pl.src.past; len(p) != 1 || p[0].T != 0 || p[0].N != 17 || p[0].Cadence != 180 {
		t.Errorf("past %+v", p)
	}
	for _, c := range []struct {
		group.Command
		why string
	}{
		{group.Command{Do: group.DoPause, Group: "Seniors"}, "nothing is walking"},
		{group.Command{Do: "fly"}, "nothing a leader can do"},
		{group.Command{Do: group.DoTarget, Cadence: -5}, "out of range"},
		{group.Command{Do: group.DoGroup, Group: "a\u202eb"}, "visible"},
		{group.Command{Do: group.DoGroup}, "needs the name"},
		{group.Command{Do: group.DoMove, Group: "Seniors"}, "needs a walker"},
		{group.Command{Do: group.DoMove, Group: "Masters", Walker: w.ID}, "no group"},
		{group.Command{Do: group.DoRemove, Walker: "zz"}, "no walker"},
	} {
		if d := order(c.Command); !strings.Contains(d.Why, c.why) {
			t.Errorf("%+v: %q, want %q", c.Command, d.Why, c.why)
		}
	}
	if d := order(group.Command{Do: group.DoMove, Group: "Juniors", Walker: w.ID}); d.Why != "" {
		t.Error(d.Why)
	}
	for next[group.Changed](c).Map.Group != "Juniors" {
	}
	pl.src.do(func() { pl.src.maps[1].Seq = 9 })
	if m := next[group.Changed](c).Map; m.Group != "Juniors" || m.Seq != 9 {
		t.Errorf("map %+v", m)
	}

	// The group goes with the seat, and after a removal the seat is no more.
	j := joining("Mira Tal")
	j.Seat, j.Group = w.Seat, "Seniors"
	c, again := pl.join(j)
	if again.Map.Group != "Juniors" {
		t.Errorf("came back to %s", again.Map.Group)
	}
	if d := order(group.Command{Do: group.DoRemove, Walker: w.ID}); d.Why != "" {
		t.Error(d.Why)
	}
	c.refused(group.SorryRemoved)
	if len(pl.Walkers()) != 0 {
		t.Error("the row stays")
	}
	c = pl.dial("/member")
	c.send(j)
	c.refused(group.SorryRemoved)
	if len(pl.src.past) != 1 {
		t.Errorf("the source was asked: %+v", pl.src.past)
	}

	// A walker of another hub is that hub's.
	pl.src.do(func() { pl.src.others = []group.Walker{{ID: "far"}} })
	order(group.Command{Do: group.DoRemove, Walker: "far"})
	if n := len(pl.src.past); n != 2 || pl.src.past[1].Walker != "far" {
		t.Errorf("past %+v", pl.src.past)
	}
}

func TestNoKey(t *testing.T) {
	for _, o := range []func(*Options){nil, func(o *Options) { o.Key = "" }} {
		pl := open(t, o)
		for _, c := range []struct {
			send any
			code string
		}{
			{group.Command{Kind: group.KindCommand, Do: group.DoStop}, group.SorryBad},
			{group.Ping{Kind: group.KindPing}, group.SorryBad},
			{joining("Mira Tal"), group.SorryBad},
			{group.Key{Kind: group.KindKey, Version: 2, Key: key}, group.SorryVersion},
			{group.Key{Kind: group.KindKey, Version: group.Version}, group.SorryWord},
			{group.Key{Kind: group.KindKey, Version: group.Version, Key: key, Spare: "a b"}, group.SorryBad},
		} {
			b := pl.dial("/board")
			b.send(c.send)
			b.refused(c.code)
		}
		if len(pl.src.past) > 0 {
			t.Error("it was done without the key")
		}
	}
}

// TestSpare: a spare gets the past, then each command, the maps as they change,
// and is where members may go.
func TestSpare(t *testing.T) {
	pl := open(t, nil)
	first := group.Command{Do: group.DoTarget, Group: "Seniors", Cadence: 180}
	if err := pl.Command(t.Context(), first); err != nil {
		t.Fatal(err)
	}
	s := pl.board("10.0.0.2:7001")
	p := next[group.Past](s)
	if len(p.Commands) != 1 || p.Term != 1 || p.From != 0 || p.Word != word || p.Commands[0].Cadence != 180 {
		t.Errorf("past %+v", p)
	}
	pl.until("spare", func() bool {
		pl.src.mu.Lock()
		defer pl.src.mu.Unlock()
		return reflect.DeepEqual(pl.src.spares, []string{"10.0.0.2:7001"})
	})
	if err := pl.Command(t.Context(), group.Command{Do: group.DoStop}); err != nil {
		t.Fatal(err)
	}
	if p := next[group.Past](s); len(p.Commands) != 1 || p.From != 1 || p.Commands[0].Do != group.DoStop {
		t.Errorf("past %+v", p)
	}
	again := pl.board("10.0.0.2:7001") // it came back before its end was seen
	if p := next[group.Past](again); len(p.Commands) != 2 || p.From != 0 {
		t.Errorf("past %+v", p)
	}
	pl.src.mu.Lock()
	if len(pl.src.spares) != 1 {
		t.Errorf("one spare is named twice: %q", pl.src.spares)
	}
	pl.src.mu.Unlock()
	again.conn.CloseNow()
	pl.src.do(func() { pl.src.maps[1].Seq = 77 })
	for next[group.Changed](s).Map.Seq != 77 {
	}
	pl.src.do(func() { pl.src.term = 2 }) // another leader took over behind the hub
	if p := next[group.Past](s); len(p.Commands) != 2 || p.Term != 2 {
		t.Errorf("past %+v", p)
	}
	s.conn.CloseNow()
	pl.until("no spare", func() bool {
		pl.src.mu.Lock()
		defer pl.src.mu.Unlock()
		return len(pl.src.spares) == 0
	})
}

// TestRows: the walkers at a spare are on the board, as that one tells them; a board
// that is no spare tells of none, and what makes no sense ends the connection.
func TestRows(t *testing.T) {
	pl := open(t, nil)
	s, b := pl.board("http://10.0.0.2:7001/#trust=00"), pl.board("")
	walkers := func(n int) (all []group.Walker) {
		for i := range n {
			all = append(all, group.Walker{ID: fmt.Sprint("far ", i), Name: "Jon Ash", Here: true})
		}
		return all
	}
	tell := func(c *client, page, pages, n int) {
		c.send(group.Rows{Kind: group.KindRows, Page: page, Pages: pages, Walkers: walkers(n)})
	}
	shows := func(n int) {
		t.Helper()
		for {
			m := next[group.Board](b)
			if len(m.Walkers) == n {
				if n > 0 && m.Walkers[0].Hub != "10.0.0.2:7001" {
					t.Errorf("%+v", m.Walkers[0])
				}
				return
			}
		}
	}
	tell(s, 0, 2, group.MaxRows)
	tell(s, 1, 2, 3)
	shows(group.MaxRows + 3)
	tell(s, 0, 1, 2)
	shows(2)
	order := func(c *client, do string) string {
		c.send(group.Command{Kind: group.KindCommand, Do: do, Group: "Seniors", Walker: "far 1"})
		return next[group.Done](c).Why
	}
	if why := order(b, group.DoRemove); !strings.Contains(why, "is at the hub 10.0.0.2:7001") {
		t.Error(why)
	}
	tell(b, 0, 1, 7)
	order(b, group.DoRemove) // it was read by now
	shows(2)
	tell(s, 3, 1, 1)
	s.refused(group.SorryBad)
	shows(0)
}

// follower is a source that follows another hub.
type follower struct{ *source }

func (follower) Leader() (string, float64) { return "http://10.0.0.1:7001", 1.5 }
func (follower) Hosts() []string           { return []string{"10.0.0.1:7001", "[fe80::1]:7001", "*"} }

// TestFollower: a hub that follows tells other hubs whom, and takes the pages of the
// hubs that it shares the groups with, but not those of a host that is a pattern.
func TestFollower(t *testing.T) {
	pl := open(t, func(o *Options) {
		o.Source, o.Address, o.Hosts = follower{o.Source.(*source)}, "http://10.0.0.2:7001", []string{"track:7001"}
	})
	m := next[group.Board](pl.board(""))
	if m.Leader != "http://10.0.0.1:7001" || m.Silent != 1.5 || m.Address != "http://10.0.0.2:7001" || !reflect.DeepEqual(m.Hosts, []string{"track:7001"}) {
		t.Errorf("board %+v", m)
	}
	for origin, ok := range map[string]bool{
		"http://10.0.0.1:7001": true, "https://10.0.0.1:7001": true, "http://[fe80::1]:7001": true,
		"http://10.0.0.1": false, "http://10.0.0.3:7001": false, "http://evil.example": false, "http://f:7001": false,
	} {
		header := http.Header{"Origin": []string{origin}}
		c, _, err := websocket.Dial(t.Context(), strings.Replace(pl.server.URL, "http", "ws", 1)+"/member", &websocket.DialOptions{HTTPHeader: header})
		if (err == nil) != ok {
			t.Errorf("from %s: %v", origin, err)
		}
		if c != nil {
			c.CloseNow()
		}
	}
}

// TestNoSpares: a hub that could not give way takes no spare.
func TestNoSpares(t *testing.T) {
	pl := open(t, func(o *Options) { o.Outranked = nil })
	b := pl.dial("/board")
	b.send(group.Key{Kind: group.KindKey, Version: group.Version, Key: key, Spare: "10.0.0.2:7001"})
	if s := b.refused(group.SorryBad); !strings.Contains(s.Why, "takes no spares") {
		t.Error(s.Why)
	}
	b = pl.dial("/board")
	b.send(group.Key{Kind: group.KindKey, Version: group.Version, Key: key, Spare: "10.0.0.2:7001", Term: 3})
	next[group.Board](b)
}

// TestOutranked: a hub that leads by a term tells so.
func TestOutranked(t *testing.T) {
	type call struct {
		term int
		at   string
	}
	calls := make(chan call, 1)
	pl := open(t, func(o *Options) { o.Outranked = func(term int, at string) { calls <- call{term, at} } })
	b := pl.dial("/board")
	b.send(group.Key{Kind: group.KindKey, Version: group.Version, Key: key, Spare: "10.0.0.2:7001", Term: 3})
	if c := <-calls; c != (call{3, "10.0.0.2:7001"}) {
		t.Errorf("%+v", c)
	}
	next[group.Board](b)
	if len(pl.src.spares) > 0 {
		t.Error("it counts as a spare")
	}
}
