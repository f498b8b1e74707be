// Package trial holds the walks on which the detector is measured, and
// measures it on them. The tests of detect and the eval command share it.
package trial

import (
	"fmt"
	"math"

	"steadfoot/detect/made"
	"steadfoot/detect/score"
	"steadfoot/testdata/footsteps"
)

// Case is one walk, or one stretch in which nobody walks.
type Case struct {
	Group   string // cases of one group are judged together
	Name    string
	Spec    made.Spec
	Changes []float64 // when its cadence jumps, s
	Joined  float64   // when another walker comes as close, s; 0: nobody does
}

// Walk makes the walk of the case, and the truth about it.
func (c Case) Walk() (made.Walk, Truth) {
	w := c.Spec.Walk()
	t := Of(w)
	t.Changes, t.Joined = c.Changes, c.Joined
	return w, t
}

// SNR is the power of the steps against the noise of the case, dB: +Inf without
// noise, NaN where no such number says how hard it is, as with other walkers.
func (c Case) SNR() float64 {
	switch n := c.Spec.Noises; {
	case c.Spec.Cadence == nil:
		return math.NaN()
	case len(n) == 0:
		return math.Inf(1)
	case len(n) > 1 || n[0].Kind == made.Crowd || n[0].Kind == made.Drums || n[0].Kind == made.Sewing:
		return math.NaN()
	default:
		return n[0].SNR
	}
}

// Outcome is how well a detector did on some recordings.
type Outcome struct {
	Seconds  float64
	At50     score.Result // pairs within 50 ms
	At25     score.Result // pairs within 25 ms
	Cadence  score.Tempo  // mean over windows of 10 s, from the steps
	Readings score.Tempo  // the cadence reported while walking, against the last 5 s
	OwnSteps score.Tempo  // the cadence reported, against the truth over the steps it was taken from
	Strayed  score.Values // 1 - F at 50 ms from when another walker came as close
	Swaps    int          // times left and right changed their names
	Worst    float64      // F at 50 ms of the worst recording
	When     When         // how soon things were told
}

// Truth is what is known about a recording.
type Truth struct {
	Seconds float64   // its length
	Times   []float64 // of the steps, s
	Sides   []uint8   // of the steps; nil when they are not known
	Changes []float64 // when the cadence jumps, s
	Joined  float64   // when another walker comes as close, s; 0: nobody does
}

// Of returns the truth about a made walk.
func Of(w made.Walk) Truth {
	t := Truth{Seconds: float64(len(w.Samples)) / w.Rate, Times: w.Times()}
	for _, s := range w.Steps {
		t.Sides = append(t.Sides, uint8(s.Side))
	}
	return t
}

// Window is the length over which cadences are compared, s.
const Window = 10

// saidSpan is the length that a reported cadence is compared with, s: what it is
// taken over and what passes until it is said.
const saidSpan = 5

// Judge compares what was heard with the truth.
func Judge(h Heard, truth Truth) Outcome {
	o := Outcome{
		Seconds:  truth.Seconds,
		At50:     score.Match(h.Times, truth.Times, 0.050),
		At25:     score.Match(h.Times, truth.Times, 0.025),
		Cadence:  score.Windows(h.Times, truth.Times, Window),
		Readings: score.Readings(h.Readings, truth.Times, saidSpan),
		OwnSteps: score.SameSteps(h.Readings, truth.Times, window),
	}
	if truth.Joined > 0 {
		o.Strayed.Note(1-score.Match(after(h.Times, truth.Joined), after(truth.Times, truth.Joined), window).F(), true)
	}
	if truth.Sides != nil {
		o.Swaps = score.Swaps(h.Times, truth.Times, h.Sides, truth.Sides, 0.050)
	}
	o.Worst = o.At50.F()
	o.When = judgeWhen(h, truth)
	return o
}

// Add joins the outcome on other recordings to o.
func (o *Outcome) Add(p Outcome) {
	if o.Seconds == 0 {
		*o = p
		return
	}
	o.Seconds += p.Seconds
	o.At50.Add(p.At50)
	o.At25.Add(p.At25)
	o.Cadence.Add(p.Cadence)
	o.Readings.Add(p.Readings)
	o.OwnSteps.Add(p.OwnSteps)
	o.Strayed.Add(p.Strayed)
	o.Swaps += p.Swaps
	o.Worst = min(o.Worst, p.Worst)
	o.When.Add(p.When)
}

// FalsePerMinute is how many steps were invented a minute.
func (o Outcome) FalsePerMinute() float64 { return float64(o.At50.FP) / max(o.Seconds/60, 1e-9) }

// Surfaces to walk on. A sharp one is at its loudest within some 20 ms of the
// first contact, if only for the first time; a soft one swells for 50 ms or
// more, so that where the step starts is a matter of definition.
var (
	sharp = []string{"gravel", "hard", "wood", "stone", "cloth", "leather", "metal", "ice"}
	soft  = []string{"grass", "sand", "snow", "dirt"}
)

// surface returns the i-th of the named surfaces, starting again after the last.
func surface(names []string, i int) *made.Surface { return footsteps.Surface(names[i%len(names)]) }

// walker is an ordinary walk for case i: jitter of 1 to 3 %, independent or
// partly or mostly long-range, unevenness up to 6 % in time and 1.5 dB in
// loudness, all different from case to case.
func walker(i int, cadence made.Curve) made.Spec {
	return made.Spec{
		Seed:     uint64(1000 + i),
		Duration: 30,
		Gait: made.Gait{
			Cadence: cadence, JitterCV: 1 + float64(i%3), LongRange: []float64{0.3, 0, 0.8, 0.3}[i%4],
			Unevenness: []float64{-2, 0, 4, -6, 1}[i%5], Start: 0.7,
		},
		Surface:      surface(sharp, i),
		LevelJitter:  1.5,
		LevelBetween: float64(i%4) - 1.5,
	}
}

func numbered(group string, i int, s made.Spec) Case {
	name := "made"
	if s.Surface != nil {
		name = s.Surface.Name
	}
	return Case{Group: group, Name: fmt.Sprintf("%s %d %s", group, i, name), Spec: s}
}
