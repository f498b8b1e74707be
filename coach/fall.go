package coach

import (
	"fmt"
	"math"

	"steadfoot/coach/event"
)

// fallEvery is the time between two cadences that count, s. The cadence is a
// mean over 4 s, so those nearer to each other would be the same one twice.
const fallEvery = 4.0

// fallMost is how many cadences are kept.
const fallMost = 32

// fallSure is how many of its standard errors a slope must be away from 0. With
// some twenty cadences, chance alone comes that far on one side about twice in
// a thousand tries.
const fallSure = 3.2

// fall notices when the cadence sinks little by little, though it is still in
// the band.
type fall struct {
	policy Policy
	watch  *watch
	t, y   [fallMost]float64 // s, and steps/min away from the target; the newest last
	n      int
	next   float64 // nothing is said before this, s
}

// forget drops what was seen: it was walked for another target.
func (f *fall) forget() { f.n = 0 }

// see takes in what the watch has seen.
func (f *fall) see(now float64) {
	if f.policy.Falling == 0 {
		return
	}
	if f.watch.place.what != InBand {
		f.n = 0
		return
	}
	if f.n > 0 && now < f.t[f.n-1]+fallEvery {
		return
	}
	drop := 0
	for drop < f.n && (f.t[drop] < now-f.policy.Falling || f.n-drop == fallMost) {
		drop++
	}
	copy(f.t[:], f.t[drop:f.n])
	copy(f.y[:], f.y[drop:f.n])
	f.n -= drop
	f.t[f.n], f.y[f.n] = now, f.watch.cadence()-f.watch.goal.cadence
	f.n++
}

// due implements adviser.
func (f *fall) due(now float64) string {
	if now < f.next || now < f.watch.spoke+f.policy.MinGap || !f.sinks() {
		return ""
	}
	return event.CueFade
}

// sinks tells whether the cadence has been sinking for long enough.
func (f *fall) sinks() bool {
	if f.n < 4 || f.t[f.n-1]-f.t[0] < f.policy.Falling-fallEvery {
		return false
	}
	slope, sd := f.line()
	return slope*(f.t[f.n-1]-f.t[0]) <= -f.policy.FallBy && slope <= -fallSure*sd
}

// Fading tells whether the cadence is sinking little by little, though it is still
// in the band.
func (c *Coach) Fading() bool { return c.fall.sinks() }

// say implements adviser.
func (f *fall) say(now float64) event.Cue {
	slope, _ := f.line()
	over := f.t[f.n-1] - f.t[0]
	f.next = now + f.policy.FallGap
	f.n = 0
	return event.Cue{Name: event.CueFade, Reason: fmt.Sprintf("%.1f steps/min, %.1f fewer in %.0f s, though still in the band", f.watch.cadence(), -slope*over, over)}
}

// line is the slope of the straight line of least squares in steps/min per
// second, and its standard error.
func (f *fall) line() (slope, sd float64) {
	n := float64(f.n)
	var mt, my float64
	for i := range f.n {
		mt += f.t[i] / n
		my += f.y[i] / n
	}
	var tt, ty float64
	for i := range f.n {
		tt += (f.t[i] - mt) * (f.t[i] - mt)
		ty += (f.t[i] - mt) * (f.y[i] - my)
	}
	slope = ty / tt
	var rest float64
	for i := range f.n {
		d := f.y[i] - my - slope*(f.t[i]-mt)
		rest += d * d
	}
	return slope, math.Sqrt(rest / (n - 2) / tt)
}
