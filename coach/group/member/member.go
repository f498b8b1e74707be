package member

import (
	"context"
	"fmt"
	"sync"
	"time"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/group/clock"
)

// Member is a part in a group.
type Member struct {
	o      Options
	cancel context.CancelFunc
	done   chan struct{}
	wake   chan struct{} // there is something to send

	mu        sync.Mutex
	clock     clock.Follower
	known     bool // clock is, well enough to begin with
	asked     int  // exchanges so far
	best      clock.Filter
	delay     float64 // of the best exchange of late, s
	jumps     int
	beat      group.Map
	beats     bool // beat is set
	welcome   group.Welcome
	seats     map[string]string // by url of the hub: each has its own
	connected bool
	url       string  // of the hub that the clock was last learnt from
	term      int     // of its map then
	trusted   bool    // the present hub's map is no older than beat
	older     float64 // since when the present hub's map is of a lower term, local time; 0: it is not
	leaving   bool
	err       error
	changed   chan struct{}

	status *group.Status // to be sent
	steps  []event.Step  // to be sent, local time
	orders orders        // to be sent, and answered
	rows   []group.Rows  // to be sent
}

// Refused is why a hub does not let the member take part.
type Refused struct{ group.Sorry }

func (r *Refused) Error() string { return r.Why }

// Join begins to take part. The error tells what is wrong with the options; what
// a hub says against it comes later, see Done. It ends with ctx.
func Join(ctx context.Context, o Options) (*Member, error) {
	if err := o.check(); err != nil {
		return nil, fmt.Errorf("join: %w", err)
	}
	ctx, cancel := context.WithCancel(ctx)
	m := &Member{
		o: o, cancel: cancel, done: make(chan struct{}), wake: make(chan struct{}, 1),
		changed: make(chan struct{}),
	}
	go m.run(ctx)
	return m, nil
}

// Close leaves the group in good order and waits until that is done, a second at
// most.
func (m *Member) Close() {
	m.mu.Lock()
	m.leaving = true
	m.mu.Unlock()
	m.stir()
	select {
	case <-m.done:
	case <-time.After(time.Second):
		m.cancel()
		<-m.done
	}
}

// Done is closed when the member has ended; Err tells why: a *Refused, the
// context's error, or nil after Close and before the end.
func (m *Member) Done() <-chan struct{} { return m.done }

// Err is described at Done.
func (m *Member) Err() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.err
}

// Ready waits until there is a map and the clock is known. The error is that of
// ctx, or why the member ended.
func (m *Member) Ready(ctx context.Context) error {
	for {
		changed := m.Changed()
		if _, ok := m.Map(); ok && m.Known() {
			return nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		case <-m.done:
			if err := m.Err(); err != nil {
				return err
			}
			return context.Canceled
		}
	}
}

// Map returns the newest map, and whether there is one. Its slices must not be
// written to.
func (m *Member) Map() (group.Map, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.beat, m.beats
}

// Changed returns a channel that is closed when the map, the connection, or
// whether the clock is known changes next, and when group time jumps.
func (m *Member) Changed() <-chan struct{} {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.changed
}

// Welcome is what the hub said at last: the walker's name and seat. It is empty
// before.
func (m *Member) Welcome() group.Welcome {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.welcome
}

// Connected tells whether there is a hub at the moment.
func (m *Member) Connected() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.connected
}

// Now is the time of the local clock, s.
func (m *Member) Now() float64 { return m.o.Clock() }

// Known tells whether the group's clock is known. Once it is, it stays so.
func (m *Member) Known() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.known
}

// GroupAt is the group time at a local time, s, and LocalAt the way back; see
// clock.Follower. They mean nothing before Known.
func (m *Member) GroupAt(local float64) float64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.clock.Group(local)
}

// LocalAt is described at GroupAt.
func (m *Member) LocalAt(at float64) float64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.clock.Local(at)
}

// Spread is how far group time may be off now.
func (m *Member) Spread() clock.Spread {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.clock.Spread(m.o.Clock())
}

// Link is how the group's clock is reached.
type Link struct {
	Delay float64 // there and back, of the best of the last eight exchanges, s
	Drift float64 // by how much group time runs faster than the local clock, s/s
	Jumps int     // how often group time had to jump: it is 0 unless a machine slept
}

// Link is described at its type.
func (m *Member) Link() Link {
	m.mu.Lock()
	defer m.mu.Unlock()
	return Link{m.delay, m.clock.Drift(), m.jumps}
}

// Report tells how the walker fares, about once a second. The newest report is
// sent as soon as there is a hub; older ones are dropped. Kind, Clock, and At when
// it is 0, are filled in.
func (m *Member) Report(s group.Status) {
	m.mu.Lock()
	m.status = &s
	m.mu.Unlock()
	m.stir()
}

// Steps tells steps that were found, in local time. They are sent in group time
// as soon as there is a hub and the clock is known; when there are too many or
// they are too old for the hub, the oldest are dropped.
func (m *Member) Steps(steps []event.Step) {
	m.mu.Lock()
	m.steps = append(m.steps, steps...)
	if over := len(m.steps) - mostKept; over > 0 {
		m.steps = append(m.steps[:0], m.steps[over:]...)
	}
	m.mu.Unlock()
	m.stir()
}

// stir has the sender look what there is to send.
func (m *Member) stir() {
	select {
	case m.wake <- struct{}{}:
	default:
	}
}

// tellChange closes the channel of Changed. m.mu is held.
func (m *Member) tellChange() {
	close(m.changed)
	m.changed = make(chan struct{})
}
