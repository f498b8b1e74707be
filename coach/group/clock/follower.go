package clock

import "math"

const (
	// enough is how many exchanges make group time known.
	enough = stages
	// slewest is by how much group time may run faster or slower than is right,
	// to make up for an error, s/s.
	slewest = 500e-6
	// slewTime is how long making up for a small error takes, s.
	slewTime = 4.0
	// sure is how many exchanges must contradict what was known before they are
	// believed.
	sure = 8
	// lost is the error from which running faster or slower is of no use, s: more
	// than a beat of 120 steps/min, and an hour of slewing makes up 1.8 s. Such an
	// error comes from a machine that slept, and its beat is not the group's.
	lost = 0.5
	// otherHub is how far apart the clocks of two hubs may be that share a group,
	// s, as a standard deviation: what their own exchanges allow. otherRate is how
	// differently they may run, s/s.
	otherHub  = 5e-3
	otherRate = 30e-6
)

// Follower is a member's knowledge of group time. Its mapping never runs back and
// goes on by itself when no exchanges come.
//
// Until Hold it steps to what each exchange makes likelier. From then on it makes
// up for errors by running at most 500 ppm faster or slower than the group's
// clock. It jumps only when eight exchanges say, and none the contrary, that it
// is off by half a second and more, see Add.
//
// The zero Follower knows nothing.
type Follower struct {
	path path
	line line
	now  estimate
	odd  []sample // the latest, where they contradict what is known
	seen int      // exchanges that count
	hold bool
	last float64 // the latest local time of an exchange
}

// Add takes in an exchange, in any order, and tells whether group time jumped.
// One that cannot be is ignored. After a jump, beats that were planned are to be
// planned again; a jump back lets group time run twice.
func (f *Follower) Add(e Exchange) (jumped bool) {
	if !e.possible() {
		return false
	}
	f.last = max(f.last, e.T4)
	if len(f.path) == 0 {
		f.last = e.T4
		f.line.before.driftSD = crystal
	}
	if !f.take(sampleOf(e)) {
		return false
	}
	f.seen++
	f.now = f.line.fit(f.last)
	return f.steer()
}

// take gives the sample to the line and tells whether that has changed.
func (f *Follower) take(s sample) bool {
	n := len(f.odd)
	like := n > 0 && math.Abs(s.off-f.odd[n-1].off) <= s.err+f.odd[n-1].err+f.now.slack()*math.Abs(s.t-f.odd[n-1].t)
	if len(f.line.samples) > 0 {
		k := f.now.at(s.t)
		if s.off+s.err < k.lo || s.off-s.err > k.hi {
			return f.contradicted(s, like)
		}
	}
	if !like { // a slow answer may agree with both
		f.odd = f.odd[:0]
	}
	f.line.add(s)
	return true
}

// contradicted keeps a sample that cannot be right when the others were, with
// those before that are like it. When there are enough of them, the others were
// wrong, or the clock is another one.
func (f *Follower) contradicted(s sample, like bool) bool {
	if !like {
		f.odd = f.odd[:0]
	}
	f.odd = append(f.odd, s)
	if len(f.odd) < sure {
		return false
	}
	f.line.samples = append(f.line.samples[:0], f.odd...)
	f.line.before = held{drift: f.now.drift, driftSD: crystal}
	f.odd = f.odd[:0]
	return true
}

// steer brings the path to the estimate.
func (f *Follower) steer() (jumped bool) {
	right := f.last + f.now.off
	rate := 1 + f.now.drift
	if len(f.path) == 0 || !f.hold {
		f.path = append(f.path[:0], piece{f.last, right, rate})
		return false
	}
	is := f.path.at(f.last)
	miss := right - is
	if math.Abs(miss) > lost {
		if miss < 0 { // times before it were others
			f.path = f.path[:0]
		}
		f.path = f.path.put(piece{f.last, right, rate})
		return true
	}
	slew := min(max(miss/slewTime, -slewest), slewest)
	f.path = f.path.put(piece{f.last, is, rate + slew})
	if slew != 0 {
		lasts := miss / slew
		f.path = f.path.put(piece{f.last + lasts, is + lasts*(rate+slew), rate})
	}
	return false
}

// Hold tells that beats play from now on, so that group time must not step.
func (f *Follower) Hold() { f.hold = true }

// Moved tells that the exchanges to come are with another hub, whose clock may
// differ a little: what is known holds until they say otherwise.
func (f *Follower) Moved() {
	if len(f.path) == 0 {
		return
	}
	f.line.samples, f.odd = f.line.samples[:0], f.odd[:0]
	f.line.before = held{
		t: f.now.t, off: f.now.off, sd: math.Sqrt(f.now.vOff + sq(otherHub)),
		drift: f.now.drift, driftSD: math.Sqrt(f.now.vDrift + sq(otherRate)),
	}
}

// Known tells whether group time is known.
func (f *Follower) Known() bool { return f.seen >= enough }

// Group is the group time at a time of the member's clock, s, and Local the way
// back. Both are for the past as well: as it was then, for the last half minute.
// They give 0 before the first exchange.
func (f *Follower) Group(local float64) float64 {
	if len(f.path) == 0 {
		return 0
	}
	return f.path.at(local)
}

// Local is described at Group.
func (f *Follower) Local(group float64) float64 {
	if len(f.path) == 0 {
		return 0
	}
	return f.path.back(group)
}

// Drift is by how much group time runs faster than the member's clock, s/s.
func (f *Follower) Drift() float64 { return f.now.drift }

// Spread is how far group time may be off.
type Spread struct {
	Bound float64 // at most, s, whatever the paths are like
	Guess float64 // likely, s: two standard deviations, if the ways there and back are alike
}

// Spread tells how far Group may be off at a local time. It grows while no
// exchange comes. It is infinite before the first one.
func (f *Follower) Spread(local float64) Spread {
	if len(f.path) == 0 {
		return Spread{math.Inf(1), math.Inf(1)}
	}
	k := f.now.at(max(local, f.now.t))
	off := f.path.at(k.t) - k.t
	bound := max(k.hi-off, off-k.lo)
	return Spread{Bound: bound, Guess: min(2*math.Sqrt(k.vOff)+math.Abs(off-k.off), bound)}
}
