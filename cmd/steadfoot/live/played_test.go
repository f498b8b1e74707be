package live

import (
	"context"
	"io"
	"math"
	"slices"
	"testing"

	"steadfoot/audio"
	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/detect/score"
	"steadfoot/testdata/footsteps"
)

// loop is a device whose earphones are heard by its microphone: sample i of the
// input holds what was written for sample i-late, through a wall's echo as well.
// At sample hole it loses some.
type loop struct {
	walk   []float32
	gain   float32
	late   int
	out    []audio.Frame
	pos    int
	hole   int
	lost   int
	buf    []float32
	missed int // samples that were not written in time
}

func (l *loop) Rate() int    { return audio.Rate }
func (l *loop) Close() error { return nil }

// Write implements audio.Sink.
func (l *loop) Write(f []audio.Frame) error {
	l.out = append(l.out, f...)
	return nil
}

func (l *loop) Read(b *audio.Block) error {
	*b = audio.Block{}
	if l.hole > 0 && l.pos >= l.hole {
		b.Lost, l.hole = int64(l.lost), 0
		l.pos += l.lost
	}
	b.Index = int64(l.pos)
	l.buf = l.buf[:0]
	for len(l.buf) < 512 && l.pos < len(l.walk) {
		if l.pos >= len(l.out) {
			l.missed++
		}
		l.buf = append(l.buf, l.walk[l.pos]+l.gain*(l.at(l.pos-l.late)+0.4*l.at(l.pos-l.late-630)))
		l.pos++
	}
	b.Samples = l.buf
	if len(l.buf) == 0 {
		return io.EOF
	}
	return nil
}

func (l *loop) at(i int) float32 {
	if i < 0 || i >= len(l.out) {
		return 0
	}
	return l.out[i][0] + l.out[i][1]
}

// TestOwnSoundIsNoStep: a walk is coached through a device whose earphones are
// louder in its microphone than the steps are, and the walker's cadence is 8
// below the beat. Without knowing what is played the beat is taken for a walker.
func TestOwnSoundIsNoStep(t *testing.T) {
	walk := made.Spec{
		Seed: 3, Duration: 40,
		Gait:    made.Gait{Cadence: made.Steady(184), JitterCV: 1.5, Start: 1},
		Surface: footsteps.Surface("gravel"),
		Noises:  []made.Noise{{Kind: made.Wind, SNR: 12}},
	}.Walk()
	run := func(told bool, hole int) (f float64, l *loop, w *Walk) {
		l = &loop{walk: walk.Samples, gain: 4, late: 6200, hole: hole, lost: audio.Rate / 2}
		w, log := newWalk(t, &tape{}, &spool{})
		ear, err := NewSoundEar(l, detect.Left)
		if err != nil {
			t.Fatal(err)
		}
		w.Ear, w.Sink = ear, l
		if told {
			w.Played = ear.Played
		}
		if err := w.Run(context.Background()); err != nil {
			t.Fatal(err)
		}
		var found []float64
		for _, e := range *log {
			if s, ok := e.(event.Step); ok {
				found = append(found, s.T)
			}
		}
		return score.Match(found, walk.Times(), 0.050).F(), l, w
	}
	f, l, w := run(true, 0)
	if f < 0.99 {
		t.Errorf("F at ±50 ms = %.3f with clicks in the microphone, want 0.99", f)
	}
	if l.missed > 0 || len(l.out) < 40*audio.Rate {
		t.Errorf("%d frames written, %d too late", len(l.out), l.missed)
	}
	leak, ok := w.Ear.(*SoundEar).Leak()
	if late := float64(l.late) / audio.Rate; !ok || math.Abs(leak.Delay-late) > 0.002 {
		t.Errorf("found a leak %v after %.4f s, want %.4f s", ok, leak.Delay, late)
	}
	if !slices.ContainsFunc(l.out, func(f audio.Frame) bool { return f[0] != 0 }) {
		t.Error("nothing was played")
	}
	if f, _, _ := run(false, 0); f > 0.9 {
		t.Errorf("F = %.3f without telling what is played: nothing is proven", f)
	}
	// Half a second is lost on the way: the two clocks stay together.
	if f, _, _ := run(true, 20*audio.Rate); f < 0.97 {
		t.Errorf("F at ±50 ms = %.3f with a hole of 0.5 s, want 0.97", f)
	}
}

// TestPlayedAtAnotherRate: what is played, at 48 kHz, comes to the ear at the
// rate of its input, sample for sample.
func TestPlayedAtAnotherRate(t *testing.T) {
	p := newPool(16000)
	var got []float32
	n := 0
	for range 100 {
		for range 480 {
			p.in.samples = append(p.in.samples, float32(math.Sin(2*math.Pi*500*float64(n)/audio.Rate)))
			n++
		}
		for p.next() {
			got = append(got, p.block.Samples...)
		}
	}
	if len(got) < 16000*8/10 {
		t.Fatalf("%d samples of one second", len(got))
	}
	for i, v := range got {
		if want := math.Sin(2 * math.Pi * 500 * float64(i) / 16000); i > 10 && math.Abs(float64(v)-want) > 0.01 {
			t.Fatalf("sample %d is %.4f, want %.4f", i, v, want)
		}
	}
}
