package intake

import (
	"io/fs"
	"os"
	"sync"
	"syscall"
	"time"
)

// pipe is a named pipe to which programs write one after the other.
type pipe struct {
	in   *Intake
	stop chan struct{}

	mu sync.Mutex
	f  *os.File // is read by one goroutine only
}

// Pipe takes the lines that come by a named pipe, which is open for reading. When
// the program that writes to it ends, another one may go on, also where the pipe was
// made anew under its name. Close closes f.
func Pipe(f *os.File) *Intake {
	p := &pipe{in: newIntake(f.Name()), stop: make(chan struct{}), f: f}
	p.in.close = p
	go p.run()
	return p.in
}

// run reads until Close, one writer after the other. What the last one left
// unfinished is thrown away with it.
func (p *pipe) run() {
	for {
		p.in.cut(p, false)
		if !p.in.Away() {
			p.in.leave("what wrote to it has ended; start it again: the walk goes on without it and waits for it")
		}
		select {
		case <-p.stop:
			return
		case <-time.After(again):
		}
		p.renew()
	}
}

// Read implements io.Reader: it fails when nobody writes.
func (p *pipe) Read(b []byte) (int, error) {
	n, err := p.f.Read(b)
	if n > 0 && p.in.Away() {
		p.in.back()
	}
	return n, err
}

// renew opens the pipe again, if another one has its name now.
func (p *pipe) renew() {
	there, err := os.Stat(p.f.Name())
	if err != nil || there.Mode()&fs.ModeNamedPipe == 0 {
		return
	}
	if mine, err := p.f.Stat(); err != nil || os.SameFile(there, mine) {
		return
	}
	f, err := os.OpenFile(p.f.Name(), os.O_RDONLY|syscall.O_NONBLOCK, 0) // without waiting for a writer
	if err != nil {
		return // looked for once more
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	select {
	case <-p.stop:
		f.Close()
	default:
		p.f.Close()
		p.f = f
	}
}

// Close ends the reading.
func (p *pipe) Close() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	close(p.stop)
	return p.f.Close()
}
