package hub

import (
	"errors"
	"net/http"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
)

// Options of a hub.
type Options struct {
	// Source has the groups, and their clock, by which the limits are reckoned.
	Source group.Source
	// Word lets a member join, Key gives the leader's rights. A hub without a Key
	// has no board.
	Word, Key string
	// Pages answers all other requests; nil: not found.
	Pages http.Handler
	// MaxMembers is how many walkers may have a seat, here or away for a while;
	// 0: group.MaxMembers.
	MaxMembers int
	// PerAddress is how many connections one network address may have, and how
	// many it may open at once; after that a tenth of it a second. A team behind
	// one router shares an address. 0: 256; less than 0: no such limit.
	PerAddress int
	// Origins are hosts whose pages may use the sockets, beside the one that a
	// request names itself and those of the hubs that share the groups; see
	// websocket.AcceptOptions.OriginPatterns.
	Origins []string
	// Address is where members and other hubs find this one, Hosts are the hosts and
	// ports its pages are opened by. Other hubs are told.
	Address string
	Hosts   []string
	// Stored is told the steps and the rhythm of walkers who agreed that they are
	// kept, and of no other, in group time. A call without events tells that a walker
	// who had agreed has joined anew and no longer does. It is called from many
	// goroutines, must not take long and must not ask the hub. May be nil.
	Stored func(group.Walker, []event.Event)
	// Outranked is told that the hub at an address, which has the key, leads by a
	// term. Whoever leads here by a lower one should follow that. It is called from
	// many goroutines. nil: the hub takes no spares, as they could not take over.
	Outranked func(term int, address string)
	// Log takes a line for the person who runs the leader. May be nil.
	Log func(string)
}

func (o *Options) fill() error {
	switch {
	case o.Source == nil:
		return errors.New("a hub needs a source of groups")
	case o.Word == "":
		return errors.New("a hub needs a word of entry")
	case o.Word == o.Key:
		return errors.New("the word and the key must differ: every member knows the word")
	}
	if o.Pages == nil {
		o.Pages = http.NotFoundHandler()
	}
	if o.MaxMembers <= 0 {
		o.MaxMembers = group.MaxMembers
	}
	if o.PerAddress == 0 {
		o.PerAddress = 256
	}
	if o.Stored == nil {
		o.Stored = func(group.Walker, []event.Event) {}
	}
	if o.Log == nil {
		o.Log = func(string) {}
	}
	return nil
}
