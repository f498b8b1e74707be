package intake

import (
	"bytes"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"syscall"
	"time"

	"steadfoot/audio/sensor"
)

const (
	mostDatagram = 1 << 16 // bytes; UDP has no longer ones
	mostRows     = 512     // lines of one datagram that are taken
	sendersTold  = 3       // others that are named

	// quietSender is how long nothing comes from a sender before another one is
	// listened to. A program that is started again sends from another port.
	quietSender = 1500 * time.Millisecond
)

func openUDP(spec Spec) (*Intake, error) {
	conn, err := net.ListenPacket("udp", spec.Address)
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, fmt.Errorf("UDP %s: another program listens there already; end it or take another port", spec.Address)
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return nil, fmt.Errorf("UDP %s: this machine has no such address; udp:PORT listens to this machine itself, udp:0.0.0.0:PORT to the whole network", spec.Address)
	case errors.Is(err, syscall.EACCES):
		return nil, fmt.Errorf("UDP %s: you may not use this port; take one above 1023", spec.Address)
	case err != nil:
		return nil, fmt.Errorf("UDP %s: %w", spec.Address, err)
	}
	in := newIntake("UDP " + conn.LocalAddr().String())
	in.close = conn
	go listen(in, conn.(*net.UDPConn))
	return in, nil
}

// listen takes the datagrams of one sender until conn is closed. The first one to
// come is it, until it has been quiet for a while.
func listen(in *Intake, conn *net.UDPConn) {
	var sender, other netip.AddrPort // other: since the sender's last datagram
	others := map[netip.Addr]bool{}
	buf := make([]byte, mostDatagram)
	quiet := time.NewTimer(quietSender)
	defer quiet.Stop()
	for {
		n, from, err := conn.ReadFromUDPAddrPort(buf)
		if errors.Is(err, net.ErrClosed) {
			return
		}
		if err != nil {
			continue // such as an answer to what was never sent
		}
		select {
		case <-quiet.C:
			if sender.IsValid() && sender.Addr() != from.Addr() {
				in.tell("%s is quiet; %s is listened to now", sender, from)
			}
			sender, other = from, netip.AddrPort{}
			quiet.Reset(quietSender)
		default:
		}
		if !sender.IsValid() {
			sender = from
		}
		if from != sender {
			other = from // it may be to follow one that has ended
			continue
		}
		if a := other.Addr(); other.IsValid() && !others[a] && len(others) < sendersTold {
			others[a] = true
			in.tell("rows come from %s as well and are left out; only %s is listened to", other, sender)
		}
		other = netip.AddrPort{}
		quiet.Reset(quietSender)
		takeDatagram(in, buf[:n])
	}
}

// takeDatagram takes the lines of a datagram; each is whole.
func takeDatagram(in *Intake, b []byte) {
	for k := 0; len(b) > 0 && k < mostRows; k++ {
		var line []byte
		line, b, _ = bytes.Cut(b, []byte{'\n'})
		if line = bytes.TrimSpace(line); len(line) > 0 && len(line) <= sensor.LongestLine {
			in.push(line, false)
		}
	}
}
