package spare

import (
	"slices"
	"sync"
	"testing"
	"time"

	"steadfoot/coach/group"
	"steadfoot/coach/group/member"
)

// TestLeaderKilled: the leader dies in the middle of a walk. The spare that its maps
// name goes on by the next term; the beats that members had scheduled stay within
// 2 ms; who comes late to the spare has the present map; and the leader that comes
// back with what it knew follows, without a jump for anybody.
func TestLeaderKilled(t *testing.T) {
	t.Parallel()
	a := open(t, options{})
	a.order(group.Command{Do: group.DoTarget, Group: "juniors", Cadence: 187})
	b := open(t, options{offset: 5000, ppm: 60, of: a.address})
	m, n := join(t, 80, a.address), join(t, -80, a.address)
	until(t, "the spare to know all", func() bool { return b.knows(3) })
	until(t, "the members to know of the spare", func() bool {
		x, _ := m.Map()
		y, _ := n.Map()
		return len(x.Spares) == 1 && x.Spares[0] == b.address && len(y.Spares) == 1
	})
	until(t, "good clocks", func() bool { return m.Spread().Guess < 1e-3 && n.Spread().Guess < 1e-3 })
	until(t, "the beat", func() bool { return a.Now() > a.Maps()[0].Beat[0].Start })
	from := a.Now() + 3
	wantM, wantN := beats(m, from, from+20), beats(n, from, from+20)
	_, past := a.Past()
	a.kill()
	until(t, "the spare to lead", b.Leads)
	until(t, "the members", func() bool { return termAt(m) == 2 && termAt(n) == 2 && m.Connected() && n.Connected() })
	check := func(when string) {
		t.Helper()
		if err := sameBeats(wantM, beats(m, from, from+20), 2e-3); err != nil {
			t.Errorf("%s, the first member: %v", when, err)
		}
		if err := sameBeats(wantN, beats(n, from, from+20), 2e-3); err != nil {
			t.Errorf("%s, the second member: %v", when, err)
		}
		if jumps := m.Link().Jumps + n.Link().Jumps; jumps != 0 {
			t.Errorf("%s: %d jumps", when, jumps)
		}
	}
	check("after the spare took over")
	if !b.mentions("this hub leads now") {
		t.Errorf("it was not told:\n%v", b)
	}
	late := join(t, 0, b.address)
	if x, _ := late.Map(); x.Term != 2 || len(x.Beat) == 0 {
		t.Errorf("the late member has %+v", x)
	}
	if got, _ := late.Map(); !slices.Equal(got.Beat, b.Maps()[0].Beat) {
		t.Errorf("the late member has the beat %+v, want %+v", got.Beat, b.Maps()[0].Beat)
	}

	back := open(t, options{back: a, past: past, now: a.Now})
	until(t, "the old leader to follow", func() bool { return !back.Leads() && back.knows(3) })
	if !back.mentions("another hub leads") {
		t.Errorf("it was not told:\n%v", back)
	}
	here := join(t, 0, a.address) // comes to the old address
	until(t, "the present map", func() bool { return termAt(here) == 2 })
	check("after the old leader is back")
	if b.term() != 2 || termAt(m) != 2 || !b.Leads() {
		t.Errorf("term %d, at a member %d", b.term(), termAt(m))
	}
	back.order(group.Command{Do: group.DoShift, Group: "juniors", By: 2})
	until(t, "a command given at the old leader", func() bool { return b.target(0) == 189 && back.target(0) == 189 })
	until(t, "the old leader as a spare", func() bool {
		x, _ := m.Map()
		return len(x.Spares) == 1 && x.Spares[0] == a.address
	})
}

// TestWalkersOfBoth: each board shows the walkers of both hubs, once; the spare's
// board moves one who is at the leader.
func TestWalkersOfBoth(t *testing.T) {
	t.Parallel()
	a := open(t, options{})
	b := open(t, options{offset: 5000, of: a.address})
	until(t, "the spare to know all", func() bool { return b.knows(2) })
	join(t, 0, a.address)
	join(t, 0, b.address)
	shown := func(at *place) func() []group.Walker {
		var mu sync.Mutex
		var last []group.Walker
		m, err := member.Join(t.Context(), member.Options{Addresses: []string{at.address}, Key: key, Got: func(message any) {
			if b, ok := message.(group.Board); ok {
				mu.Lock()
				defer mu.Unlock()
				last = b.Walkers
			}
		}})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(m.Close)
		return func() []group.Walker { mu.Lock(); defer mu.Unlock(); return last }
	}
	atA, atB := shown(a), shown(b)
	is := func(all []group.Walker, other *place) bool {
		return len(all) == 2 && all[0].Hub == "" && all[1].Hub == group.HostOf(other.address) && all[0].Here && all[1].Here
	}
	until(t, "both on each board", func() bool { return is(atA(), b) && is(atB(), a) })
	move := group.Command{Do: group.DoMove, Group: "seniors", Walker: atB()[1].ID}
	if err := b.hub.Command(t.Context(), move); err != nil {
		t.Error(err)
	}
	until(t, "the walker in the other group", func() bool { all := atB(); return len(all) == 2 && all[1].Group == "seniors" })
	time.Sleep(1500 * time.Millisecond) // what was told twice would show by now
	if !is(atA(), b) || !is(atB(), a) {
		t.Errorf("%+v\n%+v", atA(), atB())
	}
}
