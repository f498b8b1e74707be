package cue

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/faiface/beep"
	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/floats"

	"steadfoot/audio"
)

// Beats of an hour, rendered and found again: each within one sample of
// start + k·60·48000/bpm, computed here in whole numbers. At 202/min the period
// is 14257.425743 samples; rounding it first would be 107.5 ms off after an hour
// (arithmetic; 12 120 beats).
func TestAnHourOfBeats(t *testing.T) {
	for _, bpm := range []int64{190, 200, 202} {
		t.Run(fmt.Sprint(bpm), func(t *testing.T) {
			t.Parallel()
			hourOfBeats(t, bpm)
		})
	}
}

func hourOfBeats(t *testing.T, bpm int64) {
	const start = audio.Rate / 2
	beats := 60 * bpm
	exact := func(k int64) int64 { return start + (2*k*60*audio.Rate+bpm)/(2*bpm) }
	p := newPlayer(t, Options{Volume: 1})
	half := [2]float64{peak(bank()[ClickLeft].frames) / 2, peak(bank()[ClickRight].frames) / 2}

	// Each piece is searched with 256 frames of its neighbours on both sides:
	// coarsely for anything at a quarter of a click, then finely for the onset.
	const piece, edge, coarse = 4800, 256, 8
	buf := make([]audio.Frame, piece+2*edge)
	next, found, deaf := int64(0), int64(0), int64(0)
	for p.Pos() < exact(beats-1)+audio.Rate {
		for ; next < beats; next++ {
			at := start + int64(math.Round(float64(next)*60*audio.Rate/float64(bpm)))
			if at > p.Pos()+audio.Rate {
				break
			}
			mustPlay(t, p, Sound(next%2), at)
		}
		copy(buf, buf[piece:])
		p.Render(buf[2*edge:])
		from := p.Pos() - int64(len(buf))
		for i := edge; i < edge+piece; i += coarse {
			limit := half[found%2] * (1 - 1e-6)
			if from+int64(i) < deaf || size(buf[i]) < limit/2 {
				continue
			}
			near := buf[i-edge : i+edge]
			here := from + int64(i-edge+slices.IndexFunc(near, func(f audio.Frame) bool { return size(f) >= limit }))
			if d := here - exact(found); d < -1 || d > 1 {
				t.Fatalf("beat %d of %d/min is %d samples off", found, bpm, d)
			}
			found++
			deaf = here + 2000 // a click is over after 960
		}
	}
	if found != beats {
		t.Errorf("%d/min: found %d of %d beats", bpm, found, beats)
	}
	drift := (beats - 1) * (60 * audio.Rate / bpm)
	if bpm == 202 && exact(beats-1)-start-drift < 5100 {
		t.Error("the reference does not tell an exact period from a rounded one")
	}
}

func TestOnsetOfEverySound(t *testing.T) {
	for _, s := range All() {
		x := heard(t, s, 0)
		if s == ClickRight {
			x = heard(t, s, 1)
		}
		most := 0.0
		for _, v := range x {
			most = max(most, math.Abs(v))
		}
		i := slices.IndexFunc(x, func(v float64) bool { return math.Abs(v) >= most/2*(1-1e-6) })
		if i < audio.Rate-1 || i > audio.Rate+1 {
			t.Errorf("%v: onset at %d, asked for %d", s, i, audio.Rate)
		}
		if ms := float64(bank()[s].onset) / 48; ms > 10 {
			t.Errorf("%v: starts %.1f ms before its onset, which is heard as early", s, ms)
		}
	}
}

// script plays a fixed mixture and renders it in pieces of the given sizes.
func script(t *testing.T, pieces func() int) []audio.Frame {
	p := newPlayer(t, Options{Volume: 0.9})
	for i := range int64(20) {
		mustPlay(t, p, Sound(i%int64(sounds)), 300+i*1777)
	}
	var out []audio.Frame
	for len(out) < audio.Rate {
		out = append(out, render(p, min(pieces(), audio.Rate-len(out)))...)
	}
	if err := p.SetVolume(0.2); err != nil {
		t.Fatal(err)
	}
	mustPlay(t, p, End, p.Earliest(End))
	for len(out) < 2*audio.Rate {
		out = append(out, render(p, min(pieces(), 2*audio.Rate-len(out)))...)
	}
	return out
}

func TestPiecesDoNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	want := script(t, func() int { return audio.Rate })
	got := script(t, func() int { return 1 + r.IntN(700) })
	if !slices.Equal(got, want) {
		t.Error("the samples depend on how many are asked for at a time")
	}
}

// However much sounds at once, no sample passes -1 dBFS, or the cap.
func TestNothingPassesTheCap(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, limit := range []float64{0, -1, -12} {
		p := newPlayer(t, Options{Volume: 1, Cap: limit})
		ceiling := math.Pow(10, min(-1, limit)/20)
		for range 6 {
			for i := range Voices {
				at := p.Pos() + 1000 + r.Int64N(9600)
				if i%16 == 0 { // a square wave far over full scale
					high := beep.StreamerFunc(func(f [][2]float64) (int, bool) {
						for k := range f {
							f[k] = [2]float64{math.Copysign(5, float64(k%100-50)), -5}
						}
						return len(f), true
					})
					if err := p.PlayStreamer(beep.Take(9000, high), at); err != nil {
						t.Fatal(err)
					}
					continue
				}
				mustPlay(t, p, Sound(r.IntN(int(sounds))), at)
			}
			for i, f := range render(p, 2*audio.Rate) {
				if float64(max(f[0], f[1], -f[0], -f[1])) > ceiling {
					t.Fatalf("cap %g: frame %d is %v", limit, i, f)
				}
			}
		}
		if p.LimitedDB() < 20 || p.PeakDBFS() < min(-1, limit)-0.5 {
			t.Errorf("cap %g: limited by %.1f dB, peak %.2f dBFS: this tried nothing", limit, p.LimitedDB(), p.PeakDBFS())
		}
	}
}

// A click and a cue together leave the limiter at rest at full volume, so the
// beat is the same under a cue.
func TestBeatAndCueFitTogether(t *testing.T) {
	for _, s := range All()[Start:] {
		for shift := int64(0); shift < 400; shift += 7 {
			p := newPlayer(t, Options{Volume: 1})
			mustPlay(t, p, s, 2000)
			mustPlay(t, p, ClickLeft, 1900+shift)
			render(p, 5000)
			if p.LimitedDB() != 0 {
				t.Fatalf("%v: limited by %.2f dB", s, p.LimitedDB())
			}
		}
	}
}

// The limiter bounds samples; the wave between them may be higher. With all
// built-in sounds at once, eight times oversampled, it stays within 0.3 dB.
func TestTruePeak(t *testing.T) {
	const over = 8
	p := newPlayer(t, Options{Volume: 1})
	for i := range int64(54) {
		mustPlay(t, p, Sound(i%int64(sounds)), 12000+i*31)
	}
	x := make([]float64, audio.Rate)
	for i, f := range render(p, len(x)) {
		x[i] = float64(f[0])
	}
	wide := make([]complex128, over*len(x)/2+1)
	copy(wide, fourier.NewFFT(len(x)).Coefficients(nil, x))
	most := floats.Norm(fourier.NewFFT(over*len(x)).Sequence(nil, wide), math.Inf(1)) / float64(len(x))
	truePeak := 20 * math.Log10(most)
	t.Logf("sample peak %.2f dBFS, true peak %.2f dBTP, limited by %.1f dB", p.PeakDBFS(), truePeak, p.LimitedDB())
	if p.LimitedDB() < 6 || truePeak < p.PeakDBFS()-0.5 || truePeak > -0.7 {
		t.Errorf("true peak %.2f dBTP, sample peak %.2f dBFS, limited by %.1f dB", truePeak, p.PeakDBFS(), p.LimitedDB())
	}
}

func TestLateAndFull(t *testing.T) {
	p := newPlayer(t, Options{Volume: 1})
	if err := p.Play(Quicken, 0); !errors.Is(err, ErrLate) {
		t.Errorf("an onset with no room before it: %v", err)
	}
	render(p, 1000)
	for _, s := range All() {
		if err := p.Play(s, p.Earliest(s)-1); !errors.Is(err, ErrLate) {
			t.Errorf("%v one sample too early: %v", s, err)
		}
		if d := p.Earliest(s) - p.Pos(); d < 0 || d > audio.Rate*15/1000 {
			t.Errorf("%v needs %d samples of notice", s, d)
		}
		mustPlay(t, p, s, p.Earliest(s))
	}
	for range Voices - len(All()) {
		mustPlay(t, p, ClickLeft, 90000)
	}
	if err := p.Play(Settled, 90000); !errors.Is(err, ErrFull) {
		t.Errorf("voice %d: %v", Voices+1, err)
	}
	if err := p.PlayStreamer(beep.Silence(1), 90000); !errors.Is(err, ErrFull) {
		t.Errorf("streamer %d: %v", Voices+1, err)
	}
	if want := 3 + len(All()); p.Dropped() != want {
		t.Errorf("%d counted as dropped, want %d", p.Dropped(), want)
	}
	if err := p.Play(sounds, 90000); err == nil {
		t.Error("an unknown sound was taken")
	}
}

func TestCancelAfter(t *testing.T) {
	p := newPlayer(t, Options{Volume: 1})
	for k := range int64(6) {
		mustPlay(t, p, Sound(k%2), 10000*(k+1))
	}
	mustPlay(t, p, Settled, 55000)
	render(p, 10000-LookAhead) // the click at 10000 has begun to be mixed
	if n := p.CancelAfter(30000); n != 4 {
		t.Errorf("cancelled %d clicks from the third on, want 4", n)
	}
	mustPlay(t, p, ClickRight, 30500)
	if n := p.CancelAfter(0); n != 2 {
		t.Errorf("cancelled %d clicks that had not begun, want 2", n)
	}
	out := render(p, audio.Rate*2)
	sounds := func(from, to int) bool { // output samples
		shift := 10000 - LookAhead
		return slices.ContainsFunc(out[from-shift:to-shift], func(f audio.Frame) bool { return size(f) > 0 })
	}
	if !sounds(10000, 11000) || sounds(11000, 54000) || !sounds(55000, 56000) {
		t.Error("want the begun click, then silence, then the cue")
	}
}

func TestVolume(t *testing.T) {
	level := func(v float64) float64 {
		p := newPlayer(t, Options{Volume: v})
		mustPlay(t, p, Start, 1000)
		render(p, audio.Rate)
		return p.PeakDBFS()
	}
	if got := level(1) - level(DefaultVolume); math.Abs(got-15) > 0.01 {
		t.Errorf("the default is %.2f dB under the loudest, want 15", got)
	}
	if got := level(0); !math.IsInf(got, -1) {
		t.Errorf("volume 0 gives %.1f dBFS", got)
	}
	capped := newPlayer(t, Options{Volume: 1, Cap: -12})
	mustPlay(t, capped, ClickLeft, 1000)
	render(capped, audio.Rate)
	if got := capped.PeakDBFS(); math.Abs(got+18.02) > 0.01 || capped.LimitedDB() != 0 {
		t.Errorf("the loudest click under a cap of -12 peaks at %.2f dBFS, want -18.02", got)
	}

	p := newPlayer(t, Options{Volume: 1})
	if err := p.PlayStreamer(constant(0.5), 0); err != nil {
		t.Fatal(err)
	}
	out := render(p, 1000)
	if err := p.SetVolume(0); err != nil {
		t.Fatal(err)
	}
	out = append(out, render(p, 2000)...)
	for i := 1; i < len(out); i++ {
		if d := math.Abs(float64(out[i][0] - out[i-1][0])); d > 0.001 && i > 1 {
			t.Fatalf("frame %d jumps by %g", i, d)
		}
	}
	if out[0][0] != 0.5 || out[len(out)-1][0] != 0 {
		t.Errorf("from %g to %g, want 0.5 to 0", out[0][0], out[len(out)-1][0])
	}
}

func TestAccent(t *testing.T) {
	for _, db := range []float64{6, -4, 0} {
		p := newPlayer(t, Options{Volume: 1, Accent: db})
		mustPlay(t, p, ClickLeft, 1000)
		left := render(p, 3000)
		mustPlay(t, p, ClickRight, 4000)
		right := render(p, 3000)
		power := func(out []audio.Frame) float64 {
			f := make([][2]float64, len(out))
			for i := range out {
				f[i] = [2]float64{float64(out[i][0]), float64(out[i][1])}
			}
			return 10 * math.Log10(energy(f))
		}
		if got := power(left) - power(right); math.Abs(got-db) > 0.05 {
			t.Errorf("accent %g dB: measured %.2f", db, got)
		}
	}
}

func TestBadOptions(t *testing.T) {
	nan := math.NaN()
	for _, o := range []Options{
		{Volume: -0.1}, {Volume: 1.1}, {Volume: nan},
		{Cap: 1}, {Cap: -0.5}, {Cap: -50}, {Cap: nan},
		{Accent: 13}, {Accent: nan},
	} {
		if _, err := NewPlayer(o); err == nil {
			t.Errorf("%+v was taken", o)
		}
	}
	p := newPlayer(t, Options{})
	if err := p.SetVolume(2); err == nil {
		t.Error("volume 2 was taken")
	}
}
