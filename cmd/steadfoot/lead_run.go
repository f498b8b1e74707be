package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"path/filepath"
	"time"

	"steadfoot/coach/group"
	"steadfoot/coach/group/hub"
	"steadfoot/coach/group/page"
)

// leader is one hub and what it is made of.
type leader struct {
	std  stdio
	o    leadOptions
	led  *led
	hub  *hub.Hub
	show *leadView
}

// lead puts the parts together and serves until ctx is done.
func lead(ctx context.Context, std stdio, o leadOptions) error {
	listener, err := listenAt(o.listen)
	if err != nil {
		return err
	}
	defer listener.Close() // Serve closes it as well; what is closed twice says so to nobody
	path, err := storePath(o.store)
	if err != nil {
		return err
	}
	_, port, err := net.SplitHostPort(listener.Addr().String())
	if err != nil {
		return err
	}
	hosts := o.spare.toward(hostsOf(listener.Addr()))
	config, err := o.certificate(filepath.Dir(path), hosts)
	if err != nil {
		return err
	}
	l := &leader{std: std, o: o, show: &leadView{w: std.err}}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	if l.led, err = o.openGroups(ctx, std, hosts[0], port, config, path, l.show.say); err != nil {
		return err
	}
	defer l.led.close()
	cues, err := cueFiles()
	if err != nil {
		return err
	}
	walks := newWalkStore(path, o, l.led.source, l.show.say)
	l.hub, err = hub.New(hub.Options{
		Source: l.led.source, Word: l.led.word, Key: l.led.key, MaxMembers: o.most,
		Pages: page.Handler(page.Options{Cues: cues}), Stored: walks.told, Log: l.show.say,
		Address: l.led.address, Hosts: pageHosts(hosts, port), Outranked: l.led.outranked,
	})
	if err != nil {
		return err
	}
	for _, c := range o.first {
		if l.led.resumed {
			break
		}
		if err := l.led.source.Command(ctx, c); err != nil {
			return err
		}
	}
	l.greet(listener.Addr(), hosts, config)
	go l.show.follow(ctx, l.led.source)
	go l.lines(ctx)
	go func() {
		select {
		case <-l.led.ended():
			cancel()
		case <-ctx.Done():
		}
	}()
	quit, stored := make(chan struct{}), make(chan struct{})
	go walks.run(quit, stored)
	err = l.hub.Serve(ctx, listener, config)
	close(quit)
	<-stored
	return errors.Join(err, l.led.why(), l.farewell())
}

// certificate is what --tls needs; nil without it.
func (o leadOptions) certificate(dir string, hosts []string) (*tls.Config, error) {
	if !o.tls {
		return nil, nil
	}
	var c *tls.Certificate
	var err error
	if o.cert != "" {
		c, err = userCert(o.cert, o.certKey)
	} else {
		c, err = ownCert(dir, hosts, time.Now())
	}
	if err != nil {
		return nil, err
	}
	return &tls.Config{Certificates: []tls.Certificate{*c}, MinVersion: tls.VersionTLS12}, nil
}

// greet says where walkers and coach go.
func (l *leader) greet(addr net.Addr, hosts []string, config *tls.Config) {
	w := l.std.out
	walkers := pageURL(config != nil, hosts[0], addr, "/", "word", l.led.word)
	fmt.Fprintln(w, leadCaution)
	fmt.Fprintln(w)
	if l.led.note != "" {
		fmt.Fprintln(w, l.led.note)
	}
	if !l.o.plain && isTerminal(w) {
		if lines, err := qrLines(walkers); err == nil {
			for _, line := range lines {
				fmt.Fprintln(w, line)
			}
		}
	}
	_, port, _ := net.SplitHostPort(addr.String())
	fmt.Fprintf(w, "Walkers:  %s\n", walkers)
	fmt.Fprintf(w, "          or: steadfoot join %s --word %s\n", net.JoinHostPort(hosts[0], port), l.led.word)
	fmt.Fprintf(w, "Board:    %s\n", pageURL(config != nil, hosts[0], addr, "/board", "key", l.led.key))
	if at, ok := addr.(*net.TCPAddr); ok && at.IP.IsLoopback() {
		fmt.Fprintln(w, "Only this machine can join; --network lets others in.")
	}
	if config == nil {
		fmt.Fprintln(w, "Phones play the beat and show it; to listen as well they want --tls.")
	} else if l.o.cert == "" {
		fmt.Fprintf(w, "Each phone asks once about the certificate of this leader; it begins with %s\n", fingerprint(&config.Certificates[0]))
	}
	if !page.CanListen() {
		fmt.Fprintln(w, "This build has no detector for phones; 'make build' puts it in.")
	}
	fmt.Fprintln(w, "Type a target or a session; help lists the words. Ctrl-C ends the leader.")
	fmt.Fprintln(w)
}

// farewell says what goes on, and takes the file away when nothing does.
func (l *leader) farewell() error {
	walking := false
	for _, m := range l.led.source.Maps() {
		walking = walking || m.State == group.Walking || m.State == group.Paused
	}
	if !l.led.source.Leads() {
		return nil
	}
	if !walking {
		return l.led.done()
	}
	fmt.Fprintln(l.std.out, "\nThe beat goes on for those who walk. 'steadfoot lead' on this machine takes it up again; 'stop' would have ended it.")
	return nil
}
