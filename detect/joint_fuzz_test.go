package detect

import (
	"encoding/binary"
	"math"
	"testing"

	"steadfoot/detect/made"
)

// FuzzFeel gives any numbers as rows between a walk's true ones: no panic, times of
// steps rise and lie within the input, every number is finite, and when the rows
// are good again nothing that was in them is left in the filter.
func FuzzFeel(f *testing.F) {
	f.Add([]byte{}, uint16(100))
	f.Add([]byte("any 32 bytes are a row of numbers, and so are the next 32 of them."), uint16(3))
	row := make([]byte, 32)
	for _, v := range []float64{math.NaN(), math.Inf(1), -math.MaxFloat64, 1e150, 4.9e-324, -5, 0} {
		for i := range 4 {
			binary.LittleEndian.PutUint64(row[8*i:], math.Float64bits(v))
		}
		f.Add(row, uint16(40))
		binary.LittleEndian.PutUint64(row, math.Float64bits(1.01)) // a time that is taken
		f.Add(row, uint16(40))
	}
	g := made.Gait{Cadence: made.Steady(184), JitterCV: 2, Start: 0.3}
	w := made.Spec{Seed: 1, Rate: 2000, Duration: 4, Gait: g}.Walk()
	rows := made.MotionSpec{Seed: 1, Rate: 50, Duration: 4, Gait: g}.Motion().Rows
	f.Fuzz(func(t *testing.T, data []byte, every uint16) {
		s, err := NewSound(SoundConfig{Rate: 2000, Felt: true})
		if err != nil {
			t.Fatal(err)
		}
		var events []Event
		next := 0
		for i := 0; i < len(w.Samples); i += 40 {
			r := rows[i/40]
			s.Feel(r.T, r.X, r.Y, r.Z)
			if i/40%(int(every)+1) == int(every) && len(data) >= 32 {
				var v [4]float64
				for k := range v {
					v[k] = math.Float64frombits(binary.LittleEndian.Uint64(data[(next+8*k)%(len(data)&^7):]))
				}
				next += 32
				s.Feel(v[0], v[1], v[2], v[3])
			}
			events = s.Feed(events, w.Samples[i:i+40])
		}
		events = s.Flush(events)
		sane(t, events, 4)
		if b := s.track.filter.belief(); !(b >= 0 && b <= 1) {
			t.Fatalf("belief %v", b)
		}
		l := s.joint.lags
		if !(l.trust >= 0 && l.trust <= 1) || !(l.known >= 0 && l.known <= 1) {
			t.Fatalf("trust %v, known %v", l.trust, l.known)
		}
	})
}
