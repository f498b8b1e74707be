package device

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"sync"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/pipe"
	"steadfoot/audio/device/internal/wire"
)

const (
	startWithin = 24 * time.Second // longer than the sound process's own deadlines
	endWithin   = 4 * time.Second
	wakeUp      = 100 * time.Millisecond // until a stopped process is itself again
	queued      = 32                     // blocks on their way from the pipe to Read
)

// message is one frame from the sound process. Blocks go back to its pool.
type message struct {
	kind    wire.Kind
	head    wire.BlockHead
	samples []float32
	text    []byte        // payload of all but blocks
	arrival time.Duration // when it came, on Options.Clock
}

// process is one sound process and the goroutine that reads from it.
type process struct {
	cmd   *exec.Cmd
	stdin io.WriteCloser
	said  *tail // its standard error

	writing sync.Mutex // of w and watch
	w       *wire.Writer
	watch   *time.Timer // kills a process that does not take what is written

	frames chan *message // closed when it has ended
	free   chan *message
	leave  sync.Once
	quit   chan struct{} // closed when nobody listens any more
	err    error         // how it ended; to be read once frames is closed
}

// launch starts a sound process. It always ends: by itself, or by kill.
func launch(command []string, clock func() time.Duration) (*process, error) {
	p := &process{
		cmd: exec.Command(command[0], command[1:]...), said: newTail(64 << 10),
		frames: make(chan *message, queued), free: make(chan *message, queued+2), quit: make(chan struct{}),
	}
	for range cap(p.free) {
		p.free <- new(message)
	}
	// libjack would start a server of its own, which would outlive us.
	p.cmd.Env = append(os.Environ(), "JACK_NO_START_SERVER=1")
	p.cmd.Stderr = p.said
	p.cmd.WaitDelay = time.Second
	var err error
	if p.stdin, err = p.cmd.StdinPipe(); err != nil {
		return nil, fmt.Errorf("cannot start the sound process: %w", err)
	}
	stdout, err := p.cmd.StdoutPipe()
	if err != nil {
		return nil, fmt.Errorf("cannot start the sound process: %w", err)
	}
	if err := p.cmd.Start(); err != nil {
		return nil, fmt.Errorf("cannot start the sound process: %w", err)
	}
	p.w = wire.NewWriter(pipe.Writer(p.stdin))
	p.watch = time.AfterFunc(stall, p.shoot)
	p.watch.Stop()
	go p.read(wire.NewReader(pipe.Reader(stdout)), clock)
	return p, nil
}

// read passes frames on until the process ends, and sees it to its end.
func (p *process) read(r *wire.Reader, clock func() time.Duration) {
	failed := p.pass(r, clock)
	p.shoot() // whatever broke the stream, it is of no more use
	waited := p.cmd.Wait()
	switch {
	case failed != nil:
		p.err = failed
	case p.said.line() != "":
		p.err = fmt.Errorf("the sound process died: %s; check the system's sound settings", p.said.line())
	case waited != nil:
		p.err = fmt.Errorf("the sound process died: %w; check the system's sound settings", waited)
	default:
		p.err = errors.New("the sound process ended")
	}
	close(p.frames)
}

// pass returns what the process said of its end, nil when it said nothing.
func (p *process) pass(r *wire.Reader, clock func() time.Duration) error {
	for {
		kind, payload, err := r.Next()
		if err != nil {
			if err == io.EOF || errors.Is(err, os.ErrClosed) {
				return nil
			}
			return err
		}
		if kind == wire.Failed {
			return errors.New(string(payload))
		}
		select {
		case <-p.quit:
			continue // drain the pipe, so that the process can end well
		case m := <-p.free:
			m.kind, m.arrival = kind, clock()
			if kind == wire.Block {
				if m.samples, err = wire.DecodeBlock(payload, &m.head, m.samples); err != nil {
					return err
				}
			} else {
				m.text = append(m.text[:0], payload...)
			}
			select {
			case p.frames <- m:
			case <-p.quit:
			}
		}
	}
}

// next waits for a frame. No frame within limit is an error, and so is the end
// of the process or of ctx.
func (p *process) next(ctx context.Context, timer *time.Timer, limit time.Duration) (*message, error) {
	// When this program itself was stopped, as a laptop is when its lid closes,
	// the limit has passed although sound may be on its way; so there are two.
	for _, d := range [...]time.Duration{limit, wakeUp} {
		timer.Reset(d)
		select {
		case m, ok := <-p.frames:
			if !ok {
				return nil, p.err
			}
			return m, nil
		case <-ctx.Done():
			return nil, context.Cause(ctx)
		case <-timer.C:
		}
	}
	return nil, fmt.Errorf("the sound process gave nothing for %v", limit)
}

// bare sends a frame without payload.
func (p *process) bare(k wire.Kind) {
	p.writing.Lock()
	defer p.writing.Unlock()
	p.watch.Reset(stall)
	p.sent(p.w.Bare(k))
}

// output sends sound to be played.
func (p *process) output(index int64, frames []audio.Frame) {
	p.writing.Lock()
	defer p.writing.Unlock()
	p.watch.Reset(stall)
	p.sent(p.w.Output(index, frames))
}

// sent ends a write. A process that takes no more is ended; whoever reads from
// it sees that.
func (p *process) sent(err error) {
	p.watch.Stop()
	if err != nil {
		p.shoot()
	}
}

// shoot ends the process without waiting. It fails only when it has ended.
func (p *process) shoot() { _ = p.cmd.Process.Kill() }

// ask sends a request and decodes the answer of the wanted kind into v.
func (p *process) ask(ctx context.Context, kind wire.Kind, req any, want wire.Kind, v any) error {
	// When the request cannot be sent the process has ended, and next says why.
	if req == nil {
		_ = p.w.Bare(kind)
	} else {
		_ = p.w.JSON(kind, req)
	}
	timer := time.NewTimer(startWithin)
	defer timer.Stop()
	m, err := p.next(ctx, timer, startWithin)
	if err != nil {
		return err
	}
	defer p.release(m)
	if m.kind != want {
		return fmt.Errorf("the sound process answered with a frame of kind %d, want %d", m.kind, want)
	}
	if err := json.Unmarshal(m.text, v); err != nil {
		return fmt.Errorf("the sound process gave a damaged answer: %v", err)
	}
	return nil
}

func (p *process) release(m *message) { p.free <- m }

// kill ends the process and returns when it is gone, or cannot be ended.
func (p *process) kill() {
	p.shoot()
	p.end(endWithin)
}

// end waits until the process is gone; it reports whether that was in time.
func (p *process) end(limit time.Duration) bool {
	p.leave.Do(func() { close(p.quit) })
	_ = p.stdin.Close()
	late := time.After(limit)
	for {
		select {
		case _, open := <-p.frames:
			if !open {
				return true
			}
		case <-late:
			return false
		}
	}
}

func list(ctx context.Context, o Options) ([]Info, error) {
	if err := o.findCommand(); err != nil {
		return nil, err
	}
	none := func() time.Duration { return 0 }
	p, err := launch(o.Command, none)
	if err != nil {
		return nil, err
	}
	defer p.kill()
	var devs []Info
	if err := p.ask(ctx, wire.List, nil, wire.Devices, &devs); err != nil {
		return nil, err
	}
	return devs, nil
}
