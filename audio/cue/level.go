package cue

import "math"

const (
	// roomPeak is the greatest sample of any clip, 6.02 dB under the highest
	// ceiling: a click and a cue that coincide just reach it, so the limiter
	// leaves the beat alone while a cue sounds. The last digits are for float32.
	roomPeak = 0.5 * ceilingMax * (1 - 1e-6)

	// CueLoudness is the loudness of every cue at volume 1, in LKFS by
	// [Loudness]. It is what speech reaches under roomPeak with its peaks
	// turned down by a few dB; the tones could be some 3 LU louder.
	CueLoudness = -15.0

	mostLimited = 20.0 // dB that level turns peaks down at most
	nearEnough  = 0.05 // LU that level leaves
)

// level brings a mono sound for both ears to CueLoudness. Peaks above roomPeak
// are turned down ahead of time by a limiter like the one that guards the output,
// but quick to let go; they are never clipped. short is by how many LU the result
// stays quieter, because the sound is hardly more than a few peaks. Silence stays
// silence.
func level(mono []float64) (levelled []float64, short float64) {
	out := append([]float64(nil), mono...)
	now := bothEars(out)
	if math.IsInf(now, -1) {
		return out, math.Inf(1)
	}
	gain := CueLoudness - now // dB
	limit := mostLimited + 20*math.Log10(roomPeak/peak(mono))
	missing, slope := 0.0, 1.0 // slope is what 1 LU more takes in gain
	for range 20 {
		gain = min(gain, limit)
		copy(out, mono)
		scale(out, math.Pow(10, gain/20))
		tame(out)
		was := missing
		missing = CueLoudness - bothEars(out)
		if math.Abs(missing) < nearEnough || gain == limit && missing > 0 {
			break
		}
		if was > missing {
			slope = max(1, min(slope*was/(was-missing), 8))
		}
		gain += slope * missing
	}
	return out, missing
}

// tame limits mono in place to roomPeak.
func tame(mono []float64) {
	if peak(mono) <= roomPeak {
		return
	}
	l := newLimiter(roomPeak, fastRelease)
	for i := range len(mono) + LookAhead {
		x := 0.0
		if i < len(mono) {
			x = mono[i]
		}
		if y, _ := l.next([2]float64{x, x}); i >= LookAhead {
			mono[i-LookAhead] = y[0]
		}
	}
}

func scale(x []float64, gain float64) {
	for i := range x {
		x[i] *= gain
	}
}
