package coach

import "steadfoot/coach/event"

// adviser watches one thing and may have a cue to give.
type adviser interface {
	// due returns the name of the cue that is due, "" when none is.
	due(now float64) string
	// say returns the cue that is due, with its reason; it counts as said.
	say(now float64) event.Cue
}

// tickHole is how far apart two rhythm events may be, in s, for what lies between
// them to count as seen. They come every 0.5 s.
const tickHole = 1.5

// stretch is an unbroken time in which something stayed the same.
type stretch[T comparable] struct {
	what  T
	since float64 // s
	last  float64 // s, when it was last seen
}

// see notes what is the case now.
func (s *stretch[T]) see(now float64, what T) {
	if what != s.what || now-s.last > tickHole {
		s.what, s.since = what, now
	}
	s.last = now
}

// held returns for how long it has been the case, in s.
func (s *stretch[T]) held() float64 { return s.last - s.since }
