package made

import (
	"math"
	"slices"
	"testing"
)

// A leak is as loud as the steps, late by its delay, and leaves the steps alone.
func TestLeak(t *testing.T) {
	const rate, seconds = 16000, 6
	starts := []float64{0.5, 1.5, 2.5, 3.5, 4.5}
	played := ClickTrack(starts, rate, seconds)
	silent := Walk{Rate: rate, Samples: make([]float32, rate*seconds)}
	for _, l := range []Leak{{Delay: 0.1}, {Delay: 0.1, DB: 10}, {Delay: 0.29, Room: 0.3, RoomDB: -6, LowHz: 200, HighHz: 6000}} {
		w := l.Into(silent, played, starts, -30)
		if !slices.Equal(w.Played, played) {
			t.Error("the played track is not kept")
		}
		x := make([]float64, len(w.Samples))
		for i, v := range w.Samples {
			x[i] = float64(v)
		}
		got := 10 * math.Log10(windowPower(x, starts, l.Delay, rate))
		if math.Abs(got-(l.DB-30)) > 0.01 {
			t.Errorf("%+v: %.2f dB, want %.2f", l, got, l.DB-30)
		}
		first := slices.IndexFunc(w.Samples, func(v float32) bool { return v != 0 })
		if d := float64(first)/rate - starts[0] - l.Delay; d < -1e-4 || d > 5e-4 {
			t.Errorf("%+v: begins %.4f s off", l, d)
		}
	}
	y := Leak{Seed: 1, Room: 0.3, RoomDB: -6}.response(rate)
	if got := 10 * math.Log10(power(y[1:])*float64(len(y)-1)); math.Abs(got+6) > 0.01 {
		t.Errorf("echoes at %.2f dB of the direct sound, want -6", got)
	}
}

func TestSpokenTrack(t *testing.T) {
	x := SpokenTrack(1, []float64{0.5, 1}, 16000, 2)
	if first := slices.IndexFunc(x, func(v float32) bool { return v != 0 }); first < 7990 || first > 8100 {
		t.Errorf("begins at sample %d, want 8000", first)
	}
	if peak := slices.Max(x); peak > 0.3001 || peak < 0.1 {
		t.Errorf("peak %.3f, want 0.3 at most", peak)
	}
}
