//go:build cgo

package soundprocess

import (
	"math/rand/v2"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/engine"
	"steadfoot/audio/device/internal/ring"
)

const most = 64

type deck struct {
	running        atomic.Uint32
	shift, missing atomic.Int64
	out            *ring.Output
}

// newDeck makes a port with so many channels, and what it shares.
func newDeck(t testing.TB, frames, listens, speaks int) (*port, *deck) {
	t.Helper()
	d := &deck{out: ring.NewOutput(1 << 10)}
	p, err := newPort(frames, engine.Playout{Rendered: d.out, Running: &d.running, Shift: &d.shift, Missing: &d.missing})
	if err != nil {
		t.Fatal(err)
	}
	p.sides(listens, speaks)
	return p, d
}

// heard is what came of one call.
type heard struct {
	engine.Call
	samples []float32
	flags   uint32
}

// listen polls p and keeps what comes.
func listen(p *port, offset time.Duration) (all []heard) {
	p.poll(func(in, _ []float32, _ int, c engine.Call, flags uint32) {
		all = append(all, heard{c, slices.Clone(in), flags})
	}, offset)
	return all
}

// TestCallbackPlaysAsTheRing: the callback in C puts out what ring.Output.Play does,
// sample for sample, on any number of channels, through shifts and gaps.
func TestCallbackPlaysAsTheRing(t *testing.T) {
	for channels := 1; channels <= 4; channels++ {
		p, d := newDeck(t, most, 0, channels)
		twin := ring.NewOutput(1 << 10)
		d.running.Store(1)
		rng := rand.New(rand.NewPCG(uint64(channels), 1))
		var at, put, missing int64
		for call := range 2000 {
			frames := make([]audio.Frame, rng.IntN(most))
			for i := range frames {
				frames[i] = audio.Frame{rng.Float32(), -rng.Float32()}
			}
			if rng.IntN(20) == 0 {
				put += int64(rng.IntN(300)) // a stretch is left out
			}
			if a, b := d.out.Put(put, frames), twin.Put(put, frames); a != b {
				t.Fatalf("call %d: %d taken, want %d", call, a, b)
			} else {
				put += int64(a)
			}
			if rng.IntN(50) == 0 {
				d.shift.Add(int64(rng.IntN(200))) // samples were lost
			}
			n := 1 + rng.IntN(most)
			got, want := make([]float32, n*channels), make([]audio.Frame, n)
			for i := range got {
				got[i] = 9
			}
			p.called(nil, got, n, 0, 0, 0, 0)
			missing += int64(twin.Play(want, at+d.shift.Load()))
			at += int64(n)
			for i, f := range want {
				frame := make([]float32, channels)
				if channels == 1 {
					frame[0] = (f[0] + f[1]) / 2
				} else {
					copy(frame, f[:])
				}
				if !slices.Equal(got[i*channels:(i+1)*channels], frame) {
					t.Fatalf("%d channels, call %d, frame %d: %v, want %v", channels, call, i, got[i*channels:(i+1)*channels], frame)
				}
			}
			if d.out.Waiting() != twin.Waiting() || d.missing.Load() != missing {
				t.Fatalf("call %d: %d wait and %d were missing, want %d and %d", call, d.out.Waiting(), d.missing.Load(), twin.Waiting(), missing)
			}
		}
		if missing == 0 {
			t.Error("nothing was ever missing: that was not tried")
		}
	}
}

func TestCallbackIsSilentBeforeTheClockRuns(t *testing.T) {
	p, d := newDeck(t, most, 1, 2)
	d.out.Put(0, []audio.Frame{{1, 2}})
	in, out := []float32{5, 6}, []float32{9, 9, 9, 9}
	p.called(in, out, 2, 0, 0, 0, 0)
	if !slices.Equal(out, make([]float32, 4)) {
		t.Errorf("%v is played", out)
	}
	if all := listen(p, 0); len(all) != 1 || len(all[0].samples) != 0 || !all[0].Played {
		t.Errorf("%+v comes of it, want a sign of life", all)
	}
	d.running.Store(1)
	p.called(in, out, 2, 0, 0, 0, 0)
	if !slices.Equal(out, []float32{1, 2, 0, 0}) {
		t.Errorf("then %v is played", out)
	}
	if all := listen(p, 0); len(all) != 1 || !slices.Equal(all[0].samples, in) || all[0].Skipped != 0 {
		t.Errorf("then %+v comes of it", all)
	}
}

// What a call was comes through, on the other clock, and once.
func TestCallsComeThrough(t *testing.T) {
	p, d := newDeck(t, most, 1, 0)
	d.running.Store(1)
	l := &library{clock: func() time.Duration { return 1 << 40 }, ports: []*port{p}}
	l.compare()
	p.called([]float32{1, 2, 3}, nil, 3, 1.5, 2.5, 3.5, 6)
	p.called([]float32{4}, nil, 1, 0, 0, 0, 0)
	all := listen(p, l.offset)
	if len(all) != 2 {
		t.Fatalf("%d calls", len(all))
	}
	c := all[0]
	if c.ADC != 1500*time.Millisecond || c.Now != 2500*time.Millisecond || c.DAC != 3500*time.Millisecond || c.flags != 6 || c.Frames != 3 {
		t.Errorf("%+v", c)
	}
	// The clock of the test stands still, so a call begins later by what has passed.
	if late := c.Begun - 1<<40; late < 0 || late > time.Minute || c.Took <= 0 || all[1].Begun < c.Begun {
		t.Errorf("begun %v after the clocks were compared, took %v; the next one began at %v", late, c.Took, all[1].Begun)
	}
	if !slices.Equal(c.samples, []float32{1, 2, 3}) || !slices.Equal(all[1].samples, []float32{4}) {
		t.Errorf("%v and %v", c.samples, all[1].samples)
	}
	if again := listen(p, 0); len(again) != 0 {
		t.Errorf("%d come twice", len(again))
	}
}

// What nobody fetches in time is left out, and told: frames and flags.
func TestFullQueue(t *testing.T) {
	p, d := newDeck(t, most, 1, 0)
	d.running.Store(1)
	in := make([]float32, most)
	p.called(in, nil, most, 0, 0, 0, 0)
	kept := 1
	for ; kept < 10_000; kept++ {
		if n := int(p.c.committed); n < kept {
			break
		}
		p.called(in, nil, most, 0, 0, 0, 0)
	}
	p.called(in, nil, most, 0, 0, 0, 2)
	all := listen(p, 0)
	p.called(in, nil, most, 0, 0, 0, 4)
	next := listen(p, 0)
	if len(all) < 400 || len(next) != 1 {
		t.Fatalf("%d calls are kept, then %d", len(all), len(next))
	}
	lost := int64(kept + 1 - len(all))
	if next[0].Skipped != lost*most || next[0].flags != 6 {
		t.Errorf("%d frames skipped and flags %d, want %d and 6", next[0].Skipped, next[0].flags, lost*most)
	}
}

// Earphones of their own play what was made for them some calls before.
func TestEarphonesPlayWhatIsMade(t *testing.T) {
	var missing atomic.Int64
	p, err := newEarphones(most, &missing)
	if err != nil {
		t.Fatal(err)
	}
	p.sides(0, 2)
	out := make([]float32, 2*most)
	made := float32(0)
	for call := range 100 {
		p.called(nil, out, most, 0, 0, 0, 0)
		want := max(0, float32(call-aheadCalls+1))
		if out[0] != want || out[2*most-1] != -want {
			t.Fatalf("call %d plays %v and %v, want %v", call, out[0], out[2*most-1], want)
		}
		p.poll(func(_, out []float32, channels int, c engine.Call, _ uint32) {
			if channels != 2 || len(out) != 2*most || c.Ahead != aheadCalls*most || c.Played {
				t.Fatalf("%d channels, %d samples, %+v", channels, len(out), c)
			}
			made++
			for i := 0; i < len(out); i += 2 {
				out[i], out[i+1] = made, -made
			}
		}, 0)
	}
	if missing.Load() != 0 {
		t.Errorf("%d missing", missing.Load())
	}
	for range aheadCalls + 1 {
		p.called(nil, out, most, 0, 0, 0, 0)
	}
	if missing.Load() != most {
		t.Errorf("%d missing where nothing was made, want %d", missing.Load(), most)
	}
}

// turn makes a call of the library and passes it on.
func turn(t testing.TB) func() {
	p, d := newDeck(t, 512, 1, 2)
	d.running.Store(1)
	in, out := make([]float32, 512), make([]float32, 1024)
	l := &library{
		clock: func() time.Duration { return 0 }, ports: []*port{p},
		process: func([]float32, []float32, int, engine.Call, uint32) {},
	}
	return func() {
		p.called(in, out, 512, 1, 2, 3, 0)
		l.Poll()
	}
}

func TestCallbackAllocatesNothing(t *testing.T) {
	if n := testing.AllocsPerRun(1000, turn(t)); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkCallbackInC(b *testing.B) {
	call := turn(b)
	b.ReportAllocs()
	for b.Loop() {
		call()
	}
}
