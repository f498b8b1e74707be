package coach

import "steadfoot/detect"

// goneAfter is how long the walker must have stood before a beat that goes by
// the feet stops, s.
const goneAfter = 1.0

// feet is what the beat knows of the walker.
type feet struct {
	state   stretch[detect.State]
	cadence float64     // last one that could be gone by, steps/min; 0: none yet
	last    detect.Step // last footfall
	stepped bool        // there was one since the walker set off
}

// step takes in a footfall.
func (f *feet) step(now float64, s detect.Step) { f.last, f.stepped = s, true }

// see takes in a rhythm, and whether it can be gone by.
func (f *feet) see(now float64, r detect.Rhythm, sure bool) {
	f.state.see(now, r.State)
	if sure {
		f.cadence = r.Cadence
	}
	if f.gone() {
		f.cadence, f.stepped = 0, false
	}
}

// gone tells whether nobody walks. Who is not heard may be walking: for them the
// beat goes on as it is.
func (f *feet) gone() bool {
	return f.state.what == detect.NotWalking && f.state.held() >= goneAfter
}
