//go:build cgo

package soundprocess

// #cgo pkg-config: portaudio-2.0
// #include "port.h"
import "C"

import (
	"errors"
	"fmt"
	"runtime"
	"sync/atomic"
	"time"
	"unsafe"

	"github.com/gordonklaus/portaudio"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/engine"
	"steadfoot/audio/device/internal/ring"
)

const (
	// pollOne and pollTwo are after how many calls Go fetches them from one stream and
	// from two; the less often, the fewer times the processor wakes up.
	pollOne, pollTwo = 4, 2
	// aheadCalls is how many periods before their time the earphones get their
	// sound where they are a stream of their own: Go makes it, and may be late.
	aheadCalls = pollTwo + 4
	aheadSize  = 1 << 16
	alike      = 20 * time.Microsecond // two looks at a clock with nothing in between
	lookEvery  = 250                   // polls, some 10 s
)

// The C side reads these in place.
var (
	_ = [1]struct{}{}[unsafe.Sizeof(atomic.Int64{})-8]
	_ = [1]struct{}{}[unsafe.Sizeof(atomic.Uint32{})-4]
)

// pins holds what the C side reads where it is, for the life of the process.
var pins runtime.Pinner

// port is a stream whose callback is in C, seen from Go.
type port struct {
	c       *C.port
	calls   []C.port_call
	samples []float32
	next    int64 // number of the frame after the last call
	apart   bool  // the other side has a stream of its own

	// Where the earphones are a stream of their own: what they will play.
	own *ring.Output
	out []float32
	put []audio.Frame
}

// newPort makes a port for calls of that many frames at most, which plays what is
// rendered for its frames.
func newPort(most int, play engine.Playout) (*port, error) {
	c := C.port_new(C.int32_t(most))
	if c == nil {
		return nil, errors.New("no memory for the sound")
	}
	p := &port{
		c: c, calls: unsafe.Slice(c.calls, C.port_slots),
		samples: unsafe.Slice((*float32)(unsafe.Pointer(c.samples)), C.port_slots*most),
	}
	first, mask, head, played := play.Rendered.Shared()
	c.rendered, c.mask = (*C.float)(shared(first)), C.int64_t(mask)
	c.head, c.played = (*C.int64_t)(shared(head)), (*C.int64_t)(shared(played))
	c.shift, c.missing = (*C.int64_t)(shared(play.Shift)), (*C.int64_t)(shared(play.Missing))
	if play.Running != nil {
		c.running = (*C.uint32_t)(shared(play.Running))
	}
	return p, nil
}

func shared[T any](p *T) unsafe.Pointer {
	pins.Pin(p)
	return unsafe.Pointer(p)
}

// newMicrophone makes a port for the microphone alone. What it hears before the
// clock runs tells of the clocks.
func newMicrophone(most int, play engine.Playout) (*port, error) {
	play.Running = nil
	p, err := newPort(most, play)
	if err == nil {
		p.apart = true
	}
	return p, err
}

// newEarphones makes a port for the earphones alone, which plays what Go has made
// of its calls before.
func newEarphones(most int, missing *atomic.Int64) (*port, error) {
	own := ring.NewOutput(aheadSize)
	p, err := newPort(most, engine.Playout{Rendered: own, Shift: new(atomic.Int64), Missing: missing})
	if err != nil {
		return nil, err
	}
	p.apart, p.own, p.out, p.put = true, own, make([]float32, 2*most), make([]audio.Frame, most)
	return p, nil
}

// start opens and starts the stream; nil is a side that stays closed.
func (p *port) start(in, out *portaudio.DeviceInfo) error {
	params := parameters(in, out)
	p.c.listens, p.c.speaks = C.int32_t(params.Input.Channels), C.int32_t(params.Output.Channels)
	return failure(C.port_open(p.c, index(in), C.double(params.Input.Latency.Seconds()),
		index(out), C.double(params.Output.Latency.Seconds()), audio.Rate))
}

func index(d *portaudio.DeviceInfo) C.int {
	if d == nil {
		return -1
	}
	return C.int(d.Index)
}

// latency is what the library says, in seconds; 0 is unknown.
func (p *port) latency() (in, out time.Duration) {
	i := C.Pa_GetStreamInfo(p.c.stream)
	if i == nil {
		return 0, 0
	}
	return time.Duration(float64(i.inputLatency) * 1e9), time.Duration(float64(i.outputLatency) * 1e9)
}

// end cuts the stream off: what was to be heard has been heard.
func (p *port) end() error {
	s := p.c.stream
	if s == nil {
		return nil
	}
	p.c.stream = nil
	return errors.Join(failure(C.Pa_AbortStream(s)), failure(C.Pa_CloseStream(s)))
}

// poll passes on the calls since the last time. offset is what this clock is ahead
// of the C side's.
func (p *port) poll(process engine.Process, offset time.Duration) {
	// No call of C: Go's scheduler would be told of each.
	committed, released := (*int64)(unsafe.Pointer(&p.c.committed)), (*int64)(unsafe.Pointer(&p.c.released))
	for range atomic.LoadInt64(committed) - *released {
		at := *released % C.port_slots
		c := &p.calls[at]
		n := int(c.frames)
		call := engine.Call{
			ADC: time.Duration(c.adc), Now: time.Duration(c.now), DAC: time.Duration(c.dac),
			Begun: time.Duration(c.begun) + offset, Took: max(1, time.Duration(c.took)),
			Skipped: int64(c.frame) - p.next, Frames: n, Played: !p.apart,
		}
		p.next = int64(c.frame) + int64(n)
		switch most := int64(p.c.most); {
		case p.own != nil:
			p.render(process, call, uint32(c.flags))
		case p.c.listens > 0:
			process(p.samples[at*most:][:n], nil, 0, call, uint32(c.flags))
		default:
			process(nil, nil, 0, call, uint32(c.flags))
		}
		atomic.AddInt64(released, 1)
	}
}

// render has the sound made that is to be played some calls after this one.
func (p *port) render(process engine.Process, call engine.Call, flags uint32) {
	first := p.next - int64(call.Frames)
	call.Ahead = aheadCalls * int64(p.c.most)
	out := p.out[:2*call.Frames]
	process(nil, out, 2, call, flags)
	put := p.put[:call.Frames]
	for i := range put {
		put[i] = audio.Frame(out[2*i:])
	}
	p.own.Put(first+call.Ahead, put)
}

// failure is an error of the library; nil is none.
func failure(err C.PaError) error {
	switch {
	case err >= 0:
		return nil
	case err != C.paUnanticipatedHostError:
		return errors.New(C.GoString(C.Pa_GetErrorText(err)))
	}
	host := C.Pa_GetLastHostErrorInfo()
	return fmt.Errorf("%s (%d)", C.GoString(host.errorText), int(host.errorCode))
}
