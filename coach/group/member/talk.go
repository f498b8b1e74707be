package member

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/coder/websocket"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
)

const (
	dialTime  = 5 * time.Second // for the connection and the handshake
	writeTime = 5 * time.Second // for one message
	leaveTime = 500 * time.Millisecond
	silence   = 6 * time.Second // without a word from the hub, which answers pings, the connection is dead

	mostRead    = 512 << 10 // bytes of a message to a walker
	mostBoard   = 8 << 20   // to a board
	mostKept    = 2000      // steps that wait: ten minutes of them
	mostBunches = 4         // messages with steps at once
	oldest      = 590.0     // s, of a step that is still sent; a hub refuses older ones than 600 s
)

// talk holds one connection and returns why it ended.
func (m *Member) talk(ctx context.Context, at place) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	dial, stop := context.WithTimeout(ctx, dialTime)
	conf := m.o.TLS
	if at.print != nil {
		conf = Trusting(at.print)
	}
	conn, _, err := websocket.Dial(dial, at.url, &websocket.DialOptions{HTTPClient: webClient(conf)})
	stop()
	if err != nil {
		return err
	}
	defer conn.CloseNow()
	conn.SetReadLimit(mostRead)
	if m.o.Key != "" {
		conn.SetReadLimit(mostBoard)
	}
	c := &call{m: m, conn: conn, url: at.url, pings: pings{again: make(chan struct{}, 1)}, heard: make(chan struct{}, 1), welcome: make(chan struct{}), over: make(chan error, 1)}
	if err := c.send(ctx, m.hello(at.url)); err != nil {
		return err
	}
	go c.read(ctx)
	return c.write(ctx)
}

// hello is the first message.
func (m *Member) hello(url string) any {
	if m.o.Key != "" {
		return group.Key{Kind: group.KindKey, Version: group.Version, Key: m.o.Key, Spare: m.o.Spare, Term: m.o.Term}
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	j := group.Join{
		Kind: group.KindJoin, Version: group.Version, Word: m.o.Word, Name: m.o.Name, Group: m.o.Group,
		Seat: cmp.Or(m.seats[url], m.o.Seat), Agree: m.o.Agree, Way: m.o.Way,
	}
	if m.beats {
		j.Group = m.beat.Group // the coach may have moved the walker
	}
	return j
}

// call is one connection.
type call struct {
	m       *Member
	conn    *websocket.Conn
	url     string
	pings   pings
	heard   chan struct{} // the hub has said something
	welcome chan struct{} // closed when the hub has let the member in
	inside  bool          // welcome is closed; of the reader
	over    chan error    // why the reader ended
}

func (c *call) send(ctx context.Context, message any) error {
	b, err := json.Marshal(message)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, writeTime)
	defer cancel()
	return c.conn.Write(ctx, websocket.MessageText, b)
}

// write sends pings in time and what else there is, until the connection ends.
func (c *call) write(ctx context.Context) error {
	dead := time.NewTimer(silence)
	defer dead.Stop()
	ping := time.NewTimer(time.Hour)
	defer ping.Stop()
	welcome := c.welcome
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case err := <-c.over:
			return err
		case <-dead.C:
			return errors.New("the hub is silent")
		case <-c.heard:
			dead.Reset(silence)
			continue
		case <-welcome:
			welcome = nil
			ping.Reset(0)
			continue
		case <-c.m.wake:
		case <-c.pings.again:
			ping.Reset(0)
			continue
		case <-ping.C:
			if c.m.leftBehind() {
				return errOlder
			}
			ping.Reset(c.m.interval(c.pings.sent()))
			if err := c.send(ctx, c.pings.next(c.m.o.Clock)); err != nil {
				return err
			}
		}
		if c.m.closing() {
			return c.leave(ctx)
		}
		if welcome == nil {
			if err := c.flush(ctx); err != nil {
				return err
			}
		}
	}
}

// leave says goodbye and waits a moment for the hub to end the connection.
func (c *call) leave(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, leaveTime)
	defer cancel()
	if err := c.send(ctx, group.Leave{Kind: group.KindLeave}); err != nil {
		return err
	}
	select {
	case <-c.over:
	case <-ctx.Done():
	}
	return nil
}

// flush sends what waits.
func (c *call) flush(ctx context.Context) error {
	if s := c.m.takeStatus(); s != nil {
		if err := c.send(ctx, s); err != nil {
			return err
		}
	}
	for {
		order, ok := c.m.orders.next()
		if !ok {
			break
		}
		if err := c.send(ctx, order); err != nil {
			return err
		}
	}
	for _, page := range c.m.takeRows() {
		if err := c.send(ctx, page); err != nil {
			return err
		}
	}
	for range mostBunches { // the rest with the next ping: a hub bounds the rate
		steps := c.m.takeSteps()
		if len(steps) == 0 {
			break
		}
		if err := c.send(ctx, group.Steps{Kind: group.KindSteps, Steps: steps}); err != nil {
			return err
		}
	}
	return nil
}

// takeStatus returns the report that waits, with what the member knows itself.
func (m *Member) takeStatus() *group.Status {
	m.mu.Lock()
	defer m.mu.Unlock()
	s := m.status
	m.status = nil
	if s == nil {
		return nil
	}
	s.Kind, s.Clock = group.KindStatus, 0
	if now := m.o.Clock(); m.known {
		s.Clock = 1e3 * m.clock.Spread(now).Guess
		if s.At == 0 {
			s.At = m.clock.Group(now)
		}
	}
	return s
}

// takeSteps returns the next steps that wait, in group time.
func (m *Member) takeSteps() []event.Step {
	m.mu.Lock()
	defer m.mu.Unlock()
	if !m.known {
		return nil
	}
	now := m.o.Clock()
	for len(m.steps) > 0 && m.steps[0].T < now-oldest {
		m.steps = m.steps[1:]
	}
	n := min(len(m.steps), group.MaxSteps)
	out := append([]event.Step(nil), m.steps[:n]...)
	m.steps = m.steps[n:]
	for i := range out {
		out[i].T = m.clock.Group(out[i].T)
	}
	return out
}

// read takes in what the hub says until the connection ends.
func (c *call) read(ctx context.Context) {
	c.over <- func() error {
		for {
			kind, b, err := c.conn.Read(ctx)
			now := c.m.o.Clock() // as soon as it is there
			if err != nil {
				return err
			}
			select {
			case c.heard <- struct{}{}:
			default:
			}
			if kind != websocket.MessageText {
				return errors.New("the hub sends what is no text; is it one?")
			}
			if err := c.hear(now, b); err != nil {
				return err
			}
		}
	}()
}

// hear takes in one message.
func (c *call) hear(now float64, b []byte) error {
	message, err := group.DecodeHub(b)
	if err != nil {
		return fmt.Errorf("the hub is not understood: %w", err)
	}
	switch msg := message.(type) {
	case group.Sorry:
		msg.Why = plain(msg.Why)
		return &Refused{msg}
	case group.Pong:
		if e, ok := c.pings.answer(msg, now); ok {
			c.pings.slow(c.m.exchanged(e))
		}
		return nil
	case group.Changed:
		c.m.takeMap(msg.Map, c.url)
		if c.m.o.Key != "" {
			c.m.o.Got(msg)
		}
		return nil
	case group.Welcome:
		c.m.welcomed(msg, c.url)
	case group.Done:
		c.m.orders.done(msg)
		c.m.o.Got(message)
	default:
		c.m.o.Got(message)
	}
	if !c.inside {
		c.inside = true
		close(c.welcome)
		c.m.joined()
	}
	return nil
}
