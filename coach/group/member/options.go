package member

import (
	"crypto/tls"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"

	"steadfoot/coach/group"
)

// Where a hub takes members, and boards and spares.
const (
	memberPath = "/member"
	boardPath  = "/board"
)

// Options tell how to take part.
type Options struct {
	// Addresses are those of hubs, the preferred one first: host:port, or a URL
	// with ws, wss, http or https; that of the hub's page will do. Without a
	// scheme it is ws, or wss when TLS is set. At least one is needed. Spares
	// that the map names come after them.
	Addresses []string
	Name      string // of the walker
	Word      string // the group's word of entry
	Group     string // "" is the first one
	Agree     bool   // see group.Join
	Way       string // see group.Join
	Seat      string // of an earlier time; see group.Welcome

	// Key, when set, asks for the leader's rights instead of joining as a
	// walker; Spare is then the address where members find this program when
	// it leads, "" for none, and Term the one by which it does. See group.Key.
	Key   string
	Spare string
	Term  int
	// Least is the lowest term of a map that is believed.
	Least int
	// Once ends the member with its first connection; Err is then what ended that.
	Once bool

	// Clock is the local clock, s. It must be monotonic and may be called from
	// any goroutine. nil is the time since Join.
	Clock func() float64
	// TLS is used for wss; nil is the usual one. An address whose fragment names a
	// certificate, see WithTrust, is believed by that instead.
	TLS *tls.Config

	// Tell is called with what happens to the connection, in one line for a
	// person; nil keeps silent. Got is called with what else a hub says: a
	// group.Board, group.Done or group.Past, and with a Key each group.Changed. Both
	// are called from the member's own goroutine and must return soon.
	Tell func(line string)
	Got  func(message any)
}

// check fills in what was left out and says what is wrong.
func (o *Options) check() error {
	if len(o.Addresses) == 0 {
		return errors.New("a hub's address is needed")
	}
	for _, a := range o.Addresses {
		if _, err := o.url(a); err != nil {
			return err
		}
	}
	if o.Key == "" && group.CleanName(o.Name) == "" {
		return errors.New("a walker needs a name with at least one letter")
	}
	if o.Clock == nil {
		begin := time.Now()
		o.Clock = func() float64 { return time.Since(begin).Seconds() } // by the monotonic reading in begin
	}
	if o.Tell == nil {
		o.Tell = func(string) {}
	}
	if o.Got == nil {
		o.Got = func(any) {}
	}
	return nil
}

// place is where to dial.
type place struct {
	url   string
	print []byte // its certificate's; nil: by Options.TLS
}

// place is that of the hub at an address.
func (o *Options) place(address string) (place, error) {
	u, err := o.url(address)
	return place{u, trusted(address)}, err
}

// url is where to dial for an address.
func (o *Options) url(address string) (string, error) {
	whole := address
	if !strings.Contains(address, "://") {
		whole = "ws://" + address
		if o.TLS != nil {
			whole = "wss://" + address
		}
	}
	u, err := url.Parse(whole)
	if err != nil || u.Host == "" || u.User != nil {
		return "", fmt.Errorf("%.80q is not the address of a hub; it looks like 192.168.1.20:8722", address)
	}
	switch u.Scheme {
	case "http":
		u.Scheme = "ws"
	case "https":
		u.Scheme = "wss"
	case "ws", "wss":
	default:
		return "", fmt.Errorf("%.80q: a hub is reached by ws, wss, http or https", address)
	}
	path := memberPath
	if o.Key != "" {
		path = boardPath
	}
	return u.Scheme + "://" + u.Host + path, nil
}
