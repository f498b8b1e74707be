package spare

import (
	"context"
	"strings"
	"testing"

	"steadfoot/coach/group"
)

// TestSplit: the network is cut and both sides have a leader, which both take
// commands. When it is whole again the later term holds, everywhere; what was
// commanded at the other one is told to be lost; the walker's term never falls.
func TestSplit(t *testing.T) {
	t.Parallel()
	a := open(t, options{})
	a.order(group.Command{Do: group.DoTarget, Group: "juniors", Cadence: 187})
	b := open(t, options{offset: 5000, of: a.address})
	until(t, "the spare to know all", func() bool { return b.knows(3) })
	m := join(t, 50, a.address)
	until(t, "the member to know of the spare", func() bool { x, _ := m.Map(); return len(x.Spares) == 1 })
	before := a.Now() - trueTime()
	a.net.Cut(true)
	b.net.Cut(true)
	until(t, "two leaders", func() bool { return a.Leads() && b.Leads() })
	a.order(group.Command{Do: group.DoShift, Group: "juniors", By: 5})
	b.order(group.Command{Do: group.DoShift, Group: "juniors", By: 2})
	a.net.Cut(false)
	b.net.Cut(false)
	until(t, "the old leader to follow", func() bool { return !a.Leads() && a.target(0) == 189 })
	until(t, "what was lost", func() bool { return a.mentions(`"shift" was done here`) })
	until(t, "the walker", func() bool { return termAt(m) == 2 && m.Connected() })
	if !b.Leads() || b.term() != 2 {
		t.Errorf("leads: %v, term %d", b.Leads(), b.term())
	}
	if after := b.Now() - trueTime(); after-before > 5e-3 || after-before < -5e-3 {
		t.Errorf("group time jumped by %.2f ms", 1000*(after-before))
	}
}

// TestTie: two spares that see neither their leader nor each other take over at once,
// by the same term. When they meet, the one whose address comes first leads, by a
// later term, so that all members believe it; the other one follows, and so does the
// first leader, which knows nothing of all that when it is back.
func TestTie(t *testing.T) {
	t.Parallel()
	l := open(t, options{})
	l.order(group.Command{Do: group.DoTarget, Group: "juniors", Cadence: 187})
	a := open(t, options{offset: 5000, of: l.address})
	b := open(t, options{offset: 9000, of: l.address})
	until(t, "the spares to know all", func() bool {
		return a.knows(3) && b.knows(3) && len(a.Maps()[0].Spares) == 3 && len(b.Maps()[0].Spares) == 3 // the leader is one
	})
	m, n := join(t, 50, a.address), join(t, -50, b.address)
	a.net.Cut(true)
	b.net.Cut(true)
	_, past := l.Past()
	l.kill()
	until(t, "two leaders", func() bool { return a.Leads() && b.Leads() })
	if a.term() != 2 || b.term() != 2 {
		t.Fatalf("terms %d and %d", a.term(), b.term())
	}
	first, second := a, b
	if b.address < a.address {
		first, second = b, a
	}
	second.order(group.Command{Do: group.DoShift, Group: "juniors", By: 5})
	second.order(group.Command{Do: group.DoShift, Group: "juniors", By: 1}) // its maps count further
	a.net.Cut(false)
	b.net.Cut(false)
	until(t, "one leader", func() bool { return first.Leads() && !second.Leads() && first.term() == 3 && second.knows(3) })
	until(t, "the walkers", func() bool { return termAt(m) == 3 && termAt(n) == 3 })
	for _, w := range []int{m.Link().Jumps, n.Link().Jumps} {
		if w != 0 {
			t.Errorf("%d jumps", w)
		}
	}
	if second.target(0) != 187 {
		t.Errorf("target %v at the one that follows", second.target(0))
	}
	back := open(t, options{back: l, past: past, now: l.Now})
	until(t, "the first leader to follow", func() bool { return !back.Leads() && back.knows(3) && back.term() == 3 })
	until(t, "both as spares", func() bool { return len(first.Maps()[0].Spares) == 2 })
}

// TestOneOfTwoSpares: of two spares that see each other the first one takes over and
// the second one follows it, though it has the dead leader's address only.
func TestOneOfTwoSpares(t *testing.T) {
	t.Parallel()
	l := open(t, options{})
	l.order(group.Command{Do: group.DoTarget, Group: "juniors", Cadence: 187})
	a := open(t, options{offset: 5000, of: l.address})
	until(t, "the first spare to be known", func() bool { return a.knows(3) && len(l.Maps()[0].Spares) == 1 })
	b := open(t, options{offset: 9000, of: l.address})
	until(t, "the second one", func() bool { return b.knows(3) && len(b.Maps()[0].Spares) == 3 })
	l.kill()
	until(t, "a leader", func() bool { return a.Leads() || b.Leads() })
	// The first one, unless the leader saw that one go a moment before its own end.
	first, second := a, b
	if b.Leads() {
		first, second = b, a
	}
	until(t, "the other one to follow", func() bool {
		return first.term() == 2 && second.term() == 2 && second.knows(3) && len(first.Maps()[0].Spares) == 1
	})
	if !first.Leads() || second.Leads() {
		t.Errorf("lead: %v and %v", first.Leads(), second.Leads())
	}
	first.kill()
	until(t, "the other one's turn", func() bool { return second.Leads() && second.term() == 3 && second.target(0) == 187 })
}

// TestTakeOver: a spare leads at once when it is told to, and the leader follows.
func TestTakeOver(t *testing.T) {
	t.Parallel()
	a := open(t, options{silent: 60})
	a.order(group.Command{Do: group.DoTarget, Group: "juniors", Cadence: 187})
	b := open(t, options{offset: 5000, of: a.address, silent: 60})
	until(t, "the spare to know all", func() bool { return b.knows(3) })
	if err := a.TakeOver(context.Background()); err == nil || !strings.Contains(err.Error(), "leads already") {
		t.Errorf("a leader takes over: %v", err)
	}
	if err := b.TakeOver(context.Background()); err != nil {
		t.Fatal(err)
	}
	if !b.Leads() || b.term() != 2 {
		t.Errorf("leads: %v, term %d", b.Leads(), b.term())
	}
	until(t, "the leader to follow", func() bool { return !a.Leads() && a.term() == 2 && a.knows(3) })
	if err := a.TakeOver(context.Background()); err != nil {
		t.Fatal(err)
	}
	until(t, "the way back", func() bool { return a.Leads() && !b.Leads() && b.term() == 3 && b.target(0) == 187 })
}
