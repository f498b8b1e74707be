package engine

import (
	"math"
	"sync/atomic"
)

// aim says which sample of the session each output frame is for: frame n is for
// place + ratio·(n - frame).
type aim struct {
	frame        int64
	place, ratio float64
}

func (a aim) at(frame int64) float64 { return a.place + a.ratio*float64(frame-a.frame) }

// sharedAim hands the newest aim to the callback. Neither side waits: while it
// is being written the callback keeps the one it has.
type sharedAim struct {
	seq                 atomic.Uint64 // odd while it is being written; 0 is none yet
	frame, place, ratio atomic.Uint64
}

// set is for one goroutine.
func (s *sharedAim) set(a aim) {
	s.seq.Add(1)
	s.frame.Store(uint64(a.frame))
	s.place.Store(math.Float64bits(a.place))
	s.ratio.Store(math.Float64bits(a.ratio))
	s.seq.Add(1)
}

// get puts the newest aim into a and reports whether it could.
func (s *sharedAim) get(a *aim) bool {
	seq := s.seq.Load()
	if seq == 0 || seq%2 != 0 {
		return false
	}
	n := aim{int64(s.frame.Load()), math.Float64frombits(s.place.Load()), math.Float64frombits(s.ratio.Load())}
	if s.seq.Load() != seq {
		return false
	}
	*a = n
	return true
}
