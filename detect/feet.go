package detect

import "math"

const (
	feetSteps   = 8     // steps of a foot whose heights count
	feetLeast   = 3     // so many must have been due
	feetRatio   = 0.085 // of the other's height: a foot 12 dB quieter mostly has 0.2 to 0.4, but 0.1 to 0.2 on leather or gravel
	feetUnheard = 0.1   // height of what was not heard, or left out: that of noise
	feetMissed  = 0.5   // most that counts as not heard, so that a foot which was lost for a while is found again
	feetSame    = 1.25  // ratio of periods that belong to the same rhythm
)

// feet compares the heights of the peaks that two feet make in turn. Where one
// makes next to nothing of what the other makes, it is no foot: the rustle of
// one step, half way to the next one of a slow walk, has been taken for a step.
// A quiet foot is quiet each time, while a rustle is now half as high as a step
// and now lost in noise; so heights are averaged as logs. And a rhythm that
// rests on rustles is given up now and then for one of half the tempo; which
// place belongs to which foot is therefore kept over that.
type feet struct {
	height [2]float64 // running mean of the log heights that were heard
	heard  [2]float64 // how many
	due    [2]float64 // how many were to be heard
	missed [2]float64 // running share of those that were not
	last   int        // whose turn it was
	frame  int        // of that step
	step   float64    // period, frames; 0 before the first step
}

// next takes in a step: its frame, the period it opens, and the height of its
// peak, 0 where none was heard.
func (f *feet) next(frame int, period, z float64) {
	f.follow(period)
	turns := 1
	if f.frame > 0 {
		turns = int(math.Round(float64(frame-f.frame) / f.step))
	}
	switch turns {
	case 0, 1:
		f.last ^= 1
	case 2: // the one between was left out
		f.note(f.last^1, 0)
	default:
		*f = feet{step: period}
		f.last ^= 1
	}
	f.note(f.last, z)
	f.frame = frame
}

// follow goes along with a period that changes. Where it doubles, the feet stay
// what they were; where it halves, all steps so far were those of one foot.
func (f *feet) follow(period float64) {
	near := func(ratio float64) bool { return ratio < feetSame && ratio > 1/feetSame }
	switch {
	case f.step == 0 || near(period/f.step):
		f.step = period
	case near(period / f.step / 2):
	case near(2 * period / f.step):
		f.join()
		f.step = period
	default:
		*f = feet{step: period}
	}
}

// join makes all steps so far those of one foot, which has had nothing beside it.
func (f *feet) join() {
	due := math.Min(f.due[0]+f.due[1], feetSteps)
	one := feet{last: 1, frame: f.frame, due: [2]float64{due, due}}
	if n := f.heard[0] + f.heard[1]; n > 0 {
		one.heard[1] = math.Min(n, feetSteps)
		one.height[1] = (f.heard[0]*f.height[0] + f.heard[1]*f.height[1]) / n
	}
	one.missed[0], one.missed[1] = due/feetSteps, (f.missed[0]+f.missed[1])/2
	*f = one
}

// note takes in the height of a peak of one foot.
func (f *feet) note(foot int, z float64) {
	miss := 1.0
	if z > 0 {
		miss = 0
		f.heard[foot] = math.Min(f.heard[foot]+1, feetSteps)
		f.height[foot] += (math.Log(z) - f.height[foot]) / f.heard[foot]
	}
	f.due[foot] = math.Min(f.due[foot]+1, feetSteps)
	f.missed[foot] += (miss - f.missed[foot]) / feetSteps
}

// level is the mean log height of a foot with what was not heard of it.
func (f *feet) level(foot int) float64 {
	m := math.Min(f.missed[foot], feetMissed)
	return (1-m)*f.height[foot] + m*math.Log(feetUnheard)
}

// none tells whether the last step was none.
func (f *feet) none() bool {
	return f.single() && f.level(f.last) < f.level(f.last^1)
}

// single tells whether only every other step is one.
func (f *feet) single() bool {
	if math.Min(f.heard[0], f.heard[1]) < 1 || math.Min(f.due[0], f.due[1]) < feetLeast {
		return false
	}
	weak := 0
	if f.level(1) < f.level(0) {
		weak = 1
	}
	return f.level(weak)-f.height[weak^1] < math.Log(feetRatio)
}

// again goes back to the first step that was taken in, to see it once more.
func (f *feet) again() { f.last, f.frame, f.step = 0, 0, 0 }
