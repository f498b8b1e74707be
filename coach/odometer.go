package coach

import (
	"steadfoot/detect"
	"steadfoot/profiles"
)

// odometer estimates the way walked: every step counts the athlete's step length
// at the present cadence, times a factor that the laps give. Times are those of
// the session, without its pauses.
type odometer struct {
	curve  profiles.Curve // empty: no step length is known yet
	factor float64        // what the laps make of the curve
	laps   int            // how many were measured

	cadence float64 // the last one, steps/min; 0 when there is none
	until   float64 // the way is accounted for up to here, s
	heard   float64 // when the walker was last surely walking, s
	stepped float64 // time of the last step, s
	began   float64 // when the rhythm of this walk was first seen, s
	still   bool    // seen not walking since the last step
	walking bool    // the last rhythm had a cadence

	sum walked
	// pos is where the walker was when raw metres had been walked by the curve:
	// at the last lap mark.
	pos, raw float64
}

// walked is what adds up since the start.
type walked struct {
	raw     float64 // by the curve alone, m
	steps   float64 // with those that were missing
	missing float64 // steps that nobody told, made up from the cadence
}

// origin is a place and time to measure from.
type origin struct {
	t   float64 // s
	pos float64 // m since the start
	sum walked
}

const (
	// longestBridge is how long the walker is believed to go on unheard, s.
	longestBridge = 60.0
	// overdue is how long the rhythm may go on without steps before they are
	// made up, s: steps of a walk just found are told a second or two late.
	overdue = 3.0
	// hole is how many step times may lie between two steps before some are
	// missing.
	hole = 1.6
)

func newOdometer(c profiles.Curve) odometer {
	return odometer{curve: c, factor: 1, until: -1, still: true}
}

// known tells whether there is a step length to go by.
func (o *odometer) known() bool { return len(o.curve) > 0 }

// length is the step length in m at a cadence in steps/min, 0 when it is not known.
func (o *odometer) length(cadence float64) float64 { return o.curve.Length(cadence) * o.factor }

// cadenceFor is the cadence in steps/min that a pace in s/km takes, 0 when the
// step length is not known. A step that is longer by the factor gives the pace
// at the cadence of a pace that is slower by it.
func (o *odometer) cadenceFor(pace float64) float64 { return o.curve.Cadence(pace * o.factor) }

// position is the way since the start, m.
func (o *odometer) position() float64 {
	return o.pos + o.factor*(o.sum.raw-o.raw)
}

// here is the present place as an origin.
func (o *odometer) here(t float64) origin { return origin{t, o.position(), o.sum} }

// past is the place passed at time t, at most a moment before now: the steps since
// are taken back at the present cadence.
func (o *odometer) past(t, now float64) origin {
	h := o.here(t)
	if now > t && !o.still {
		steps := (now - t) * o.cadence / 60
		raw := steps * o.curve.Length(o.cadence)
		h.sum.steps -= steps
		h.sum.raw -= raw
		h.pos -= o.factor * raw
	}
	return h
}

// earlier is a place that was passed a moment ago, with the steps there.
func (o *odometer) earlier(at spot) origin {
	sum := o.sum
	sum.steps -= max(o.until-at.t, 0) * o.cadence / 60
	return origin{at.t, at.d, sum}
}

// speed is in m/s; 0 when nobody walks or the step length is not known.
func (o *odometer) speed() float64 {
	if o.still {
		return 0
	}
	return o.cadence / 60 * o.length(o.cadence)
}

// step takes in one footfall at time t.
func (o *odometer) step(t float64) {
	since := t - o.until
	if since <= 0 {
		return // that stretch is already accounted for
	}
	if o.cadence > 0 && !o.still && since > hole*60/o.cadence && t-o.heard <= longestBridge {
		o.bridge(t - 60/o.cadence)
	}
	cadence := o.cadence
	if cadence == 0 {
		cadence = min(max(60/since, detect.Slowest), detect.Fastest)
	}
	o.add(1, cadence)
	o.until, o.heard, o.stepped, o.still = t, t, t, false
}

// tick takes in the rhythm at time t. Without walking there is no way; where the
// walker cannot be heard it goes on at the last cadence for a while.
func (o *odometer) tick(t float64, r detect.Rhythm) {
	switch {
	case r.State == detect.NotWalking:
		o.still, o.walking, o.cadence = true, false, 0
	case r.State == detect.Walking && within(r.Cadence, detect.Slowest/2, 2*detect.Fastest):
		o.rhythm(t, r.Cadence)
	case r.State == detect.CannotHear && !o.still && o.cadence > 0 && t-o.heard <= longestBridge && t > o.until:
		o.bridge(t)
	}
}

// rhythm takes in a cadence. A rhythm without steps counts by its cadence.
func (o *odometer) rhythm(t, cadence float64) {
	if !o.walking {
		o.began = t
	}
	o.walking, o.cadence, o.heard = true, cadence, t
	if t-max(o.began, o.stepped) <= overdue {
		return
	}
	if o.still {
		o.until, o.still = max(o.until, o.began), false
	}
	if t > o.until {
		o.bridge(t)
	}
}

// bridge makes steps up at the last cadence, until time t.
func (o *odometer) bridge(t float64) {
	n := (t - o.until) * o.cadence / 60
	o.add(n, o.cadence)
	o.sum.missing += n
	o.until = t
}

func (o *odometer) add(steps, cadence float64) {
	o.sum.steps += steps
	o.sum.raw += steps * o.curve.Length(cadence)
}

// skipTo leaves out what happened until t, as in a pause.
func (o *odometer) skipTo(t float64) {
	o.until, o.heard = max(o.until, t), max(o.heard, t)
}

// Limits of what a lap may make of the step length.
const (
	leastFactor, mostFactor = 0.8, 1.25 // of the athlete's own curve
	leastStep, mostStep     = 0.7, 1.4  // m; elites average 1.08 to 1.23 (Hanley, Bissas and Drake)
)

// measure learns from a distance in m that was walked from one place to another,
// here or passed a moment ago. It returns the mean step length, 0 when too many
// steps were missing to tell.
func (o *odometer) measure(from, to origin, distance float64) float64 {
	steps, missing := to.sum.steps-from.sum.steps, to.sum.missing-from.sum.missing
	estimate := to.pos - from.pos
	length := 0.0
	if steps > 0 && missing <= 0.01*steps {
		length = distance / steps
	}
	switch {
	case length == 0:
	case !o.known():
		if within(length, leastStep, mostStep) {
			o.curve = profiles.Constant(length)
			o.sum.raw += (o.sum.steps - to.sum.steps) * length // those since have counted nothing
			o.laps++
		}
	case estimate > 0:
		o.follow(o.factor * distance / estimate)
	}
	o.pos, o.raw = from.pos+distance, to.sum.raw
	return length
}

// follow moves the factor to what a lap says it is: all the way the first time,
// half of it from then on, since no key is pressed exactly at the line.
func (o *odometer) follow(factor float64) {
	if !within(factor, leastFactor, mostFactor) {
		// The curve is not this walker's of today: scale it, once and for all.
		scaled := make(profiles.Curve, len(o.curve))
		for i, p := range o.curve {
			scaled[i] = profiles.Point{Cadence: p.Cadence, Length: p.Length * factor}
		}
		o.curve, factor, o.factor = scaled, 1, 1
	}
	if o.laps > 0 {
		factor = (o.factor + factor) / 2
	}
	o.factor = factor
	o.laps++
}

// within is false for NaN too.
func within(x, lo, hi float64) bool { return x >= lo && x <= hi }
