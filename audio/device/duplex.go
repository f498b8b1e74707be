package device

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/wire"
)

const (
	stall    = 750 * time.Millisecond // no block for so long is a hang
	ahead    = audio.Rate             // written before the first Read, at most
	outChunk = 1024                   // output frames a pipe frame
)

var (
	_ audio.Source = (*Duplex)(nil)
	_ audio.Sink   = (*Duplex)(nil)

	errClosed   = errors.New("the sound device is closed")
	errNoOutput = errors.New("the sound device was opened without earphones")
)

// Duplex is a running sound device. One goroutine may read while another one
// writes; Stats and Chatter may be called at any time.
type Duplex struct {
	o   Options
	ctx context.Context

	// Of Read alone.
	timer  *time.Timer
	given  *message // what the last Read gave out
	next   int64    // session index of the next sample when nothing is lost
	fault  string   // to be told with the next block
	away   int64    // samples already given out as lost that belong to it
	begun  time.Duration
	back   time.Duration // end of the last outage
	origin origin
	parts  parting
	leave  error // why the next Read is to end the stream, nil when it is not
	wanted int   // streams, as it asks; 0: it does not. Of whoever opens the device.

	// mu guards what follows, never across a wait.
	mu      sync.Mutex
	p       *process // nil while there is none
	out     *outage  // nil while there is none
	placed  bool     // base is known
	base    int64    // session index of the process's sample 0
	going   bool     // the clock runs
	clock   sessionClock
	written int64
	closed  bool
	failed  error // Read has given up
	stats   Stats
	drift   driftWatch
	before  Stats // counts of the processes before p
}

// Start opens the device in a sound process of its own and returns when sound
// flows. The error is one line that says what to do. ctx ends the wait here
// and in Read; it does not end the device, Close does.
func Start(ctx context.Context, o Options) (*Duplex, error) {
	if err := o.validate(); err != nil {
		return nil, err
	}
	d := &Duplex{o: o, ctx: ctx, timer: time.NewTimer(stall), placed: true, clock: newSessionClock()}
	if err := d.open(ctx); err != nil {
		return nil, err
	}
	return d, nil
}

// open starts a process and makes it the current one.
func (d *Duplex) open(ctx context.Context) error {
	req := d.o.request()
	if d.wanted != 0 {
		asked := req
		asked.Streams = d.wanted
		if err := d.openAs(ctx, asked); err == nil || errors.Is(err, errClosed) || ctx.Err() != nil {
			return err
		}
	}
	return d.openAs(ctx, req)
}

func (d *Duplex) openAs(ctx context.Context, req wire.OpenRequest) error {
	p, err := launch(d.o.Command, d.o.Clock)
	if err != nil {
		return err
	}
	var reply wire.OpenReply
	if err := p.ask(ctx, wire.Open, req, wire.Opened, &reply); err != nil {
		p.kill()
		return err
	}
	if !d.adopt(p, reply) {
		p.kill()
		return errClosed
	}
	return nil
}

// adopt makes p the current process, unless Close came first.
func (d *Duplex) adopt(p *process, reply wire.OpenReply) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed {
		return false
	}
	d.p = p
	d.stats.Input, d.stats.Output, d.stats.Streams = reply.Input, reply.Output, reply.Streams
	d.stats.InputLatency, d.stats.OutputLatency = reply.InputLatency, reply.OutputLatency
	return true
}

// Rate implements audio.Source; it is 48000 Hz.
func (d *Duplex) Rate() int { return audio.Rate }

// Read implements audio.Source. It waits for the next samples, at most
// Options.Frames. A sound process that hangs or dies is replaced; the next block
// then has Lost and Fault set. Where that takes more than two seconds, blocks
// without samples, but with Lost, come five times a second meanwhile, the first
// of them with Fault. After Options.GiveUp the error says that the device does
// not come back, and so do all later calls. There is no io.EOF: a device does
// not end.
func (d *Duplex) Read(b *audio.Block) error {
	*b = audio.Block{}
	if err := d.gone(); err != nil {
		return err
	}
	d.giveBack()
	if err := d.begin(); err != nil {
		return err
	}
	if d.leave != nil { // not before the last block was given back
		d.lose(d.leave)
		d.leave = nil
	}
	for {
		if d.out != nil {
			if passed, err := d.endure(b); passed || err != nil {
				return err
			}
		}
		p := d.current()
		if p == nil {
			return errClosed
		}
		m, err := p.next(d.ctx, d.timer, stall)
		if err == nil && m.kind == wire.Block {
			d.given = m
			d.fill(b, m)
			if b.Fault != "" {
				d.part(b)
			}
			return nil
		}
		if d.current() == nil {
			return errClosed
		}
		if d.ctx.Err() != nil {
			return context.Cause(d.ctx)
		}
		if err == nil {
			err = fmt.Errorf("the sound process sent a frame of kind %d amid the sound", m.kind)
		}
		d.lose(err)
	}
}

// part changes the number of streams where that is better, after a block in which
// the sound has faltered.
func (d *Duplex) part(b *audio.Block) {
	if d.o.Streams != 0 {
		return
	}
	d.mu.Lock()
	s := d.stats
	d.mu.Unlock()
	if why := d.parts.faltered(float64(b.Index)/audio.Rate, &s); why != nil {
		d.wanted, d.leave = 3-s.Streams, why
	}
}

// gone is why the device was given up, nil while it was not.
func (d *Duplex) gone() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.failed
}

// giveBack returns the last block's memory to its process.
func (d *Duplex) giveBack() {
	if d.given == nil {
		return
	}
	if p := d.current(); p != nil {
		p.release(d.given)
	}
	d.given = nil
}

func (d *Duplex) current() *process {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.closed {
		return nil
	}
	return d.p
}

func (d *Duplex) isClosed() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.closed
}

// fill places a block on the session's clock.
func (d *Duplex) fill(b *audio.Block, m *message) {
	d.mu.Lock()
	if !d.placed {
		// A new process counts from 0: the time that has passed tells where
		// that is in the session.
		at := d.origin.index(m.arrival) - int64(m.head.Frames)
		d.base = max(d.next, at) - m.head.Index
		d.placed = true
		d.stats.RoundTrip = 0 // of the new stream, not known yet
		d.parts.restarted(float64(d.base+m.head.Index) / audio.Rate)
		d.clock.restart()
	}
	base := d.base
	b.Index = base + m.head.Index
	b.Samples = m.samples
	b.Lost = max(0, b.Index-d.next)
	d.count(b.Lost, &m.head)
	d.clock.note(&m.head, m.arrival, b.Index+int64(len(b.Samples)), b.Lost > 0)
	d.stats.Clock = d.clock.base.Quality()
	d.mu.Unlock()

	d.next = b.Index + int64(len(b.Samples))
	d.origin.note(m.arrival, d.next)
	b.Fault = d.describe(b.Lost, m.head.Flags)
}

// count takes a block into the statistics.
func (d *Duplex) count(lost int64, h *wire.BlockHead) {
	s := &d.stats
	s.Lost += lost
	if h.Flags&wire.InputOverflow != 0 {
		s.Overruns++
	}
	if h.Flags&wire.OutputUnderflow != 0 {
		s.Underruns++
	}
	s.Missing = d.before.Missing + h.Missing
	s.Late = d.before.Late + h.Late
	s.Drift, s.DriftSD = h.Drift, h.DriftSD
	s.DriftFor = d.drift.note(float64(d.base+h.Index)/audio.Rate, h.Drift)
	if h.ADC != 0 && h.DAC > h.ADC {
		trip := float64(h.DAC-h.ADC) / 1e9
		if s.RoundTrip == 0 {
			s.RoundTrip = trip
		}
		s.RoundTrip += (trip - s.RoundTrip) / 64 // single callbacks jitter
	}
}

// describe says in one line what went wrong, "" when nothing did.
func (d *Duplex) describe(lost int64, flags uint32) string {
	what := d.fault
	lost += d.away
	d.fault, d.away = "", 0
	switch {
	case what != "":
	case flags&wire.InputOverflow != 0:
		what = "the device dropped input"
	case flags&wire.InputUnderflow != 0:
		what = "the device had no input"
	case flags&(wire.OutputUnderflow|wire.OutputOverflow) != 0:
		what = "the device played a gap"
	case lost > 0:
		what = "the device stood still"
	default:
		return ""
	}
	switch ms := float64(lost) * 1000 / audio.Rate; {
	case lost <= 0:
	case ms < 10000:
		what += fmt.Sprintf("; %.0f ms lost", ms)
	default:
		what += fmt.Sprintf("; %.1f s lost", ms/1000)
	}
	return what
}

// Stats returns the counts up to the last Read.
func (d *Duplex) Stats() Stats {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.stats
}

// Chatter returns the end of what the sound library printed, for diagnosis.
func (d *Duplex) Chatter() string {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.p == nil {
		return ""
	}
	return d.p.said.String()
}
