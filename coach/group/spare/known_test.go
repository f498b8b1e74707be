package spare

import (
	"slices"
	"testing"

	"steadfoot/coach/group"
)

func mapOf(name string, term, seq int) group.Map { return group.Map{Group: name, Term: term, Seq: seq} }

// TestKnown: the newest map of each group counts, by whatever way it came; a leader
// of an earlier term is neither believed nor a sign of life.
func TestKnown(t *testing.T) {
	var k known
	if !k.board(group.Board{Leads: true, Address: "l", Hosts: []string{"l:1"}, Groups: []group.Map{mapOf("one", 1, 1), mapOf("two", 1, 1)}}, 10) {
		t.Error("the first maps are no news")
	}
	if k.changed(mapOf("two", 1, 1)) || !k.changed(mapOf("two", 1, 3)) || !k.changed(mapOf("three", 1, 1)) {
		t.Error("what is news?")
	}
	if k.board(group.Board{Leads: true, Address: "l", Groups: []group.Map{mapOf("one", 1, 1), mapOf("two", 1, 2), mapOf("three", 1, 1)}}, 11) {
		t.Error("a board of before is news")
	}
	if k.maps[1].Seq != 3 || len(k.maps) != 3 || k.heard != 11 || k.leader != "l" {
		t.Errorf("%+v", k)
	}
	before := k.maps
	if !k.changed(mapOf("one", 2, 1)) || k.term != 2 || before[0].Term != 1 {
		t.Errorf("a later term: %+v, and who looked before has %+v", k, before)
	}
	if k.board(group.Board{Leads: true, Address: "old", Groups: []group.Map{mapOf("one", 1, 99)}}, 20) || k.changed(mapOf("one", 1, 100)) || k.heard != 11 || k.leader != "l" {
		t.Errorf("an earlier leader is believed: %+v", k)
	}
}

// TestHears: hubs that follow each other do not keep a dead leader alive; one that
// hears it does.
func TestHears(t *testing.T) {
	a, b := known{heard: 10}, known{heard: 12}
	groups := []group.Map{mapOf("one", 1, 1)}
	for now := 13.0; now < 30; now++ {
		a.board(group.Board{Leader: "l", Silent: now - b.heard, Groups: groups}, now)
		b.board(group.Board{Leader: "l", Silent: now - a.heard, Groups: groups}, now)
	}
	if a.heard != 12 || b.heard != 12 {
		t.Errorf("the leader was heard at %v and %v, want 12", a.heard, b.heard)
	}
	a.board(group.Board{Leader: "m", Silent: 0.5, Groups: groups}, 40)
	if a.heard != 39.5 || a.leader != "m" || a.leads {
		t.Errorf("%+v", a)
	}
	if a.board(group.Board{}, 50); a.heard != 39.5 {
		t.Errorf("a hub that knows nothing is a sign of life")
	}
	if a.board(group.Board{Groups: groups}, 60); a.heard != 60 { // of a bus
		t.Errorf("a hub whose leader is not told: heard at %v", a.heard)
	}
}

// TestCommands: the past is whole or that of before, in whatever pieces it comes.
func TestCommands(t *testing.T) {
	c := func(do ...string) (all []group.Command) {
		for _, d := range do {
			all = append(all, group.Command{Do: d})
		}
		return all
	}
	var k known
	check := func(want ...string) {
		t.Helper()
		if !slices.Equal(k.past, c(want...)) {
			t.Errorf("past %+v, want %v", k.past, want)
		}
	}
	k.commands(group.Past{Term: 1, Commands: c("a", "b"), Word: "w"})
	looked := k.past
	k.commands(group.Past{Term: 1, From: 2, Commands: c("c"), Word: "w"})
	check("a", "b", "c")
	if !slices.Equal(looked, c("a", "b")) {
		t.Error("who looked before has another past")
	}
	k.commands(group.Past{Term: 1, From: 7, Commands: c("x")}) // something is missing
	check("a", "b", "c")
	k.commands(group.Past{Term: 1, Commands: c("a", "b", "c", "d")}) // a new connection
	check("a", "b", "c", "d")
	k.commands(group.Past{Term: 2, From: 4, Commands: c("e")}) // of another leader, whose beginning is not here
	if check("a", "b", "c", "d"); k.of != 1 || k.term != 2 {
		t.Errorf("of term %d in term %d", k.of, k.term)
	}
	k.commands(group.Past{Term: 1, Commands: c("x")})
	check("a", "b", "c", "d")
	k.commands(group.Past{Term: 2, Commands: c("a", "y")})
	check("a", "y")
	if l := lost(c("a", "b", "d"), k.past); !slices.Equal(l, c("b", "d")) {
		t.Errorf("lost %+v", l)
	}
	if l := lost(c("a"), k.past); len(l) > 0 {
		t.Errorf("lost %+v", l)
	}
}
