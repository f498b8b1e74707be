package detect

import "math"

const (
	obstacleFrameS = 0.050  // s over which levels are taken
	obstacleMeanS  = 1.5    // s, memory of the means
	loudFrames     = 40     // of a stretch, 2 s
	gustFalls      = 2.0    // dB a second
	nothing        = -140.0 // dB, of silence
)

// soundLevel measures what obstacles are judged by, frame by frame.
type soundLevel struct {
	rate   float64
	frame  int // samples
	rumble [2]biquad
	middle biquad
	hiss   biquad

	last  float32
	equal float64 // samples in a row that are the same

	n    int // samples in the present frame
	sums [3]float64
	cut  int // of them at full scale

	any     bool
	frames  [3]float64 // levels of the last frame, dB re full scale
	mean    [3]float64 // and their means
	gust    float64    // highest low level of late, dB re full scale
	loud    [2]float64 // highest middle level of this stretch and the one before, dB re full scale
	since   int        // frames since this stretch began
	flutter float64    // mean change of the low level from one frame to the next, dB
	share   float64    // mean share of samples at full scale
}

// The bands of soundLevel.
const (
	bandLow    = iota // 30 to 200 Hz, where wind is
	bandMiddle        // above 150 Hz, where steps are
	bandHigh          // above 1 kHz, where wind is not
)

// fullScale is what is taken for a peak that is cut off: the highest value of
// 16-bit sound, or all but it.
const fullScale = 0.999

func newSoundLevel(rate float64) soundLevel {
	return soundLevel{
		rate: rate, frame: int(rate * obstacleFrameS),
		rumble: [2]biquad{lowPass(rate, 200), highPass(rate, 30)},
		middle: highPass(rate, 150), hiss: highPass(rate, 1000),
	}
}

// feed takes samples until a frame is full, and tells how many it took.
func (l *soundLevel) feed(samples []float32) (taken int, full bool) {
	taken = min(len(samples), l.frame-l.n)
	for _, v := range samples[:taken] {
		if v-v != 0 { // NaN or infinite
			v = 0
		}
		if v == l.last {
			l.equal++
		} else {
			l.equal, l.last = 1, v
		}
		if v >= fullScale || v <= -fullScale {
			l.cut++
		}
		x := float64(v) + hush
		y := l.rumble[1].next(l.rumble[0].next(x))
		l.sums[bandLow] += y * y
		y = l.middle.next(x)
		l.sums[bandMiddle] += y * y
		y = l.hiss.next(x)
		l.sums[bandHigh] += y * y
	}
	if l.n += taken; l.n < l.frame {
		return taken, false
	}
	l.close()
	return taken, true
}

// close takes a full frame into the means.
func (l *soundLevel) close() {
	const new = obstacleFrameS / obstacleMeanS
	n := float64(l.frame)
	before := l.frames
	for b, sum := range l.sums {
		l.frames[b] = decibels(sum / n)
	}
	if !l.any {
		l.any, l.mean, before = true, l.frames, l.frames
		l.gust, l.loud = l.frames[bandLow], [2]float64{l.frames[bandMiddle], l.frames[bandMiddle]}
	}
	if l.since++; l.since > loudFrames {
		l.since, l.loud = 1, [2]float64{l.frames[bandMiddle], l.loud[0]}
	}
	l.loud[0] = max(l.loud[0], l.frames[bandMiddle])
	l.gust = max(l.frames[bandLow], l.gust-gustFalls*obstacleFrameS)
	for b, dB := range l.frames {
		l.mean[b] += new * (dB - l.mean[b])
	}
	l.flutter += new * (math.Abs(l.frames[bandLow]-before[bandLow]) - l.flutter)
	l.share += new * (float64(l.cut)/n - l.share)
	l.n, l.cut, l.sums = 0, 0, [3]float64{}
}

func decibels(power float64) float64 {
	return max(nothing, 10*math.Log10(power+1e-30))
}
