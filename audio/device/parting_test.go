package device

import "testing"

func TestParting(t *testing.T) {
	steady, drifting := Stats{Streams: 1, Drift: 15, DriftSD: 1}, Stats{Streams: 1, Drift: -60, DriftSD: 5, DriftFor: 200}
	unsure, apart, alone := Stats{Streams: 1, Drift: -60, DriftSD: 8, DriftFor: 200}, Stats{Streams: 2, Drift: -60, DriftSD: 5, DriftFor: 200}, Stats{}
	young := Stats{Streams: 1, Drift: -60, DriftSD: 5, DriftFor: 100}
	for name, c := range map[string]struct {
		s       Stats
		falters []float64
		want    []int // which of them ask for a change
	}{
		"now and then":               {steady, []float64{10, 25, 40, 55, 70, 85}, nil},
		"one long falter":            {steady, []float64{10, 10.1, 10.2, 10.4, 10.6, 10.9, 11.0}, nil},
		"at the start":               {steady, []float64{0.1, 0.7, 1.3, 3, 4, 5, 6}, nil},
		"all the time":               {steady, []float64{3, 4, 5, 6, 7, 8, 9}, []int{4}},
		"a drift":                    {drifting, []float64{200, 300}, []int{0}},
		"a drift that is not sure":   {unsure, []float64{200, 300}, nil},
		"a drift of late":            {young, []float64{200, 300}, nil},
		"two devices from the start": {apart, []float64{3, 4, 5, 6, 7, 8, 9}, nil},
		"one side alone":             {alone, []float64{3, 4, 5, 6, 7, 8, 9}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			var p parting
			var got []int
			for i, at := range c.falters {
				if p.faltered(at, &c.s) != nil {
					got = append(got, i)
				}
			}
			if len(got) != len(c.want) || len(got) > 0 && got[0] != c.want[0] {
				t.Errorf("asked at %v, want %v", got, c.want)
			}
		})
	}
}

func TestDriftWatch(t *testing.T) {
	var w driftWatch
	for _, c := range []struct{ at, drift, want float64 }{
		{0, 0, 0}, {10, 50, 0}, {20, 30, 10}, {30, 25, 20}, {40, 15, 0}, {50, 30, 0}, {60, -30, 0}, {90, -40, 30}, {100, -41, 40},
	} {
		if got := w.note(c.at, c.drift); got != c.want {
			t.Errorf("at %v s, %v ppm: for %v s, want %v", c.at, c.drift, got, c.want)
		}
	}
}

// Two streams that go no better become one again, and that is the end of it.
func TestPartingIsTriedOnce(t *testing.T) {
	var p parting
	s := Stats{Streams: 1}
	var whys []error
	for at := 2.0; at < 300; at++ {
		why := p.faltered(at, &s)
		if why == nil {
			continue
		}
		whys = append(whys, why)
		s.Streams = 3 - s.Streams
		p.restarted(at)
	}
	if len(whys) != 2 || whys[0] != errTogether || whys[1] != errApart {
		t.Errorf("%v", whys)
	}
}
