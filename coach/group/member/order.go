package member

import (
	"context"
	"errors"
	"sync"

	"steadfoot/coach/group"
)

// orders are a leader's commands that wait to be sent, and for their answer.
type orders struct {
	mu   sync.Mutex
	n    int
	wait []group.Command
	open map[int]chan group.Done
}

// next is the next command to be sent.
func (o *orders) next() (c group.Command, ok bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.wait) == 0 {
		return c, false
	}
	c, o.wait = o.wait[0], o.wait[1:]
	return c, true
}

// put adds a command and returns where its answer comes.
func (o *orders) put(c group.Command) (n int, answer <-chan group.Done) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.n++
	c.Kind, c.N, c.T = group.KindCommand, o.n, 0
	o.wait = append(o.wait, c)
	if o.open == nil {
		o.open = map[int]chan group.Done{}
	}
	a := make(chan group.Done, 1)
	o.open[o.n] = a
	return o.n, a
}

// drop forgets a command: it is not sent any more when it was not yet.
func (o *orders) drop(n int) {
	o.mu.Lock()
	defer o.mu.Unlock()
	delete(o.open, n)
	for i, c := range o.wait {
		if c.N == n {
			o.wait = append(o.wait[:i], o.wait[i+1:]...)
			return
		}
	}
}

// done takes in an answer.
func (o *orders) done(d group.Done) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if a, ok := o.open[d.N]; ok {
		delete(o.open, d.N)
		a <- d
	}
}

// Command has the hub do a command, where the member has the leader's key. The
// error is one line for a person.
func (m *Member) Command(ctx context.Context, c group.Command) error {
	if !m.Connected() {
		return errors.New("the leader cannot be reached; the beat goes on, try again")
	}
	n, answer := m.orders.put(c)
	defer m.orders.drop(n)
	m.stir()
	select {
	case d := <-answer:
		if d.Why != "" {
			return errors.New(d.Why)
		}
		return nil
	case <-ctx.Done():
		return errors.New("the leader does not answer; the beat goes on, try again")
	}
}

// Rows tells a spare's own walkers to the leader it follows. The newest ones are sent
// as soon as there is a hub; older ones are dropped.
func (m *Member) Rows(all []group.Walker) {
	pages := max((len(all)+group.MaxRows-1)/group.MaxRows, 1)
	rows := make([]group.Rows, pages)
	for i := range rows {
		part := all[i*group.MaxRows : min((i+1)*group.MaxRows, len(all))]
		rows[i] = group.Rows{Kind: group.KindRows, Page: i, Pages: pages, Walkers: part}
	}
	m.mu.Lock()
	m.rows = rows
	m.mu.Unlock()
	m.stir()
}

func (m *Member) takeRows() []group.Rows {
	m.mu.Lock()
	defer m.mu.Unlock()
	rows := m.rows
	m.rows = nil
	return rows
}
