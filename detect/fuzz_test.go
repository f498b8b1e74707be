package detect

import (
	"encoding/binary"
	"math"
	"testing"
)

// FuzzFeed gives any bytes as samples, cut anywhere, with holes: no panic, the
// times of steps rise and lie within the input, and every number is finite.
func FuzzFeed(f *testing.F) {
	f.Add([]byte{}, uint16(1), uint16(0), uint8(0))
	f.Add([]byte{0, 0, 0x80, 0x7f, 0, 0, 0xc0, 0x7f, 0xff, 0xff, 0x7f, 0x7f}, uint16(3), uint16(70), uint8(1))
	f.Add([]byte("\x00\x00\x00\x3f a door, a dog, a drum"), uint16(512), uint16(9000), uint8(5))
	rates := []float64{2000, 8000, 11025, 44100, 48000, 399999}
	f.Fuzz(func(t *testing.T, data []byte, cut, hole uint16, rate uint8) {
		s, err := NewSound(SoundConfig{Rate: rates[int(rate)%len(rates)]})
		if err != nil {
			t.Fatal(err)
		}
		x := make([]float32, len(data)/4)
		for i := range x {
			x[i] = math.Float32frombits(binary.LittleEndian.Uint32(data[4*i:]))
		}
		var events []Event
		var fed int64
		// Often enough to fill some frames, the same again and again: a rhythm.
		for range 40 {
			for y := x; len(y) > 0; {
				n := min(len(y), int(cut)+1)
				events = s.Feed(events, y[:n])
				fed += int64(n)
				y = y[n:]
			}
			events = s.Skip(events, int64(hole))
			fed += int64(hole)
		}
		events = s.Flush(events)
		sane(t, events, float64(fed)/s.rate)
	})
}

// sane checks that all figures of events are figures, and that the times of steps
// rise up to the end of the input, s.
func sane(t *testing.T, events []Event, end float64) {
	t.Helper()
	last := math.Inf(-1)
	for _, e := range events {
		for _, v := range []float64{e.Step.T, e.Step.Confidence, e.Rhythm.T, e.Rhythm.Cadence, e.Rhythm.CadenceSD, e.Rhythm.Unevenness, e.Rhythm.Variability, e.Rhythm.Heard, e.Gap.T, e.Gap.Length} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", e)
			}
		}
		if e.Kind != KindStep {
			continue
		}
		if e.Step.T <= last || e.Step.T > end+0.01 {
			t.Fatalf("step at %g s after one at %g s, input ends at %g s", e.Step.T, last, end)
		}
		last = e.Step.T
	}
}
