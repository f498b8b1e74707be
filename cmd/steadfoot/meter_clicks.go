package main

import (
	"math"
	"sync"

	"steadfoot/audio"
)

// clickSink notes where the clicks are in what goes to the device.
type clickSink struct {
	audio.Sink
	mu   sync.Mutex
	find clickFinder
}

func (s *clickSink) Write(frames []audio.Frame) error {
	s.mu.Lock()
	for _, f := range frames {
		s.find.hear(float64(f[0]+f[1]) / 2)
	}
	s.mu.Unlock()
	return s.Sink.Write(frames)
}

// take returns the clicks that have come since it was called before.
func (s *clickSink) take() []int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	at := s.find.at
	s.find.at = nil
	return at
}

// clickFinder notes where sound starts after a moment of silence: the sample that
// first has half the height of what follows.
type clickFinder struct {
	at    []int64
	n     int64
	quiet int       // samples of silence up to now
	head  []float64 // of the sound that has begun
}

const (
	clickFloor = 0.003           // is silence
	clickCalm  = audio.Rate / 50 // silence before a click
	clickHead  = audio.Rate / 50 // where its peak is
)

func (f *clickFinder) hear(v float64) {
	v = math.Abs(v)
	f.n++
	if len(f.head) == 0 {
		if v < clickFloor {
			f.quiet++
			return
		}
		calm := f.quiet >= clickCalm
		f.quiet = 0
		if !calm {
			return
		}
	}
	if f.head = append(f.head, v); len(f.head) < clickHead {
		return
	}
	peak := 0.0
	for _, x := range f.head {
		peak = max(peak, x)
	}
	for i, x := range f.head {
		if x >= peak/2 {
			f.at = append(f.at, f.n-int64(len(f.head)-i))
			break
		}
	}
	f.head = f.head[:0]
}
