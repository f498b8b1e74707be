package hub

import (
	"bufio"
	"context"
	"net"
	"net/http"

	"github.com/coder/websocket"

	"steadfoot/coach/group"
)

// accept takes up a connection, or answers the request and returns nil. The
// caller reads from it and calls leave.
func (h *Hub) accept(w http.ResponseWriter, r *http.Request) *peer {
	p := newPeer(h.src.Now, host(r.RemoteAddr))
	if !h.crowd.come(p.address, p.since) {
		http.Error(w, "too many connections from one address: wait a little", http.StatusTooManyRequests)
		return nil
	}
	tap := &tap{ResponseWriter: w}
	conn, err := websocket.Accept(tap, r, &websocket.AcceptOptions{
		OriginPatterns: h.origins(r),
		OnPingReceived: func(context.Context, []byte) bool { return p.allow(h.src.Now()) },
		OnPongReceived: func(context.Context, []byte) { p.allow(h.src.Now()) },
	})
	if err != nil {
		h.crowd.goes(p.address)
		return nil
	}
	conn.SetReadLimit(group.MaxMessage)
	p.conn, p.raw = conn, tap.raw
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed || len(h.peers) >= h.o.MaxMembers+h.o.MaxMembers/4+maxBoards {
		h.crowd.goes(p.address)
		p.raw.Close()
		return nil
	}
	h.peers[p] = struct{}{}
	h.done.Add(1)
	go p.write()
	return p
}

// leave ends a connection and forgets it.
func (h *Hub) leave(p *peer) {
	p.end(group.Sorry{})
	<-p.written
	p.raw.Close()
	h.crowd.goes(p.address)
	h.mu.Lock()
	delete(h.peers, p)
	h.mu.Unlock()
	h.done.Done()
}

// tap keeps the network connection that a WebSocket takes over.
type tap struct {
	http.ResponseWriter
	raw net.Conn
}

func (t *tap) Hijack() (net.Conn, *bufio.ReadWriter, error) {
	c, rw, err := http.NewResponseController(t.ResponseWriter).Hijack()
	t.raw = c
	return c, rw, err
}

// host is the address without the port; of IPv6 the network, since one machine
// may use all addresses of that.
func host(address string) string {
	name, _, err := net.SplitHostPort(address)
	if err != nil {
		return address
	}
	if ip := net.ParseIP(name); ip != nil && ip.To4() == nil && !ip.IsLoopback() && !ip.IsLinkLocalUnicast() {
		return ip.Mask(net.CIDRMask(64, 128)).String()
	}
	return name
}
