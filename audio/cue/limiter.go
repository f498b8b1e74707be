package cue

import "math"

// LookAhead is how far the mix runs ahead of the output, in samples (5 ms): what
// is played with less notice comes too late.
const LookAhead = 2*smooth - 2

const (
	ceilingMax  = 0.89125        // -1 dBFS, rounded down
	smooth      = 121            // length of each of two gain averages, samples
	window      = LookAhead + 1  // samples that one peak holds the gain down
	unity       = int64(1) << 40 // gain 1 in fixed point
	slowRelease = 12             // release time constant 2^12 samples, 85 ms
	fastRelease = 7              // 2^7 samples, 3 ms: a pulse of a voice at a time
)

// limiter keeps every sample within the ceiling by turning the gain down ahead
// of a peak, over LookAhead samples (5 ms), so that it never bends a waveform
// as clipping does.
//
//	needed gain ─▶ lowest in window ─▶ slow release ─▶ average ─▶ average ─▶ × ─▶ out
//	in ───────────────────────── delay of LookAhead ─────────────────────────┘
//
// At a peak all values under both averages come from windows that contain it, so
// the averaged gain is at most what the peak needs. Gains are integers: running
// sums are exact for ever, and at rest the gain is exactly 1. The channels share
// one gain, so a side does not wander.
//
// It bounds samples. The analogue wave between them (true peak) may be higher:
// by at most 1/cos(π·f/rate) for a tone at f, 0.2 dB at 3.1 kHz, the highest
// strong partial of clicks and tones, 0.6 dB at 5.6 kHz, the hiss of an s.
type limiter struct {
	ceiling float64
	release uint // time constant of the release, as a power of 2 samples
	delay   [LookAhead][2]float64
	at      int // oldest frame of delay
	low     lowest
	held    int64
	a, b    average
	rest    int // samples since the gain was last below 1, up to window
}

func newLimiter(ceiling float64, release uint) *limiter {
	l := &limiter{ceiling: ceiling, release: release, held: unity}
	l.a.fill(unity)
	l.b.fill(unity)
	return l
}

// next takes the next frame and gives the one LookAhead samples before it,
// limited, with the gain it was given. A sample that is no number becomes 0.
func (l *limiter) next(x [2]float64) (out [2]float64, gain float64) {
	size := max(math.Abs(x[0]), math.Abs(x[1]))
	if !(size <= math.MaxFloat64) {
		x, size = [2]float64{}, 0
	}
	out = l.delay[l.at]
	l.delay[l.at] = x
	if l.at++; l.at == LookAhead {
		l.at = 0
	}
	if l.atRest() && size <= l.ceiling {
		return out, 1
	}
	gain = l.turn(size)
	return [2]float64{out[0] * gain, out[1] * gain}, gain
}

// atRest tells that the gain is 1 and stays so until a sample passes the ceiling.
func (l *limiter) atRest() bool { return l.rest == window }

// turn advances the gain by one sample of the given size.
func (l *limiter) turn(size float64) float64 {
	need := unity
	if size > l.ceiling {
		need = int64(l.ceiling / size * float64(unity))
	}
	l.held = min(l.low.push(need), l.held+(unity-l.held)>>l.release+1)
	g := l.b.push(l.a.push(l.held))
	if l.held == unity {
		l.rest = min(l.rest+1, window) // then both averages and the window hold nothing but unity
	} else {
		l.rest = 0
	}
	return float64(g) / float64(unity)
}

// average is a running mean, rounded down.
type average struct {
	ring [smooth]int64
	at   int
	sum  int64
}

func (a *average) fill(v int64) {
	for i := range a.ring {
		a.ring[i] = v
	}
	a.sum = v * smooth
}

func (a *average) push(v int64) int64 {
	a.sum += v - a.ring[a.at]
	a.ring[a.at] = v
	if a.at++; a.at == smooth {
		a.at = 0
	}
	return a.sum / smooth
}

// lowest is the minimum of the last window values. It keeps only those that can
// still become the minimum, in rising order from first on.
type lowest struct {
	value       [window]int64
	when        [window]int64
	first, size int
	now         int64
}

func (w *lowest) push(v int64) int64 {
	if w.size > 0 && w.when[w.first] <= w.now-window {
		w.first = (w.first + 1) % window
		w.size--
	}
	for w.size > 0 && w.value[(w.first+w.size-1)%window] >= v {
		w.size--
	}
	last := (w.first + w.size) % window
	w.value[last], w.when[last] = v, w.now
	w.size++
	w.now++
	return w.value[w.first]
}
