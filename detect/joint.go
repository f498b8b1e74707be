package detect

import (
	"fmt"
	"math"
)

const (
	waitMostS = 0.8 // a frame of sound waits so long for what is felt of it
	silentS   = 1.5 // and not at all for a sensor that has sent no row for so long
	aheadS    = 5.0 // rows may come so long before their sound
	feltRival = 0.5 // weight of a sensor's tempo: it needs no lag to be known
	feltLeast = 1.5 // what is felt makes a step at least so much likelier where it tells one
)

// joint brings what is felt to what is heard. What is felt of a step is known a
// third of a second after it, so frames of the sound wait for it.
type joint struct {
	felt *felt
	lags *lags
	step float64 // s, a frame of sound

	waiting []waiting // ring
	head, n int
	done    int     // frames given to the tracker
	learned int     // bumps that were learned from
	row     float64 // time of the last row, s
	rows    bool    // there was one
}

// waiting is a frame of sound that waits.
type waiting struct {
	evidence float64
	hears    bool
}

// touch is what a sensor says of a frame of sound.
type touch struct {
	ratio float64 // likelihood ratio of a step there; 1: nothing
	trust float64 // what the sound counts beside it, 0 to 1
	peak  bool    // a step is felt just there
	reach int     // frames within which it is, on each side
	rival float64 // what a walk of another period keeps of its probability, a step
	every float64 // period of the steps that are felt, s
}

// untouched is the touch of a sensor that says nothing.
var untouched = touch{ratio: 1, trust: 1, rival: 1}

func newJoint(step float64) *joint {
	return &joint{
		felt: newFelt(), lags: newLags(step), step: step,
		waiting: make([]waiting, int(waitMostS/step)+1),
	}
}

// Feel takes a row of an accelerometer that is worn while the sound is heard:
// the acceleration x, y, z at time t, in s since the start of the sound, gravity
// included, in any unit. SoundConfig.Felt must have been set. A row that is not
// later than the one before, lies more than five seconds ahead of the sound or
// holds no finite numbers is an error and is left out; so is one that comes
// after its time was given up, 0.8 s. Where no rows come, or the sensor lies
// still, steps are found by ear alone.
func (s *Sound) Feel(t, x, y, z float64) error {
	j := s.joint
	if j == nil {
		return fmt.Errorf("row at %g s: no sensor was announced", t)
	}
	if now := float64(s.pos) / s.rate; t > now+aheadS {
		return fmt.Errorf("row at %g s lies %.0f s ahead of the sound", t, t-now)
	}
	if err := j.felt.feed(t, x, y, z); err != nil {
		return err
	}
	j.row, j.rows = t, true
	return nil
}

// push has a frame wait.
func (j *joint) push(w waiting) {
	j.waiting[(j.head+j.n)%len(j.waiting)] = w
	j.n++
}

// pop gives the frame that has waited longest, when it need wait no longer; now
// is the time of the sound, s.
func (j *joint) pop(now float64) (w waiting, ok bool) {
	if j.n == 0 {
		return w, false
	}
	if !j.silent(now) && j.n < len(j.waiting) && j.felt.known() < j.contact(j.done)+j.lags.most {
		return w, false
	}
	w = j.waiting[j.head]
	j.head = (j.head + 1) % len(j.waiting)
	j.n--
	return w, true
}

// silent tells that no row has come lately.
func (j *joint) silent(now float64) bool { return !j.rows || now-j.row > silentS }

// delay is how long the next frame has waited, s.
func (j *joint) delay() float64 { return float64(j.n) * j.step }

// contact is the time of first contact of a step that the filter has at frame n.
func (j *joint) contact(n int) float64 { return float64(n+1)*j.step - bridgeLagS }

// touch is what is felt of the next frame that the tracker takes.
func (j *joint) touch() touch {
	f, t := j.felt, j.contact(j.done)
	j.done++
	at := t + j.lags.lag(j.lags.best)
	s := f.at(at)
	if s.weight == 0 {
		return untouched
	}
	var near float64
	peak := false
	for i := f.count - 1; i >= max(0, f.count-feltPeaks); i-- {
		b := f.bumps[i%feltPeaks]
		if b < t+lagLeastS-1 {
			break
		}
		if b > t+j.lags.most { // it was not waited for
			continue
		}
		near += j.lags.near(b - t)
		peak = peak || b-at >= -j.step/2 && b-at < j.step/2
	}
	// Where the sound tells of a walk, it need not be told twice.
	gain := math.Pow(s.gain, 1-j.lags.trust)
	r := feltMissed + (1-feltMissed)*gain*s.period*near
	if r < 1 { // a step must not be ruled out by a lag that is not known
		r = 1 - j.lags.known*(1-r)
	}
	return touch{
		ratio: 1 - s.weight + s.weight*min(r, s.most),
		trust: 1 - s.weight*(1-j.lags.trust),
		peak:  peak, reach: j.lags.reach,
		rival: 1 - feltRival*s.weight, every: s.period,
	}
}

// hear takes what the sound alone said of that frame, and learns from the bumps
// all of whose frames have been heard.
func (j *joint) hear(ratio float64) {
	j.lags.hear(ratio)
	f := j.felt
	j.learned = max(j.learned, f.count-feltPeaks)
	for ; j.learned < f.count; j.learned++ {
		b := f.bumps[j.learned%feltPeaks]
		at := (b+bridgeLagS)/j.step - 1 // frame at which a step of lag 0 lies
		if at-lagLeastS/j.step+float64(len(j.lags.match[1])) > float64(j.lags.n) {
			return
		}
		j.lags.learn(at, f.at(b).weight)
	}
}
