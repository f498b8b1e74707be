package engine

import (
	"testing"
	"time"

	"steadfoot/audio"
)

// Calls that a Backend passes on later are placed by what it tells of them: their
// clock, and the frames of those that it could not pass on.
func TestCallsPassedOnLater(t *testing.T) {
	now := time.Hour
	s := running(func() time.Duration { return now })
	s.pair = newPair(s.out) // as when both sides are open
	in := make([]float32, frames)
	s.process(in, nil, 0, Call{Begun: 3, Took: 1, Played: true, Frames: frames}, 0)
	s.process(in, nil, 0, Call{Begun: 7, Took: 2, Played: true, Frames: frames, Skipped: 5 * frames}, 6)
	s.process(nil, nil, 0, Call{Begun: 9, Took: 1, Played: true, Frames: 10}, 0) // without a microphone
	if s.in.Len() != 3 || s.heard.Load() != 3 || s.played.Load() != 3 {
		t.Fatalf("%d slots, %d heard, %d played", s.in.Len(), s.heard.Load(), s.played.Load())
	}
	for i, want := range []struct {
		index, clock int64
		flags        uint32
		n            int
	}{{0, 3, 0, frames}, {6 * frames, 7, 6, frames}, {7 * frames, 9, 0, 10}} {
		if g := s.in.At(i); g.Index != want.index || g.Clock != want.clock || g.Flags != want.flags || len(g.Samples) != want.n {
			t.Errorf("call %d: index %d, clock %d, flags %d, %d samples; want %+v", i, g.Index, g.Clock, g.Flags, len(g.Samples), want)
		}
	}
	if took := s.spent.Took.Max(); took != 2 {
		t.Errorf("they took %v at most, want 2 ns", took)
	}
}

// Sound that is made ahead is for the frames that it will be played with, also after
// calls were skipped.
func TestSoundMadeAhead(t *testing.T) {
	s := running(still)
	s.pair = newPair(s.out)
	s.pair.aim.set(aim{ratio: 1})
	ramp := make([]audio.Frame, 8192)
	for i := range ramp {
		ramp[i] = audio.Frame{float32(i), -float32(i)}
	}
	s.out.Put(0, ramp)
	out := make([]float32, 2*frames)
	const ahead = 1024
	at := 0
	for _, skipped := range []int{0, 0, 512, 0} {
		s.process(nil, out, 2, Call{Begun: 1, Took: 1, Ahead: ahead, Skipped: int64(skipped)}, 0)
		at += skipped
		if want := float32(at + ahead + frames - 1); out[2*frames-2] != want || out[2*frames-1] != -want {
			t.Errorf("after %d frames: %v, want %v", at, out[2*frames-2:], want)
		}
		at += frames
	}
	if st := s.pair.stamps.At(2); st.frame != 2*frames+512 {
		t.Errorf("the third call is said to be of frame %d", st.frame)
	}
}
