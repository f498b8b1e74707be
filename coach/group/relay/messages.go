package relay

import (
	"context"
	"net/http"
	"strings"
	"time"

	"github.com/coder/websocket"
)

// Messages is a handler that relays the messages of WebSocket connections to the
// hub at an http or ws URL, each by itself. Messages other than pings and pongs
// are not lost, and the first one of each direction goes before all others.
type Messages struct {
	*fate
	to string
}

// NewMessages returns a relay to the URL.
func NewMessages(to string, l Link, seed uint64) *Messages {
	return &Messages{newFate(l, seed), strings.TrimSuffix(to, "/")}
}

// ServeHTTP implements http.Handler.
func (m *Messages) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	near, err := websocket.Accept(w, r, nil)
	if err != nil {
		return
	}
	defer near.CloseNow()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	far, _, err := websocket.Dial(ctx, m.to+r.URL.Path, nil)
	if err != nil {
		return
	}
	defer far.CloseNow()
	near.SetReadLimit(-1)
	far.SetReadLimit(-1)
	go func() {
		defer cancel()
		m.carry(ctx, far, near, true)
	}()
	m.carry(ctx, near, far, false)
}

func (m *Messages) carry(ctx context.Context, to, from *websocket.Conn, up bool) {
	for first := true; ; first = false {
		kind, b, err := from.Read(ctx)
		if err != nil {
			return
		}
		delay, lost, _ := m.draw(up)
		if first {
			time.Sleep(delay)
			delay = 0
		}
		if lost && strings.Contains(string(b[:min(len(b), 20)]), `"kind":"p`) { // ping or pong
			continue
		}
		send := func() { _ = to.Write(ctx, kind, b) } // a failure ends the reading, too
		if delay == 0 {
			send()
			continue
		}
		time.AfterFunc(delay, send)
	}
}
