package spare

import (
	"context"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"steadfoot/coach/group"
)

// say sends messages to a hub's socket and returns its last word.
func say(t *testing.T, p *place, path string, messages ...any) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	c, _, err := websocket.Dial(ctx, strings.Replace(p.address, "http", "ws", 1)+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer c.CloseNow()
	for _, m := range messages {
		b, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Write(ctx, websocket.MessageText, b); err != nil {
			break // it was ended; the reason is read below
		}
	}
	for {
		_, b, err := c.Read(ctx)
		if err != nil {
			return err.Error()
		}
		if m, _ := group.DecodeHub(b); m != nil {
			if s, ok := m.(group.Sorry); ok {
				return s.Why
			}
		}
	}
}

// TestRefused: who has not the key is no spare and outranks nobody; a member can name
// no spare and raise no term, whatever it sends; nor does a leader fall for a word of
// its own that comes back.
func TestRefused(t *testing.T) {
	t.Parallel()
	a := open(t, options{})
	a.order(group.Command{Do: group.DoTarget, Group: "juniors", Cadence: 187})
	evil := "http://127.0.0.1:9/"
	join := map[string]any{
		"kind": "join", "version": 1, "word": word, "name": "Jon Ash", // and what is no part of it
		"spare": evil, "term": 9, "key": key, "map": mapOf("juniors", 9, 9), "spares": []string{evil},
	}
	for _, c := range []struct {
		path     string
		want     string
		messages []any
	}{
		{"/board", "the key is not right", []any{group.Key{Kind: group.KindKey, Version: 1, Key: word, Spare: evil}}},
		{"/board", "the key is not right", []any{group.Key{Kind: group.KindKey, Version: 1, Key: "guessed", Spare: evil, Term: 9}}},
		{"/board", "begin with the key", []any{join}},
		{"/board", "a term is that of a spare", []any{group.Key{Kind: group.KindKey, Version: 1, Key: key, Term: 9}}},
		{"/member", "begin with join", []any{group.Key{Kind: group.KindKey, Version: 1, Key: key, Spare: evil, Term: 9}}},
		{"/member", "a member sends no", []any{join, group.Key{Kind: group.KindKey, Version: 1, Key: key, Spare: evil, Term: 9}}},
		{"/member", "a member sends no", []any{join, group.Past{Kind: group.KindPast, Term: 9}}},
		{"/member", "a member sends no", []any{join, group.Changed{Kind: group.KindMap, Map: mapOf("juniors", 9, 9)}}},
		{"/member", "a member sends no", []any{join, group.Board{Kind: group.KindBoard, Leads: true, Address: evil, Groups: []group.Map{mapOf("juniors", 9, 9)}}}},
		{"/member", "a member joins once", []any{join, join}},
	} {
		if got := say(t, a, c.path, c.messages...); !strings.Contains(got, c.want) {
			t.Errorf("%s %v: %q, want %q", c.path, c.messages[0], got, c.want)
		}
	}
	a.Outranked(9, a.address)
	until(t, "that to be judged", func() bool { return len(a.orders) == 0 })
	if m := a.Maps()[0]; !a.Leads() || m.Term != 1 || len(m.Spares) > 0 {
		t.Errorf("leads: %v, %+v", a.Leads(), m)
	}
	if hosts := a.Hosts(); len(hosts) > 0 {
		t.Errorf("pages of %q may come", hosts)
	}
}

// TestWrongSecrets: a spare with a wrong key or word ends, with one line that says so.
// One that cannot reach the leader keeps trying, says so, and leads nothing meanwhile.
func TestWrongSecrets(t *testing.T) {
	t.Parallel()
	a := open(t, options{})
	for want, o := range map[string]options{
		"the key is not right":            {of: a.address, key: "another key"},
		"has another word of entry":       {of: a.address, word: "sand"},
		"does not take this hub as its s": {of: a.address, key: "another key 2"},
	} {
		b := open(t, o)
		select {
		case <-b.Done():
		case <-time.After(30 * time.Second):
			t.Fatalf("%s: it goes on\n%v", want, b)
		}
		if err := b.Err(); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%v, want %q", err, want)
		}
	}
	a.net.Cut(true)
	b := open(t, options{of: a.address})
	until(t, "a word about it", func() bool { return b.mentions("tried again and again") })
	if err := b.TakeOver(context.Background()); err == nil || !strings.Contains(err.Error(), "nothing is known of the group yet") {
		t.Errorf("taking over: %v", err)
	}
	if b.Leads() || len(b.Maps()) > 0 {
		t.Error("it leads what it does not know")
	}
	a.net.Cut(false)
	until(t, "the leader", func() bool { return b.knows(2) && b.mentions("standing by") })
}

// TestOtherKeyLater: the leader is started afresh with another key. The spare says so
// and goes on with the group it knows, which it leads from then on.
func TestOtherKeyLater(t *testing.T) {
	t.Parallel()
	a := open(t, options{})
	a.order(group.Command{Do: group.DoTarget, Group: "juniors", Cadence: 187})
	b := open(t, options{of: a.address})
	until(t, "the spare to know all", func() bool { return b.knows(3) })
	a.kill()
	open(t, options{back: a, key: "another key"})
	until(t, "the spare to lead", func() bool { return b.Leads() && b.target(0) == 187 })
	until(t, "a word about it", func() bool { return b.mentions("another key by now") })
}
