package engine

import (
	"bytes"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/ring"
	"steadfoot/audio/device/internal/wire"
)

const frames = 256

func still() time.Duration { return 0 }

func running(clock Clock) *stream {
	s := newStream(frames, clock)
	s.running.Store(1)
	return s
}

// The callback must not allocate, whatever it meets: input, output, a full
// queue, flags, mono earphones.
func TestCallbackAllocatesNothing(t *testing.T) {
	start := time.Now()
	s := running(func() time.Duration { return time.Since(start) })
	s.out.Put(0, make([]audio.Frame, outputSize))
	in, out := make([]float32, frames), make([]float32, 2*frames)
	calls := 0
	call := func() {
		calls++
		s.process(in, out, 2, Call{ADC: 1, Now: 2, DAC: 3}, wire.OutputUnderflow)
		s.process(in, out[:frames], 1, Call{}, 0)
		s.process(nil, out, 2, Call{}, 0)
		s.process(in, nil, 0, Call{}, 0)
		if calls%3 == 0 {
			s.in.Release(s.in.Len())
		}
	}
	if n := testing.AllocsPerRun(1000, call); n != 0 {
		t.Errorf("%v allocations a callback", n)
	}
	for range inputSlots {
		call()
		s.in.Next() // keeps nothing: the queue may fill up
	}
	if n := testing.AllocsPerRun(100, func() { s.process(in, out, 2, Call{}, wire.InputOverflow) }); n != 0 {
		t.Errorf("%v allocations with a full queue", n)
	}
}

func BenchmarkCallback(b *testing.B) {
	start := time.Now()
	s := running(func() time.Duration { return time.Since(start) })
	in, out := make([]float32, frames), make([]float32, 2*frames)
	b.ReportAllocs()
	for b.Loop() {
		s.process(in, out, 2, Call{}, 0)
		s.in.Release(1)
	}
}

func TestCallbackIsSilentBeforeTheClockRuns(t *testing.T) {
	s := newStream(frames, still)
	s.out.Put(0, []audio.Frame{{1, 1}})
	out := []float32{9, 9, 9, 9}
	s.process(make([]float32, 2), out, 2, Call{}, 0)
	if out[0] != 0 || out[3] != 0 || s.in.Len() != 0 || s.frames != 0 {
		t.Errorf("out %v, %d slots, %d frames", out, s.in.Len(), s.frames)
	}
	s.running.Store(1)
	s.process(make([]float32, 2), out, 2, Call{}, 0)
	if out[0] != 1 || s.in.Len() != 1 || s.frames != 2 {
		t.Errorf("then out %v, %d slots, %d frames", out, s.in.Len(), s.frames)
	}
}

// Input that finds the queue full is dropped, and the next index tells.
func TestFullQueueIsAJumpOfTheIndex(t *testing.T) {
	s := running(still)
	in := make([]float32, frames)
	for range inputSlots {
		s.process(in, nil, 0, Call{}, 0)
	}
	s.process(in, nil, 0, Call{}, wire.InputOverflow)
	s.in.Release(inputSlots)
	s.process(in, nil, 0, Call{}, 0)
	if slot := s.in.At(0); slot.Index != (inputSlots+1)*frames || slot.Flags != wire.InputOverflow {
		t.Errorf("index %d, flags %d", slot.Index, slot.Flags)
	}
}

// line feeds a timeline with the delays of callbacks and sums what it says.
func line(delays []float64, flagged func(i int) bool) (lost int64, waits int) {
	tl := newTimeline(audio.Rate)
	shift := 0.0
	for i, d := range delays {
		ready, n := tl.observe(d-shift, flagged(i), frames)
		if !ready {
			waits++
		}
		lost += n
		shift += float64(n) / audio.Rate
	}
	return lost, waits
}

func jitter(n int) []float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	d := make([]float64, n)
	for i := range d {
		d[i] = 0.010 + 0.002*rng.Float64()
	}
	return d
}

func TestTimelineTellsLossFromDelay(t *testing.T) {
	never := func(int) bool { return false }
	at500 := func(i int) bool { return i == 500 }
	if lost, waits := line(jitter(1000), never); lost != 0 || waits != 0 {
		t.Errorf("nothing happened: %d lost, %d held", lost, waits)
	}
	if lost, _ := line(jitter(1000), at500); lost != 0 {
		t.Errorf("a flag without a gap: %d lost", lost)
	}
	// A callback is held up for 100 ms and the next ones catch up.
	late := jitter(1000)
	for i := range 5 {
		late[500+i] += 0.100 - 0.020*float64(i)
	}
	for name, flag := range map[string]func(int) bool{"flagged": at500, "unflagged": never} {
		if lost, _ := line(late, flag); lost != 0 {
			t.Errorf("%s late callbacks: %d lost", name, lost)
		}
	}
	// 4400 samples are lost.
	gap := jitter(1000)
	for i := 500; i < len(gap); i++ {
		gap[i] += 4400.0 / audio.Rate
	}
	for name, flag := range map[string]func(int) bool{"flagged": at500, "unflagged": never} {
		lost, waits := line(gap, flag)
		if math.Abs(float64(lost-4400)) > 0.002*audio.Rate || waits == 0 || waits > 15 {
			t.Errorf("%s gap of 4400: %d lost, %d callbacks held", name, lost, waits)
		}
	}
	// 480 samples are lost just after a flag; without one that may be jitter.
	small := jitter(1000)
	for i := 510; i < len(small); i++ {
		small[i] += 480.0 / audio.Rate
	}
	if lost, _ := line(small, at500); math.Abs(float64(lost-480)) > 0.002*audio.Rate {
		t.Errorf("a flagged gap of 480: %d lost", lost)
	}
}

// A clock that runs 100 ppm fast or slow is no loss, even over half an hour.
func TestTimelineFollowsDrift(t *testing.T) {
	for _, ppm := range []float64{-100, 100} {
		d := jitter(half)
		for i := range d {
			d[i] += float64(i) * frames / audio.Rate * ppm * 1e-6
		}
		if lost, _ := line(d, func(i int) bool { return i%1000 == 999 }); lost != 0 {
			t.Errorf("%v ppm: %d lost", ppm, lost)
		}
	}
}

const half = 1800 * audio.Rate / frames // callbacks in half an hour

// Where the device says when sound was captured, a late callback with old
// samples is no loss however long it lasts.
func TestDelayTakesTheDevicesWord(t *testing.T) {
	s := running(still)
	f := newForwarder(s, nil, 1)
	slot := &ring.Slot{Samples: make([]float32, frames), Clock: 1e9}
	slot.ADC, slot.Now = 10e9, 10.5e9
	want := 1 - 0.5 // the first sample is 0.5 s old, and stands for time 0
	if d := f.delay(slot); math.Abs(d-want) > 1e-9 {
		t.Errorf("delay %v, want %v", d, want)
	}
	slot.ADC = 0 // says nothing: the age it last told stands
	if d := f.delay(slot); math.Abs(d-want) > 1e-9 {
		t.Errorf("delay %v, want %v", d, want)
	}
}

func TestGrowingLagEndsTheStream(t *testing.T) {
	var w lagWatch
	const length = float64(frames) / audio.Rate
	for range 1000 {
		if err := w.note(0.03, length); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.note(0.5, length); err != nil {
		t.Errorf("one late callback: %v", err)
	}
	w.note(0.03, length)
	var err error
	n := 0
	for ; err == nil && n < 1000; n++ {
		err = w.note(0.13, length)
	}
	if err == nil || err.Error() != "the device fell 100 ms behind" || n > 100 {
		t.Errorf("after %d callbacks: %v", n, err)
	}
}

// A gap moves the output too: index i goes out with input index i.
func TestForwarderShiftsBothSides(t *testing.T) {
	var now time.Duration
	s := running(func() time.Duration { return now })
	var pipe bytes.Buffer
	f := newForwarder(s, wire.NewWriter(&pipe), 1)
	in, out := make([]float32, frames), make([]float32, 2*frames)
	const lost = 4800
	for i := range 400 {
		now += frames * time.Second / audio.Rate
		flags := uint32(0)
		if i == 200 {
			now += lost * time.Second / audio.Rate
			flags = wire.InputOverflow
		}
		s.process(in, out, 2, Call{}, flags)
		if err := f.drain(); err != nil {
			t.Fatal(err)
		}
	}
	if shift := s.shift.Load(); shift != lost {
		t.Fatalf("shift %d, want %d", shift, lost)
	}
	r := wire.NewReader(&pipe)
	var h wire.BlockHead
	for i := range 400 {
		_, p, err := r.Next()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := wire.DecodeBlock(p, &h, nil); err != nil {
			t.Fatal(err)
		}
		want := int64(i * frames)
		if i >= 200 {
			want += lost
		}
		if h.Index != want {
			t.Fatalf("block %d at %d, want %d", i, h.Index, want)
		}
	}
	s.out.Put(400*frames+lost, []audio.Frame{{1, 1}})
	if s.process(in, out, 2, Call{}, 0); out[0] != 1 {
		t.Errorf("the output of that index is %v", out[0])
	}
}

func FuzzServe(f *testing.F) {
	var pipe bytes.Buffer
	w := wire.NewWriter(&pipe)
	_ = w.JSON(wire.Open, wire.OpenRequest{Frames: 256})
	_ = w.Output(0, make([]audio.Frame, 3))
	f.Add(pipe.Bytes())
	f.Add([]byte("Sf\x02\x01\x00\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, in []byte) {
		var out bytes.Buffer
		err := Serve(bytes.NewReader(in), &out, deaf{}, still)
		kind, _, first := wire.NewReader(&out).Next()
		if err == nil && (first != nil || kind != wire.Devices) {
			t.Errorf("no error and kind %d", kind)
		}
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("more than a line: %q", err)
		}
	})
}

// deaf has devices but opens none.
type deaf struct{}

func (deaf) Devices() ([]wire.Device, error) { return nil, nil }
func (deaf) Open(wire.OpenRequest, Process, Playout) (wire.OpenReply, error) {
	return wire.OpenReply{}, errDead
}
func (deaf) Close() error { return nil }
