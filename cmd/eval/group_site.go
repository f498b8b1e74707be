package main

import (
	"context"
	"fmt"
	"net"
	"sync/atomic"
	"time"

	shared "steadfoot/coach/group"
	"steadfoot/coach/group/bus"
	"steadfoot/coach/group/hub"
	"steadfoot/coach/group/local"
)

// groupAhead is the group time less the time of the run, s.
const groupAhead = 1000.0

// groupSite is a hub that listens on loopback, and counts what goes through.
type groupSite struct {
	addr     string
	up, down atomic.Int64 // bytes
}

// startSites starts a leader, and the hubs that follow it over the bus.
func startSites(ctx context.Context, o groupOptions, now func() float64) ([]*groupSite, error) {
	src, err := local.New(local.Options{Now: func() float64 { return now() + groupAhead }, Term: 1, Groups: []string{"one"}})
	if err != nil {
		return nil, err
	}
	go src.Run(ctx)
	if err := src.Command(ctx, shared.Command{Do: shared.DoTarget, Group: "one", Cadence: 180}); err != nil {
		return nil, err
	}
	var sites []*groupSite
	for i := range o.hubs {
		var from shared.Source = src
		if o.bus != "" {
			part := bus.Part{}
			if i == 0 {
				part.Leader = src
			}
			if from, err = overBus(ctx, o.bus, i, now, part); err != nil {
				return nil, err
			}
		}
		s := &groupSite{}
		if err := s.start(ctx, from, o.members); err != nil {
			return nil, err
		}
		sites = append(sites, s)
	}
	return sites, nil
}

// overBus shares the group with the other hubs. Each has a clock of its own.
func overBus(ctx context.Context, url string, i int, now func() float64, part bus.Part) (shared.Source, error) {
	b, err := bus.Connect(ctx, bus.Options{
		URL: url, Event: fmt.Sprintf("load-%d", time.Now().UnixNano()/1e12), Site: fmt.Sprintf("hub-%d", i),
		Clock: func() float64 { return 500*float64(i) + now()*(1+30e-6*float64(i)) },
	})
	if err != nil {
		return nil, err
	}
	context.AfterFunc(ctx, b.Close)
	src, err := b.Join(ctx, part)
	if err != nil {
		return nil, err
	}
	for wait := 0; len(src.Maps()) == 0 || src.Spread() > 0.1; wait++ {
		if wait == 200 {
			return nil, fmt.Errorf("hub %d does not hear of the group over the bus", i)
		}
		time.Sleep(50 * time.Millisecond)
	}
	return src, nil
}

func (s *groupSite) start(ctx context.Context, src shared.Source, members int) error {
	h, err := hub.New(hub.Options{Source: src, Word: groupWord, Key: "not used", MaxMembers: members + 1, PerAddress: -1})
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	s.addr = l.Addr().String()
	go func() { _ = h.Serve(ctx, counter{l, s}, nil) }() // the members see it end
	return nil
}

// traffic is what has come to the hubs and gone from them, bytes.
func traffic(sites []*groupSite) (up, down int64) {
	for _, s := range sites {
		up, down = up+s.up.Load(), down+s.down.Load()
	}
	return up, down
}

// counter counts the bytes of a listener's connections.
type counter struct {
	net.Listener
	s *groupSite
}

func (c counter) Accept() (net.Conn, error) {
	conn, err := c.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return counted{conn, c.s}, nil
}

type counted struct {
	net.Conn
	s *groupSite
}

func (c counted) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	c.s.up.Add(int64(n))
	return n, err
}

func (c counted) Write(b []byte) (int, error) {
	n, err := c.Conn.Write(b)
	c.s.down.Add(int64(n))
	return n, err
}
