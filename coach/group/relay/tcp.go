package relay

import (
	"net"
	"sync"
	"time"
)

// Relay relays TCP connections.
type Relay struct {
	*fate
	l  net.Listener
	to string

	mu    sync.Mutex
	conns map[net.Conn]struct{}
	shut  bool // lets nobody through
}

// Listen opens a port on loopback that leads to the address to.
func Listen(to string, l Link, seed uint64) (*Relay, error) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	r := &Relay{fate: newFate(l, seed), l: ln, to: to, conns: map[net.Conn]struct{}{}}
	go r.accept()
	return r, nil
}

// Addr is where the relay listens.
func (r *Relay) Addr() string { return r.l.Addr().String() }

// Cut ends all connections. While shut, new ones end at once.
func (r *Relay) Cut(shut bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.shut = shut
	for c := range r.conns {
		c.Close()
	}
}

// Close ends everything.
func (r *Relay) Close() {
	r.l.Close()
	r.Cut(true)
}

func (r *Relay) accept() {
	for {
		c, err := r.l.Accept()
		if err != nil {
			return
		}
		go r.join(c)
	}
}

// join relays one connection until it ends.
func (r *Relay) join(c net.Conn) {
	defer c.Close()
	d, err := net.Dial("tcp", r.to)
	if err != nil {
		return
	}
	defer d.Close()
	if !r.enter(c, d) {
		return
	}
	var both sync.WaitGroup
	both.Go(func() { r.carry(d, c, true) })
	both.Go(func() { r.carry(c, d, false) })
	both.Wait()
	r.mu.Lock()
	defer r.mu.Unlock()
	delete(r.conns, c)
	delete(r.conns, d)
}

func (r *Relay) enter(c, d net.Conn) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.shut {
		return false
	}
	r.conns[c], r.conns[d] = struct{}{}, struct{}{}
	return true
}

// bytes are under way until due.
type bytes struct {
	b   []byte
	due time.Time
}

// carry relays one direction, in order. When one side ends, so does the other.
func (r *Relay) carry(to, from net.Conn, up bool) {
	way := make(chan bytes, 1024)
	var out sync.WaitGroup
	out.Go(func() {
		for p := range way {
			time.Sleep(time.Until(p.due))
			if _, err := to.Write(p.b); err != nil {
				from.Close() // ends the loop below
			}
		}
		to.Close()
	})
	for due := time.Now(); ; {
		b := make([]byte, 4096)
		n, err := from.Read(b)
		if n > 0 {
			delay, lost, again := r.draw(up)
			if lost {
				delay += again
			}
			if at := time.Now().Add(delay); at.After(due) {
				due = at
			}
			way <- bytes{b[:n], due}
		}
		if err != nil {
			break
		}
	}
	close(way)
	out.Wait()
}
