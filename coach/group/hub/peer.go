package hub

import (
	"context"
	"encoding/json"
	"math"
	"net"
	"sync"
	"sync/atomic"
	"time"

	"github.com/coder/websocket"
	"golang.org/x/time/rate"

	"steadfoot/coach/group"
)

// Rates of one connection.
const (
	perSecond = 20 // messages
	atOnce    = 40 // messages
	queued    = 48 // answers that may wait, the maps of all groups among them; a client that lets more pile up is dropped
)

// peer is one connection. The goroutine of its request reads; write runs in one
// of its own, so that neither waits for the other.
type peer struct {
	conn    *websocket.Conn
	raw     net.Conn // under conn; closing it ends everything at once
	address string
	now     func() float64
	since   float64       // when it came, s
	in      atomic.Bool   // it gave the word or the key
	last    atomic.Uint64 // float bits: when a message came last, s
	writing atomic.Uint64 // float bits: since when a write lasts, s; 0: none does
	rate    *rate.Limiter // of messages

	queue  chan any               // group.Pong, or a message as []byte
	newest atomic.Pointer[[]byte] // map or board that waits to be sent
	wake   chan struct{}          // there is a newest

	once    sync.Once
	sorry   []byte        // last word, may be nil
	ending  chan struct{} // closed when it is to end
	written chan struct{} // closed when write has returned
}

func newPeer(now func() float64, address string) *peer {
	p := &peer{
		now:     now,
		address: address,
		since:   now(),
		rate:    rate.NewLimiter(perSecond, atOnce),
		queue:   make(chan any, queued),
		wake:    make(chan struct{}, 1),
		ending:  make(chan struct{}),
		written: make(chan struct{}),
	}
	p.last.Store(math.Float64bits(p.since))
	return p
}

// read returns the next message and the group time when it came, s. It ends the
// connection of one who sends too much or no text.
func (p *peer) read() (b []byte, now float64, ok bool) {
	for {
		kind, b, err := p.conn.Read(context.Background())
		now := p.now()
		if err != nil {
			return nil, now, false
		}
		p.last.Store(math.Float64bits(now))
		select {
		case <-p.ending: // what still comes is read only to see the end come
			continue
		default:
		}
		switch {
		case !p.allow(now):
		case kind != websocket.MessageText:
			p.end(bad("messages are text"))
		default:
			return b, now, true
		}
	}
}

// allow counts a message, and ends the connection when there are too many.
func (p *peer) allow(now float64) bool {
	if p.rate.AllowN(instant(now), 1) {
		return true
	}
	p.end(group.Sorry{Code: group.SorryRate, Why: "too many messages at once"})
	return false
}

// heard returns when the last message came, s.
func (p *peer) heard() float64 { return math.Float64frombits(p.last.Load()) }

// stuck tells whether a write takes too long.
func (p *peer) stuck(now float64) bool {
	since := math.Float64frombits(p.writing.Load())
	return since != 0 && now-since > maxWrite
}

// send queues an answer: a group.Pong, whose T3 is set when it goes out, or an
// encoded message.
func (p *peer) send(answer any) {
	select {
	case p.queue <- answer:
	default:
		p.end(group.Sorry{Code: group.SorryRate, Why: "the answers are not read"})
	}
}

// show sends a map or a board, in place of one that still waits.
func (p *peer) show(message []byte) {
	p.newest.Store(&message)
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// end makes the connection end, with a last word when there is something to say.
// It returns at once.
func (p *peer) end(why group.Sorry) {
	p.once.Do(func() {
		if why.Why != "" {
			why.Kind = group.KindSorry
			p.sorry = encode(why)
		}
		close(p.ending)
	})
}

// write sends what there is until the connection ends. Answers come before maps.
func (p *peer) write() {
	defer close(p.written)
	for {
		select {
		case <-p.ending:
			p.finish()
			return
		case a := <-p.queue:
			p.answer(a)
			continue
		default:
		}
		select {
		case <-p.ending:
		case a := <-p.queue:
			p.answer(a)
		case <-p.wake:
			if b := p.newest.Swap(nil); b != nil {
				p.put(*b)
			}
		}
	}
}

func (p *peer) answer(a any) {
	switch a := a.(type) {
	case group.Pong:
		a.T3 = p.now()
		p.put(encode(a))
	case []byte:
		p.put(a)
	}
}

// put writes a message. A failure is seen by the reader.
func (p *peer) put(b []byte) {
	p.writing.Store(math.Float64bits(p.now()))
	if p.conn.Write(context.Background(), websocket.MessageText, b) != nil {
		p.raw.Close()
	}
	p.writing.Store(0)
}

// finish sends the answers that wait and the last word, and closes.
func (p *peer) finish() {
	for len(p.queue) > 0 {
		p.answer(<-p.queue)
	}
	if p.sorry != nil {
		p.put(p.sorry)
	}
	p.writing.Store(math.Float64bits(p.now()))
	p.conn.Close(websocket.StatusNormalClosure, "")
}

// encode turns a message into JSON. All messages can be: they have no types of
// others and no NaN, see Check.
func encode(message any) []byte {
	b, err := json.Marshal(message)
	if err != nil {
		panic("hub: " + err.Error())
	}
	return b
}

// bad says that a message cannot be understood.
func bad(why string) group.Sorry { return group.Sorry{Code: group.SorryBad, Why: why} }

// instant is a group time as package rate wants it.
func instant(s float64) time.Time { return time.Unix(0, int64(s*1e9)) }
