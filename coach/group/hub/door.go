package hub

import (
	"net"
	"sync"
)

// door lets in as many connections as a hub can use, so that one address that
// opens many and says nothing takes no place from others. A browser opens a few
// for a page beside its socket.
type door struct {
	net.Listener
	crowd crowd
	most  int
	now   func() float64

	mu sync.Mutex
	n  int
}

func newDoor(l net.Listener, h *Hub) *door {
	return &door{
		Listener: l,
		crowd:    newCrowd(4 * h.o.PerAddress),
		most:     2*h.o.MaxMembers + 8*maxBoards,
		now:      h.src.Now,
	}
}

// Accept implements net.Listener.
func (d *door) Accept() (net.Conn, error) {
	for {
		c, err := d.Listener.Accept()
		if err != nil {
			return nil, err
		}
		address := host(c.RemoteAddr().String())
		if d.enter(address) {
			return &guest{Conn: c, leave: sync.OnceFunc(func() { d.leave(address) })}, nil
		}
		c.Close()
	}
}

func (d *door) enter(address string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.n >= d.most || !d.crowd.come(address, d.now()) {
		return false
	}
	d.n++
	return true
}

func (d *door) leave(address string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.n--
	d.crowd.goes(address)
}

// guest is a connection that was let in.
type guest struct {
	net.Conn
	leave func()
}

// Close implements net.Conn.
func (g *guest) Close() error {
	g.leave()
	return g.Conn.Close()
}
