// Package bus shares groups between hubs over NATS, where one machine or one site
// is not enough: mass walks, several venues, a spare leader. The server or cluster
// is the organiser's.
//
// One hub conducts, the others follow:
//
//	         maps, past, signs of life
//	leader ───────────────────────────────▶ hub ──▶ its members and boards
//	       ◀─── clock, commands (requests) ──┘
//
// Everything goes by plain messages, so that a cluster which has lost a server, and
// with it perhaps its store, still carries the group. The present maps are kept in
// a key-value bucket as well, for hubs that come late. A sign of life each second
// tells how many maps and commands there are; who has missed some asks for them.
//
// Who may use the bus is trusted: the server's user and password, token or
// certificates are the border. Members never reach it.
package bus

import (
	"context"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"steadfoot/coach/group"
)

// Options say which bus, and who joins it.
type Options struct {
	URL   string // like nats://host:4222 or tls://host:4222, several with commas
	Event string // the name under which the hubs of one event find each other
	Site  string // this hub's name; no two hubs of an event may have the same

	// Address is where members find this hub, for those of a hub that is gone.
	Address string

	User, Password, Token string
	TLS                   *tls.Config // for a server with a certificate of its own making, or that wants one; may be nil

	// Clock is the machine's monotonic clock, s; needed.
	Clock func() float64
	// Silence is how long a leader may be silent before a spare takes over, s; 0
	// is 5.
	Silence float64
	// Problem is told what goes wrong meanwhile, in one line; may be nil.
	Problem func(string)
}

// Bus is a connection. Its sources are made by Lead and Follow.
type Bus struct {
	o    Options
	base string
	nc   *nats.Conn
	kv   jetstream.KeyValue // nil when the server keeps nothing
	last atomic.Pointer[string]
}

// patience is how long an answer may take, s.
const patience = 2 * time.Second

// Connect joins the bus.
func Connect(ctx context.Context, o Options) (*Bus, error) {
	if o.Clock == nil {
		return nil, errors.New("bus: a clock is needed")
	}
	event, site := Token(o.Event), Token(o.Site)
	if event == "" || site == "" {
		return nil, fmt.Errorf("the bus needs the name of the event and of this hub, of letters, digits and hyphens; they are %q and %q", o.Event, o.Site)
	}
	o.Event, o.Site = event, site
	if o.Silence == 0 {
		o.Silence = silence
	}
	b := &Bus{o: o, base: "steadfoot." + event + "."}
	opts := []nats.Option{
		nats.Name("steadfoot " + site), nats.MaxReconnects(-1), nats.ReconnectWait(300 * time.Millisecond),
		nats.ReconnectJitter(200*time.Millisecond, 200*time.Millisecond), nats.Timeout(5 * time.Second),
		nats.PingInterval(5 * time.Second), nats.MaxPingsOutstanding(2),
		nats.DisconnectErrHandler(func(_ *nats.Conn, err error) {
			if err != nil {
				b.problem("the bus is gone: " + oneLine(err))
			}
		}),
		nats.ReconnectHandler(func(*nats.Conn) { b.problem("") }),
	}
	if o.User != "" {
		opts = append(opts, nats.UserInfo(o.User, o.Password))
	}
	if o.Token != "" {
		opts = append(opts, nats.Token(o.Token))
	}
	if o.TLS != nil {
		opts = append(opts, nats.Secure(o.TLS))
	}
	nc, err := nats.Connect(o.URL, opts...)
	if err != nil {
		return nil, fmt.Errorf("the bus %s cannot be reached: %s; check the address, the user or token, and that the server runs", withoutSecret(o.URL), oneLine(err))
	}
	b.nc = nc
	if err := b.openStore(ctx); err != nil {
		b.problem("the bus keeps nothing for hubs that come late: " + oneLine(err) + "; turn JetStream on in the server")
	}
	return b, nil
}

func (b *Bus) openStore(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	js, err := jetstream.New(b.nc)
	if err != nil {
		return err
	}
	bucket := "steadfoot-" + b.o.Event
	if b.kv, err = js.KeyValue(ctx, bucket); errors.Is(err, jetstream.ErrBucketNotFound) {
		b.kv, err = js.CreateKeyValue(ctx, jetstream.KeyValueConfig{
			Bucket: bucket, Description: "present maps of the groups of a walk", History: 1, TTL: 24 * time.Hour, MaxBytes: 8 << 20,
		})
	}
	if err != nil {
		b.kv = nil
	}
	return err
}

// Close leaves the bus.
func (b *Bus) Close() { b.nc.Close() }

// problem tells each problem once; "" is that the last one is over.
func (b *Bus) problem(text string) {
	if old := b.last.Swap(&text); b.o.Problem == nil || text == "" || old != nil && *old == text {
		return
	}
	b.o.Problem(text)
}

// Token makes a name fit for a subject: letters, digits and hyphens.
func Token(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '-':
			return r
		case r >= 'A' && r <= 'Z':
			return r - 'A' + 'a'
		}
		return '-'
	}, s)
	return strings.Trim(s[:min(len(s), 60)], "-")
}

// withoutSecret leaves user and password out of an address.
func withoutSecret(address string) string {
	if at := strings.LastIndex(address, "@"); at >= 0 {
		return address[at+1:]
	}
	return address
}

func oneLine(err error) string { return strings.ReplaceAll(err.Error(), "\n", "; ") }

// sign is a leader's sign of life.
type sign struct {
	Site string  `json:"site"`
	Term int     `json:"term"`
	News int     `json:"news"` // how often the maps have changed
	Past int     `json:"past"` // how many commands there are
	At   float64 `json:"at"`   // group time, s
}

// before tells whether a leader gives way to another: to the later term, and of
// two that took over at once to the one whose name comes first.
func (s sign) before(other sign) bool {
	return s.Term < other.Term || s.Term == other.Term && s.Site > other.Site
}

// news are all maps of a leader.
type news struct {
	Site string      `json:"site"`
	Term int         `json:"term"`
	News int         `json:"news"`
	Maps []group.Map `json:"maps"`
}

// page asks for commands from a number on.
type page struct {
	From int `json:"from"`
}

// pageSize is how much of the past goes into one message, bytes; NATS takes 1 MB
// unless it is told otherwise.
const pageSize = 512 << 10

// rows are walkers at a hub, in pages.
type rows struct {
	Site    string         `json:"site"`
	Address string         `json:"address,omitempty"`
	Page    int            `json:"page"`
	Pages   int            `json:"pages"`
	Rows    []group.Walker `json:"rows"`
}

const rowsPerPage = 500

func (b *Bus) publish(subject string, v any) error {
	data, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return b.nc.Publish(b.base+subject, data)
}

// ask sends a request and decodes the answer.
func (b *Bus) ask(ctx context.Context, subject string, req, answer any) error {
	data, err := json.Marshal(req)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	m, err := b.nc.RequestWithContext(ctx, b.base+subject, data)
	if err != nil {
		return err
	}
	return json.Unmarshal(m.Data, answer)
}
