package timebase

import (
	"math"
	"time"
)

const (
	group   = 1.0    // seconds of stream that give one point: the least delay in them
	young   = 0.2    // and for the first points, as a rate unknown soon leads astray
	youth   = 10     // points
	window  = 100    // points the line is laid through
	prior   = 150e-6 // standard deviation of a crystal's rate that nothing is known of
	leastSD = 10e-6  // seconds; no arrival is known better
	firstSD = 100e-6 // of a point, in seconds, while there are too few to tell
	enough  = 4      // points that tell their own spread
)

// point is the least delay of a group: x is the place on the sample clock, d
// how much later than nominal it came; both in seconds since the first pair.
type point struct{ x, d float64 }

// Line learns how a sample clock runs against a monotonic clock, from pairs of
// a sample's index and the time at which it came. What comes late is told from
// what is slow by the least delay of each second; a line is laid through the
// last 100 of these, above which points count less. The zero value is not of
// use; see [NewLine]. It is for one goroutine at a time.
type Line struct {
	rate  float64 // nominal, in Hz
	begun bool
	index int64         // of the first pair
	at    time.Duration // of the first pair
	last  int64         // index of the last pair

	points  [window]point // a ring
	count   int           // points ever put in since the last gap
	now     point         // least of the group in progress
	open    float64       // where the group in progress began
	some    bool          // the group in progress has a pair
	outside []point       // points away from the line, one after the other

	slope0, sd0 float64 // what is known of the slope without the points

	// The fit: the delay is a + b(x - xr), seconds, with its covariances.
	xr, a, b          float64
	noise             float64
	varA, covAB, varB float64
	slopeSD           float64 // of b, whatever the noise is like
	known             bool    // there is a fit
}

// NewLine returns a line for a clock of the given nominal rate in Hz.
func NewLine(rate float64) *Line {
	return &Line{rate: rate, sd0: prior, outside: make([]point, 0, stepUp)}
}

// Add takes that the sample of that index came at that time. A time may be
// late by any amount, but must rarely be early. Index must not go back. It
// allocates nothing and reports whether the line has moved.
func (l *Line) Add(index int64, t time.Duration) bool {
	if !l.begun {
		l.begun, l.index, l.at = true, index, t
	}
	l.last = index
	p := point{float64(index-l.index) / l.rate, 0}
	p.d = (t - l.at).Seconds() - p.x
	moved := false
	if span := p.x - l.open; l.some && (span >= group || l.count < youth && span >= young) {
		l.close()
		moved = true
	}
	if !l.some {
		l.some, l.open, l.now = true, p.x, p
	} else if p.d-l.b*p.x < l.now.d-l.b*l.now.x {
		l.now = p
	} else {
		return moved
	}
	if l.count == 0 { // better than nothing for the first second
		l.fit(l.now)
		return true
	}
	return moved
}

// close ends the group in progress.
func (l *Line) close() {
	p := l.now
	l.some = false
	if l.place(p) {
		l.fit()
	}
}

func (l *Line) push(p point) {
	l.points[l.count%window] = p
	l.count++
}

// held is how many points there are; they are points[:held] in some order.
func (l *Line) held() int { return min(l.count, window) }

// Gap tells that samples were lost, or time, between the last pair and the
// next one: the index may stand for another time from now on. The rate stays.
func (l *Line) Gap() {
	if l.known {
		l.slope0, l.sd0 = l.b, min(prior, l.slopeSD+1e-6)
	}
	l.forget()
}

// Restart tells that the next pair may be of another device: nothing is known
// of its rate.
func (l *Line) Restart() {
	l.slope0, l.sd0 = 0, prior
	l.forget()
}

func (l *Line) forget() {
	l.count, l.some, l.outside = 0, false, l.outside[:0]
}

// Last is the index of the last pair.
func (l *Line) Last() int64 { return l.last }

// Known says whether there has been a pair.
func (l *Line) Known() bool { return l.known }

// Time is when the sample at that place of the clock came or will come, at the
// earliest; index may lie between samples and beyond what has come.
func (l *Line) Time(index float64) time.Duration {
	return time.Duration(math.Round(1e9 * l.seconds(index)))
}

// seconds is Time in seconds.
func (l *Line) seconds(index float64) float64 {
	x := (index - float64(l.index)) / l.rate
	return l.at.Seconds() + x + l.delay(x)
}

// Index is the place of the clock that is due at a time: the inverse of Time.
func (l *Line) Index(t time.Duration) float64 {
	y := (t - l.at).Seconds()
	return float64(l.index) + l.rate*l.inverse(y)
}

func (l *Line) delay(x float64) float64 { return l.a + l.b*(x-l.xr) }

func (l *Line) inverse(y float64) float64 { return (y - l.a + l.b*l.xr) / (1 + l.b) }

// PPM is how much faster than nominal the clock runs against the monotonic
// one, in millionths, and the standard error of that.
func (l *Line) PPM() (ppm, sd float64) {
	if !l.known {
		return 0, 1e6 * prior
	}
	return 1e6 * (1/(1+l.b) - 1), 1e6 * l.slopeSD
}

// SD is the standard error of Time at that index, in seconds, without the
// constant by which even the earliest arrivals are late.
func (l *Line) SD(index float64) float64 {
	if !l.known {
		return math.Inf(1)
	}
	u := (index-float64(l.index))/l.rate - l.xr
	return math.Sqrt(max(0, l.varA+2*u*l.covAB+u*u*l.varB))
}
