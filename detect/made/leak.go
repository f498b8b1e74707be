package made

import (
	"math"
	"math/rand/v2"
)

// Leak is a way of what is played back into the microphone: a loudspeaker or an
// earbud, a room, and the microphone's own place in it.
type Leak struct {
	Seed   uint64  // of the room's echoes
	Delay  float64 // from playing to the first sound in the microphone, s
	DB     float64 // power of the leak against the steps, both in the Window after their starts, dB
	Room   float64 // reverberation time to -60 dB, s; 0: none
	RoomDB float64 // power of the room's echoes against the direct sound, dB
	LowHz  float64 // nothing below it gets through; 0: everything does
	HighHz float64 // and nothing above it; 0: everything does
}

// Into adds to w what leaks of played, whose sounds begin at starts, s, and
// returns it. The steps have the given level as in Spec.Level; 0 is -30.
func (l Leak) Into(w Walk, played []float32, starts []float64, level float64) Walk {
	if level == 0 {
		level = -30
	}
	heard := l.through(played, w.Rate)
	by := amplitude(level+l.DB) / math.Sqrt(windowPower(heard, starts, l.Delay, w.Rate))
	sum := make([]float32, len(w.Samples))
	for i, v := range w.Samples {
		sum[i] = v + float32(by*heard[i])
	}
	w.Samples, w.Played = sum, played
	return w
}

// windowPower is the mean square in the windows that begin delay after starts.
func windowPower(x, starts []float64, delay, rate float64) float64 {
	var sum float64
	n := 0
	for _, t := range starts {
		from := int((t + delay) * rate)
		if to := from + int(Window*rate); to <= len(x) {
			sum += power(x[from:to])
			n++
		}
	}
	return sum / float64(max(n, 1))
}

// through is played as it arrives, at full level.
func (l Leak) through(played []float32, rate float64) []float64 {
	var sounding []int // most of what is played is silence
	for i, v := range played {
		if v != 0 {
			sounding = append(sounding, i)
		}
	}
	y := make([]float64, len(played))
	for i, h := range l.response(rate) {
		if h == 0 {
			continue
		}
		for _, k := range sounding {
			if i+k < len(y) {
				y[i+k] += h * float64(played[k])
			}
		}
	}
	if l.LowHz > 0 {
		highPass(y, rate, l.LowHz)
	}
	if l.HighHz > 0 {
		lowPass(y, rate, l.HighHz)
	}
	return y
}

// response is the direct sound and 2000 echoes a second, at random times and
// of random sign, that die away.
func (l Leak) response(rate float64) []float64 {
	first := int(math.Round(l.Delay * rate))
	h := make([]float64, first+1+int(l.Room*rate))
	h[first] = 1
	if l.Room == 0 {
		return h
	}
	rng := rand.New(rand.NewPCG(l.Seed, 40))
	echoes := h[first+1:]
	for range int(2000 * l.Room) {
		i := rng.IntN(len(echoes))
		echoes[i] += rng.NormFloat64() * math.Pow(10, -3*float64(i)/float64(len(echoes)))
	}
	scale(echoes, amplitude(l.RoomDB)/math.Sqrt(power(echoes)*float64(len(echoes))))
	return h
}

// ClickTrack is a beat as it is played: a click at each of the times, s, of two
// kinds in turn, woodblock-like.
func ClickTrack(times []float64, rate, duration float64) []float32 {
	x := make([]float64, int(duration*rate))
	for i, t := range times {
		hz := []float64{1050, 1575}[i%2]
		from := int(math.Round(t * rate))
		for k := range int(0.020 * rate) {
			s := float64(k) / rate
			if from+k >= 0 && from+k < len(x) {
				soft := min(1, s/0.0005, (0.020-s)/0.008)
				x[from+k] += 0.3 * soft * math.Exp(-s/0.008) *
					(math.Sin(2*math.Pi*hz*s) + 0.8*math.Sin(2*math.Pi*1.83*hz*s))
			}
		}
	}
	return toFloat32(x)
}

// SpokenTrack is one person's words as they are played, a syllable at each of
// the times, s.
func SpokenTrack(seed uint64, times []float64, rate, duration float64) []float32 {
	x := make([]float64, int(duration*rate))
	rng := stream(seed, 41)
	v := newVoice(rng, rate)
	for _, t := range times {
		n := int((0.12 + 0.16*rng.Float64()) * rate)
		from := min(int(t*rate), len(x))
		v.syllable(x[from:min(from+n, len(x))], n)
	}
	var peak float64
	for _, s := range x {
		peak = max(peak, math.Abs(s))
	}
	scale(x, 0.3/max(peak, 1e-9))
	return toFloat32(x)
}
