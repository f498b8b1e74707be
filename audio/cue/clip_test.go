package cue

import (
	"slices"
	"testing"

	"github.com/faiface/beep"

	"steadfoot/audio"
)

// constant gives one value for ever.
func constant(v float64) beep.Streamer {
	return beep.StreamerFunc(func(f [][2]float64) (int, bool) {
		for i := range f {
			f[i] = [2]float64{v, v}
		}
		return len(f), true
	})
}

func collect(t *testing.T, st beep.Streamer, piece int) (all [][2]float64) {
	t.Helper()
	buf := make([][2]float64, piece)
	for {
		n, ok := st.Stream(buf)
		if !ok {
			if n != 0 || st.Err() != nil {
				t.Fatalf("drained with %d frames, %v", n, st.Err())
			}
			return all
		}
		all = append(all, buf[:n]...)
	}
}

// Each sound is a beep streamer: it gives all its frames in any pieces, seeks,
// and played through the player as a stranger gives what Play gives.
func TestStreamersRoundTrip(t *testing.T) {
	for _, s := range All() {
		st := Streamer(s)
		all := collect(t, st, 333)
		if len(all) != st.Len() || st.Position() != st.Len() || peakOf(all) == 0 {
			t.Fatalf("%v: %d frames of %d, at %d, peak %g", s, len(all), st.Len(), st.Position(), peakOf(all))
		}
		if err := st.Seek(100); err != nil {
			t.Fatal(err)
		}
		if rest := collect(t, st, 4096); !slices.Equal(rest, all[100:]) {
			t.Errorf("%v: other frames after a seek", s)
		}
		if st.Seek(-1) == nil || st.Seek(st.Len()+1) == nil {
			t.Errorf("%v: a seek outside was taken", s)
		}

		const at = 5000
		own, other := newPlayer(t, Options{Volume: 1}), newPlayer(t, Options{Volume: 1})
		mustPlay(t, own, s, at)
		buffer := beep.NewBuffer(beep.Format{SampleRate: audio.Rate, NumChannels: 2, Precision: 3})
		buffer.Append(Streamer(s)) // beep's own store, 24 bits
		if err := other.PlayStreamer(buffer.Streamer(0, buffer.Len()), at-int64(bank()[s].onset)); err != nil {
			t.Fatal(err)
		}
		a, b := render(own, audio.Rate), render(other, audio.Rate)
		for i := range a {
			if size(audio.Frame{a[i][0] - b[i][0], a[i][1] - b[i][1]}) > 1e-6 {
				t.Fatalf("%v: frame %d is %v by Play, %v as a streamer", s, i, a[i], b[i])
			}
		}
	}
}

// A streamer that ends early or at once frees its voice; an abrupt end is heard
// to its last frame.
func TestStreamersEnd(t *testing.T) {
	p := newPlayer(t, Options{Volume: 1})
	render(p, 1000) // until the limiter rests
	for _, n := range []int{0, 1, block, block + 1, 1000} {
		if err := p.PlayStreamer(beep.Take(n, constant(0.01)), p.Earliest(ClickLeft)); err != nil {
			t.Fatal(err)
		}
	}
	frames := 0
	for range 300 { // pieces shorter than the look-ahead
		for _, f := range render(p, 10) {
			if f[0] > 0 {
				frames++
			}
		}
	}
	if frames != 1000 {
		t.Errorf("heard for %d frames, want 1000", frames)
	}
	for i := range p.slots {
		if p.slots[i].st != nil {
			t.Errorf("slot %d is still taken", i)
		}
	}
}
