package detect

import "math"

const (
	onsetBin    = 0.001 // s, resolution of a step's time
	onsetBefore = 22    // bins of background in front of a candidate
	onsetAfter  = 9     // bins of sound behind it
	onsetFirst  = -0.050
	onsetLast   = -0.006 // s, candidates relative to the end of the peak's window
	onsetFloor  = 1e-5   // of a band's power in the segment: 50 dB is as sharp as it gets
)

// onsetHz are the middles of the bands, two octaves or so wide, in which the
// start of a step is timed.
var onsetHz = [...]float64{300, 1000, 2800, 6500}

// onset finds when a step's sound begins, to a millisecond. A 20 ms window
// cannot tell that, and where its evidence peaks depends on the noise. So around
// a step the samples are looked at again: in a few bands, the instant is taken
// that best splits background from sound, by the likelihood ratio of two
// exponential powers against one, summed over the bands. A band in which the
// step drowns has little to say and is not heard.
type onset struct {
	per   int          // samples a bin
	bands [][5]float64 // biquads, b0 b1 b2 a1 a2
	power [][]float64
}

func newOnset(rate float64) *onset {
	o := &onset{per: max(1, int(math.Round(rate*onsetBin)))}
	bin := float64(o.per) / rate
	n := onsetBefore + onsetAfter + int(math.Ceil((onsetLast-onsetFirst)/bin)) + 1
	for _, hz := range onsetHz {
		if hz < 0.4*rate {
			o.bands = append(o.bands, bandPass(hz/rate, 0.8))
			o.power = append(o.power, make([]float64, n))
		}
	}
	return o
}

// bandPass is a second-order band-pass of unit gain at relative frequency f,
// from R. Bristow-Johnson's "Cookbook formulae for audio EQ biquad filters".
func bandPass(f, q float64) [5]float64 {
	w := 2 * math.Pi * f
	alpha := math.Sin(w) / (2 * q)
	a0 := 1 + alpha
	return [5]float64{alpha / a0, 0, -alpha / a0, -2 * math.Cos(w) / a0, (1 - alpha) / a0}
}

// span is how many samples refine wants, and where in them the window of the
// evidence's peak ends.
func (o *onset) span() (samples, end int) {
	samples = o.per * len(o.power[0])
	first := onsetFirst / onsetBin
	return samples, o.per * (onsetBefore - int(first))
}

// refine returns the sample of x at which the sound begins; x is span samples.
func (o *onset) refine(x []float32) int {
	for b, c := range o.bands {
		filterPower(o.power[b], x, o.per, c)
	}
	best, at := math.Inf(-1), onsetBefore
	for c := onsetBefore; c+onsetAfter <= len(o.power[0]); c++ {
		var sum float64
		for _, p := range o.power {
			sum += split(p, c)
		}
		if sum > best {
			best, at = sum, c
		}
	}
	return at * o.per
}

// split is the log likelihood gained by a rise at bin c.
func split(p []float64, c int) float64 {
	m1 := mean(p[c-onsetBefore : c])
	m2 := mean(p[c : c+onsetAfter])
	if m2 <= m1 {
		return 0
	}
	const n1, n2 = onsetBefore, onsetAfter
	m := (n1*m1 + n2*m2) / (n1 + n2)
	return (n1+n2)*math.Log(m) - n1*math.Log(m1) - n2*math.Log(m2)
}

func mean(x []float64) float64 {
	var s float64
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}

// filterPower runs a biquad over x and puts the mean power of each run of per
// samples into dst, none less than onsetFloor of the largest.
func filterPower(dst []float64, x []float32, per int, c [5]float64) {
	var x1, x2, y1, y2 float64
	most := quietest
	for i := range dst {
		var sum float64
		for _, v := range x[i*per : (i+1)*per] {
			x0 := float64(v)
			y := c[0]*x0 + c[1]*x1 + c[2]*x2 - c[3]*y1 - c[4]*y2
			x1, x2, y1, y2 = x0, x1, y, y1
			sum += y * y
		}
		dst[i] = sum / float64(per)
		most = math.Max(most, dst[i])
	}
	for i, v := range dst {
		dst[i] = math.Max(v, onsetFloor*most)
	}
}
