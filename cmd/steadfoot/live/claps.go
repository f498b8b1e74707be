package live

import (
	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/detect/claps"
)

// HearClaps has two claps of the hands make a lap mark. It fails when the sound
// has too few samples a second for it.
func (s *SoundEar) HearClaps() (err error) {
	if s.claps, err = claps.New(s.det.HearRate()); err != nil {
		return err
	}
	s.doubles = make([]claps.Double, 0, 4)
	s.det.Overhear(func(hop []float64, heard bool) {
		if !heard {
			s.claps.Skip(int64(len(hop)))
			return
		}
		s.doubles = s.claps.Feed(s.doubles, hop)
	})
	return nil
}

// feed hears the rest of the block, or what of it goes up to two claps, so that
// their mark comes in its place whatever the blocks are.
func (s *SoundEar) feed(dst []detect.Event) []detect.Event {
	for len(s.rest) > 0 && len(s.doubles) == 0 {
		piece := s.rest
		if s.claps != nil {
			hop := int64(s.det.Hop())
			at := s.block.Index + int64(len(s.block.Samples)-len(s.rest))
			piece = piece[:min(int64(len(piece)), hop-at%hop)]
		}
		dst = s.det.Feed(dst, piece)
		s.why.Feed(piece)
		s.rest = s.rest[len(piece):]
	}
	return dst
}

// clapEar is an ear that may hear claps.
type clapEar interface {
	// clapped gives the double claps heard since the last call. They are good until
	// Next.
	clapped() []claps.Double
}

func (s *SoundEar) clapped() []claps.Double {
	d := s.doubles
	s.doubles = s.doubles[:0]
	return d
}

// clapNote is what is noted with the mark of a double clap.
const clapNote = "two claps"

// takeClaps makes a lap mark of each double clap, at the time of the first one.
func (w *Walk) takeClaps() {
	ear, ok := w.Ear.(clapEar)
	if !ok {
		return
	}
	for _, d := range ear.clapped() {
		w.take(event.Mark{T: d.First, Name: event.MarkLap, Note: clapNote})
	}
}
