package coach

import "steadfoot/coach/event"

// voice lets one cue sound at a time.
type voice struct {
	span float64 // room for a cue, s
	free float64 // no cue may start before this, s
}

// open tells whether a cue may start at t.
func (v *voice) open(t float64) bool { return t >= v.free }

// say appends a cue at t, which must be open.
func (v *voice) say(dst []event.Event, t float64, name, reason string) []event.Event {
	v.free = t + v.span
	return append(dst, event.Cue{T: t, Name: name, Reason: reason})
}

// hole is how far apart two rhythm events may be, in s, for what lies between
// them to count as seen. They come every 0.5 s.
const hole = 1.5

// stretch is an unbroken time in which something stayed the same.
type stretch[T comparable] struct {
	what  T
	since float64 // s
	last  float64 // s, when it was last seen
}

// see notes what is the case now.
func (s *stretch[T]) see(now float64, what T) {
	if what != s.what || now-s.last > hole {
		s.what, s.since = what, now
	}
	s.last = now
}

// held returns for how long it has been the case, in s.
func (s *stretch[T]) held() float64 { return s.last - s.since }
