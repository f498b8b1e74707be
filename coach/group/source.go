package group

import "context"

// Source is where a hub has its groups from: conductors of its own, or those of
// another hub. All methods may be called at any time from any goroutine.
type Source interface {
	// Now is the group time, s, and Spread how far it may be off, s.
	Now() float64
	Spread() float64
	// Leads tells whether the groups are conducted here.
	Leads() bool
	// Maps returns the present map of every group, the first one first.
	Maps() []Map
	// Changed returns a channel that is closed when a map changes next.
	Changed() <-chan struct{}
	// Command has a command done, by whoever conducts. The error is one line for a
	// person.
	Command(context.Context, Command) error
	// Past returns the term and all commands so far, for a spare. They must not be
	// written to.
	Past() (term int, commands []Command)
	// Report tells the walkers of the hub, about once a second, to boards at other
	// hubs; Others returns theirs.
	Report([]Walker)
	Others() []Walker
}
