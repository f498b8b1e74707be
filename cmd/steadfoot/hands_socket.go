package main

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"time"
)

const (
	mostHands  = 8           // connections at once
	answerTime = time.Second // how long an answer may wait to be read
)

// openSocket listens on a Unix socket at path. One that a walk has left when it
// was killed is replaced.
func (h *hands) openSocket(path string) error {
	if path == "" {
		return usagef("want a path after unix:")
	}
	if st, err := os.Lstat(path); err == nil {
		if st.Mode()&fs.ModeSocket == 0 {
			return errors.New("is there already and is no socket; name another path")
		}
		if c, err := net.DialTimeout("unix", path, time.Second); err == nil {
			c.Close()
			return errors.New("another program listens there; name another path")
		}
		if err := os.Remove(path); err != nil {
			return err
		}
	}
	l, err := net.Listen("unix", path)
	if err != nil {
		return fmt.Errorf("%w; name a path of at most 100 letters in a folder that is there and can be written", bare(err))
	}
	if err := os.Chmod(path, 0o600); err != nil { // others are not to pause the walk
		l.Close()
		return err
	}
	h.from = l // closing it removes the socket
	h.listen = func() { h.accept(l) }
	return nil
}

// bare is an error of the system without what it was called with.
func bare(err error) error {
	var sys *os.SyscallError
	var path *fs.PathError
	switch {
	case errors.As(err, &sys):
		return sys.Err
	case errors.As(err, &path):
		return path.Err
	}
	return err
}

// accept serves whoever connects.
func (h *hands) accept(l net.Listener) {
	free := make(chan struct{}, mostHands)
	for {
		c, err := l.Accept()
		if errors.Is(err, net.ErrClosed) {
			return
		}
		if err != nil { // out of file descriptors, say
			time.Sleep(time.Second)
			continue
		}
		select {
		case free <- struct{}{}:
			go func() {
				h.talk(c)
				<-free
			}()
		default:
			answerHand(c, fmt.Errorf("more than %d connections", mostHands))
			c.Close()
		}
	}
}

// talk serves one connection, until either side ends it.
func (h *hands) talk(c net.Conn) {
	ended := make(chan struct{})
	defer close(ended)
	go func() { // ends a read that waits
		select {
		case <-h.ctx.Done():
		case <-ended:
		}
		c.Close()
	}()
	_ = h.serve(c, func(err error) error { return answerHand(c, err) }) // that a connection ends is no fault
}

// answerHand writes "ok", or one line that says what was wrong. Whoever does not
// read the answers loses the connection.
func answerHand(c net.Conn, wrong error) error {
	text := "ok\n"
	if wrong != nil {
		text = fmt.Sprintf("error: %v\n", wrong)
	}
	if err := c.SetWriteDeadline(time.Now().Add(answerTime)); err != nil {
		return err
	}
	_, err := c.Write([]byte(text))
	return err
}
