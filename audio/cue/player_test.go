package cue

import (
	"errors"
	"fmt"
	"math"
	"math/big"
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
	const start = audio.Rate / 2
	for _, bpm := range []int64{190, 200, 202} {
		t.Run(fmt.Sprint(bpm), func(t *testing.T) {
			t.Parallel()
			exact := func(k int64) int64 { return start + (2*k*60*audio.Rate+bpm)/(2*bpm) }
			findBeats(t, 60*bpm, exact, func(k int64) float64 { return 0.5 + float64(k)*60/float64(bpm) })
			drift := (60*bpm - 1) * (60 * audio.Rate / bpm)
			if bpm == 202 && exact(60*bpm-1)-start-drift < 5100 {
				t.Error("the reference does not tell an exact period from a rounded one")
			}
		})
	}
}

// An hour of beats whose tempo changes at every 50th, up and down by up to 1 %,
// as pieces of a beat map have it: each within one sample of the exact sum of all
// periods before it.
func TestAnHourOfTempoChanges(t *testing.T) {
	t.Parallel()
	const piece, pieces = 50, 240
	tempo := func(i int64) int64 { return 18800 + 37*(i*i%53) } // hundredths of a beat a minute
	starts, exact := []float64{0.5}, []*big.Rat{big.NewRat(1, 2)}
	for i := range int64(pieces) {
		starts = append(starts, starts[i]+piece*(6000/float64(tempo(i))))
		exact = append(exact, new(big.Rat).Add(exact[i], big.NewRat(piece*6000, tempo(i))))
	}
	findBeats(t, piece*pieces, func(k int64) int64 {
		at := new(big.Rat).Add(exact[k/piece], big.NewRat(k%piece*6000, tempo(k/piece)))
		samples, _ := at.Mul(at, big.NewRat(audio.Rate, 1)).Float64()
		return int64(math.Round(samples))
	}, func(k int64) float64 { return starts[k/piece] + float64(k%piece)*(6000/float64(tempo(k/piece))) })
	if hour := starts[pieces]; hour < 3500 {
		t.Errorf("this took %.0f s only", hour)
	}
}

// findBeats plays clicks at the times of at, s, and wants each click within a
// sample of exact.
func findBeats(t *testing.T, beats int64, exact func(k int64) int64, at func(k int64) float64) {
	p := newPlayer(t, Options{Volume: 1})
	half := [2]float64{peakOf(bank()[ClickLeft].frames()) / 2, peakOf(bank()[ClickRight].frames()) / 2}

	// Each piece is searched with 256 frames of its neighbours on both sides:
	// coarsely for anything at a quarter of a click, then finely for the onset.
	const piece, edge, coarse = 4800, 256, 8
	buf := make([]audio.Frame, piece+2*edge)
	next, found, deaf := int64(0), int64(0), int64(0)
	for end := exact(beats-1) + audio.Rate; p.Pos() < end; {
		for ; next < beats; next++ {
			n := int64(math.Round(at(next) * audio.Rate))
			if n > p.Pos()+audio.Rate {
				break
			}
			mustPlay(t, p, Sound(next%2), n)
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
				t.Fatalf("beat %d is %d samples off", found, d)
			}
			found++
			deaf = here + 2000 // a click is over after 960
		}
	}
	if found != beats {
		t.Errorf("found %d of %d beats", found, beats)
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
	said := []*Clip{speech().cues[Quicken], speech().cues[Lost], speech().last[9]}
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
				if i%16 == 1 {
					if err := p.PlayClip(said[r.IntN(len(said))], at+audio.Rate/2); err != nil {
						t.Fatal(err)
					}
					continue
				}
				mustPlay(t, p, Sound(r.IntN(int(Countdown))), at)
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
			return 10 * math.Log10(floats.Sum(powerOf(f)))
		}
		if got := power(left) - power(right); math.Abs(got-db) > 0.05 {
			t.Errorf("accent %g dB: measured %.2f", db, got)
		}
	}
}

// PlayClick keeps a click's pitch and side and changes its level alone.
func TestPlayClick(t *testing.T) {
	sound := func(s Sound, db float64) []audio.Frame {
		p := newPlayer(t, Options{Volume: 1})
		if err := p.PlayClick(s, 1000, db); err != nil {
			t.Fatal(err)
		}
		if n := p.CancelAfter(1000); n != 1 {
			t.Error("a click of PlayClick is no beat")
		}
		if err := p.PlayClick(s, 1000, db); err != nil {
			t.Fatal(err)
		}
		return render(p, 3000)
	}
	for _, s := range []Sound{ClickLeft, ClickRight} {
		plain := sound(s, 0)
		for _, db := range []float64{-40, -6, 3, 6} {
			gain := float32(math.Pow(10, db/20))
			for i, f := range sound(s, db) {
				want := audio.Frame{plain[i][0] * gain, plain[i][1] * gain}
				if size(audio.Frame{f[0] - want[0], f[1] - want[1]}) > 1e-6 {
					t.Fatalf("%v at %+g dB: frame %d is %v, want %v", s, db, i, f, want)
				}
			}
		}
	}
	p := newPlayer(t, Options{Volume: 1})
	for _, db := range []float64{math.NaN(), 13, -91} {
		if err := p.PlayClick(ClickLeft, 1000, db); err == nil {
			t.Errorf("a gain of %g dB was taken", db)
		}
	}
	if err := p.PlayClick(sounds, 1000, 0); err == nil {
		t.Error("an unknown sound was taken")
	}
}

// A clip sounds with its onset at the sample asked for, at its own level.
func TestPlayClip(t *testing.T) {
	for _, c := range []*Clip{bank()[Quicken], speech().cues[Lost], speech().last[4]} {
		p := newPlayer(t, Options{Volume: 1})
		if err := p.PlayClip(c, p.EarliestClip(c)-1); !errors.Is(err, ErrLate) {
			t.Errorf("one sample too early: %v", err)
		}
		const at = audio.Rate
		if err := p.PlayClip(c, at); err != nil {
			t.Fatal(err)
		}
		out := render(p, at+len(c.mono))
		for i, want := range c.Frames() {
			if out[at-c.onset+i] != want {
				t.Fatalf("frame %d is %v, want %v", i, out[at-c.onset+i], want)
			}
		}
	}
}

// TestCancelClip: of the clips at a place those that wait are taken back, clicks are
// not, nor is what sounds already.
func TestCancelClip(t *testing.T) {
	p := newPlayer(t, Options{Volume: 1})
	v, _, err := NewVoice(Tones, "")
	if err != nil {
		t.Fatal(err)
	}
	clip, _ := v.Clip("settled", 0, "")
	for _, at := range []int64{20000, 60000} {
		if err := p.PlayClip(clip, at); err != nil {
			t.Fatal(err)
		}
	}
	mustPlay(t, p, ClickLeft, 60000)
	render(p, 20000)
	if n := p.CancelClip(20000) + p.CancelClip(59999); n != 0 {
		t.Errorf("%d taken back of those that sound or are not there", n)
	}
	if n := p.CancelClip(60000); n != 1 {
		t.Errorf("%d taken back, want 1", n)
	}
	if n := p.CancelAfter(0); n != 1 {
		t.Errorf("%d clicks are left, want 1", n)
	}
}

func TestStopCues(t *testing.T) {
	p := newPlayer(t, Options{Volume: 1})
	c := bank()[Hold] // 0.64 s
	for _, at := range []int64{2000, 60000} {
		if err := p.PlayClip(c, at); err != nil {
			t.Fatal(err)
		}
	}
	mustPlay(t, p, ClickLeft, 30000)
	render(p, 10000)
	p.StopCues()
	out := render(p, 100000)
	loud := func(from, to int) bool { // output samples
		return slices.ContainsFunc(out[from-10000:to-10000], func(f audio.Frame) bool { return size(f) > 0 })
	}
	if !loud(10000, 10300) || loud(10000+LookAhead+960, 29000) || !loud(30000, 30500) || loud(31500, 110000) {
		t.Error("want the cue to fall silent, the click, and no second cue")
	}
	for i := 1; i < 1500; i++ {
		if d := math.Abs(float64(out[i][0] - out[i-1][0])); d > 0.1 {
			t.Fatalf("frame %d jumps by %g", i, d)
		}
	}
	for i := range p.slots {
		if p.slots[i].st != nil {
			t.Errorf("slot %d is still taken", i)
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
