package main

import (
	"cmp"
	"context"
	"crypto/sha256"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/url"
	"slices"
	"strings"
	"time"

	"steadfoot/coach/group/local"
	"steadfoot/coach/group/member"
	"steadfoot/coach/group/spare"
)

// spareOptions are the flags of a spare without a bus.
type spareOptions struct{ of, trust string }

// check reads the address of the leader. The word may be in it.
func (s *spareOptions) check(o *leadOptions) error {
	if s.of == "" {
		if s.trust != "" {
			return usagef("--trust goes with --spare-of")
		}
		return nil
	}
	if o.bus.url != "" {
		return usagef("--spare-of and --bus: give one; on a bus a spare is there by --stand-by")
	}
	hub, word, err := parseLeader(s.of)
	if err != nil {
		return err
	}
	s.of = hub
	if o.word = cmp.Or(o.word, word); o.word == "" || o.key == "" {
		return usagef("--spare-of needs the leader's own --word and --key; both are in the addresses that lead prints")
	}
	if s.trust != "" {
		print, err := parseTrust(s.trust)
		if err != nil {
			return err
		}
		s.of = member.WithTrust(strings.Replace(s.of, "ws://", "wss://", 1), print)
	}
	return nil
}

// reachable tells when the members of a leader elsewhere could not come here.
func (s *spareOptions) reachable(listen string) error {
	host, port, _ := net.SplitHostPort(listen) // it was checked
	at, err := url.Parse(s.of)
	switch {
	case s.of == "" || err != nil:
		return nil
	case isLoopback(host) && !isLoopback(at.Hostname()):
		return usagef("--spare-of %s: its walkers cannot reach this machine; give --network, or --listen with an address of this machine", at.Host)
	case port == at.Port() && isLoopback(at.Hostname()):
		return usagef("--spare-of %s: that is this hub itself; give the leader's address", at.Host)
	}
	return nil
}

func isLoopback(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// toward puts the address first by which this machine is seen from where the leader
// is, when it is one of hosts. Nothing is sent for that.
func (s spareOptions) toward(hosts []string) []string {
	at, err := url.Parse(s.of)
	if s.of == "" || err != nil {
		return hosts
	}
	c, err := net.Dial("udp", net.JoinHostPort(at.Hostname(), cmp.Or(at.Port(), "80")))
	if err != nil {
		return hosts // no way to the leader at the moment
	}
	defer c.Close()
	own, _, _ := net.SplitHostPort(c.LocalAddr().String())
	if i := slices.Index(hosts, own); i > 0 {
		return slices.Concat(hosts[i:i+1], hosts[:i], hosts[i+1:])
	}
	return hosts
}

// hubAddress is where members and other hubs find this one, with the fingerprint of
// its certificate.
func hubAddress(host, port string, config *tls.Config) string {
	at := net.JoinHostPort(host, port)
	if config == nil {
		return "http://" + at
	}
	sum := sha256.Sum256(config.Certificates[0].Certificate[0])
	return member.WithTrust("https://"+at, sum[:])
}

// pageHosts are the hosts and ports by which the pages are opened. That of this
// machine alone counts where there is no other.
func pageHosts(hosts []string, port string) (all []string) {
	for _, h := range hosts {
		if !isLoopback(h) || len(hosts) == 1 {
			all = append(all, net.JoinHostPort(h, port))
		}
	}
	return all
}

// overSocket leads, or stands by for the leader of --spare-of, without a bus.
func (l *led) overSocket(ctx context.Context, o leadOptions, file string, conducts *local.Source) error {
	clock := monotonic()
	var err error
	l.spare, err = spare.Open(ctx, spare.Options{
		Leader: conducts, Of: o.spare.of, Key: l.key, Word: l.word, Address: l.address,
		Clock: func() float64 { return clock().Seconds() }, TakeOver: l.takeOver(file), Tell: func(line string) {
			if o.spare.trust == "" && strings.Contains(line, "certificate") {
				line += "; where the leader made its certificate itself, give --trust as it prints it"
			}
			l.tell(line)
		},
	})
	if err != nil {
		return err
	}
	l.source, l.outranked = l.spare, l.spare.Outranked
	if conducts != nil {
		return nil
	}
	at, _ := url.Parse(o.spare.of) // it was checked
	l.note = fmt.Sprintf("This hub stands by for the leader at %s. Its walkers come here when that is gone; late ones may at once.\n", at.Host)
	if at.Scheme == "wss" && !o.tls {
		l.note += "The leader's pages are https, which phones do not let come to a hub without --tls.\n"
	}
	if st, err := local.Resume(file, local.ThisMachine()); err == nil && st != nil {
		if st.Head.Key == l.key {
			l.note += "This machine led a group with this key until it was interrupted; if the leader is gone, 'steadfoot lead' without --spare-of takes that up again.\n"
		}
		if err := st.Close(); err != nil {
			return err
		}
	}
	return l.settle(ctx)
}

// settle waits a moment for the leader, so that a wrong key is told before all else.
func (l *led) settle(ctx context.Context) error {
	patience := time.After(2 * time.Second)
	for {
		changed := l.spare.Changed()
		if len(l.spare.Maps()) > 0 {
			return nil
		}
		select {
		case <-changed:
		case <-l.spare.Done():
			return l.spare.Err()
		case <-patience:
			return nil
		case <-ctx.Done():
			return nil
		}
	}
}

// leadNow takes over at once.
func (l *led) leadNow(ctx context.Context) error {
	if l.spare == nil {
		return errors.New("take over is for a spare (--spare-of); on a bus the leader goes first")
	}
	return l.spare.TakeOver(ctx)
}

// ended is closed when a spare can go on no more; nil where that is never so.
func (l *led) ended() <-chan struct{} {
	if l.spare == nil {
		return nil
	}
	return l.spare.Done()
}

// why is what ended a spare.
func (l *led) why() error {
	if l.spare == nil {
		return nil
	}
	return l.spare.Err()
}
