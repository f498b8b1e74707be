package spare

import (
	"slices"

	"steadfoot/coach/group"
)

// known is what a hub that follows knows of the groups and their leader. It is pure:
// times are those of the machine's clock, s.
type known struct {
	term    int // the highest that was heard of
	maps    []group.Map
	past    []group.Command
	of      int    // the term that past is of
	word    string // of entry, as the leader has it
	at      string // address of the hub that is followed, as it says itself
	leads   bool   // it conducts
	leader  string // address of who leads, as that says itself
	hosts   []string
	walkers []group.Walker
	heard   float64 // when a hub that leads was heard last
}

// board takes in what a hub shows, and tells whether the maps have changed. What
// comes from a leader of an earlier term counts for nothing.
func (k *known) board(b group.Board, now float64) (changed bool) {
	term := termOf(b.Groups)
	if term < k.term {
		return false
	}
	k.term = term
	k.walkers = b.Walkers
	k.meet(b, now)
	if len(b.Groups) == 0 {
		return false
	}
	all := slices.Clone(b.Groups)
	for i, m := range all {
		if old := find(k.maps, m.Group); old != nil && !m.Newer(*old) {
			all[i] = *old // a map overtakes the board that was made before it
		} else {
			changed = true
		}
	}
	changed = changed || len(all) != len(k.maps)
	k.maps = all
	return changed
}

// meet takes from a board who leads and when that was heard.
func (k *known) meet(b group.Board, now float64) {
	k.at, k.leads, k.hosts = b.Address, b.Leads, b.Hosts
	if b.Leads {
		k.heard, k.leader = now, b.Address
		return
	}
	switch at := now - b.Silent; {
	case b.Leader == "": // a hub that cannot tell; while it has groups, somebody leads
		if len(b.Groups) > 0 {
			k.heard = now
		}
	case at > k.heard:
		k.heard, k.leader = at, b.Leader
	}
}

// changed takes in one map.
func (k *known) changed(m group.Map) bool {
	if m.Term < k.term {
		return false
	}
	k.term = m.Term
	old := find(k.maps, m.Group)
	if old == nil {
		k.maps = append(slices.Clip(k.maps), m)
		return true
	}
	if !m.Newer(*old) {
		return false
	}
	k.maps = slices.Clone(k.maps)
	*find(k.maps, m.Group) = m
	return true
}

// commands takes in a part of the past.
func (k *known) commands(p group.Past) {
	if p.Term < k.term {
		return
	}
	k.term, k.word = p.Term, p.Word
	switch {
	case p.From == 0:
		k.past, k.of = slices.Clip(p.Commands), p.Term
	case k.of == p.Term && p.From == len(k.past):
		k.past = append(k.past, p.Commands...)
	}
}

func termOf(maps []group.Map) int {
	term := 0
	for _, m := range maps {
		term = max(term, m.Term)
	}
	return term
}

func find(maps []group.Map, name string) *group.Map {
	for i := range maps {
		if maps[i].Group == name {
			return &maps[i]
		}
	}
	return nil
}

// lost are the commands of mine that are not in theirs.
func lost(mine, theirs []group.Command) []group.Command {
	for len(mine) > 0 && len(theirs) > 0 && mine[0] == theirs[0] {
		mine, theirs = mine[1:], theirs[1:]
	}
	return mine
}
