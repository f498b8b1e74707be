package main

import (
	"context"
	"io"
	"os"
)

// openOrLeave opens a file for reading. A named pipe that nobody writes to holds
// up os.Open for ever; when ctx is done that call is left behind.
func openOrLeave(ctx context.Context, name string) (*os.File, error) {
	type result struct {
		f   *os.File
		err error
	}
	done := make(chan result, 1)
	go func() {
		f, err := os.Open(name)
		done <- result{f, err}
	}()
	select {
	case r := <-done:
		return r.f, r.err
	case <-ctx.Done():
		return nil, context.Cause(ctx)
	}
}

// interruptible makes the reads of a pipe or a terminal, which may wait for
// ever, end when ctx is done. One goroutine reads r; a read it is in by then is
// left behind with it.
type interruptible struct {
	ctx  context.Context
	r    io.Reader
	from chan chunk
	rest chunk
}

type chunk struct {
	b   []byte
	err error
}

// Read implements io.Reader.
func (i *interruptible) Read(p []byte) (int, error) {
	if i.from == nil {
		i.from = make(chan chunk)
		go i.pump()
	}
	for len(i.rest.b) == 0 && i.rest.err == nil {
		select {
		case i.rest = <-i.from:
		case <-i.ctx.Done():
			return 0, i.ctx.Err()
		}
	}
	if len(i.rest.b) == 0 {
		return 0, i.rest.err
	}
	n := copy(p, i.rest.b)
	i.rest.b = i.rest.b[n:]
	return n, nil
}

// pump reads into two buffers in turn: one is with the reader, one is filled.
func (i *interruptible) pump() {
	var bufs [2][1 << 15]byte
	for k := 0; ; k++ {
		b := bufs[k&1][:]
		n, err := i.r.Read(b)
		select {
		case i.from <- chunk{b[:n], err}:
		case <-i.ctx.Done():
			return
		}
		if err != nil {
			return
		}
	}
}
