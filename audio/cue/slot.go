package cue

import "github.com/faiface/beep"

// slot is one sound that plays or waits to play.
type slot struct {
	st     beep.Streamer // nil when the slot is free
	own    clipStreamer  // what st points to for a clip
	gain   float64
	fall   float64 // what gain loses with each sample; 0 until the sound is stopped
	start  int64   // mix index of the streamer's first frame
	at     int64   // mix index of its perceptual onset
	isBeat bool
}

// addTo adds what falls into sum, whose first frame has mix index from and whose
// last is not before the slot's start. It frees the slot when its streamer has
// ended. buf is scratch at least as long as sum.
func (v *slot) addTo(sum, buf [][2]float64, from int64) {
	sum = sum[max(0, v.start-from):]
	n, ok := v.st.Stream(buf[:len(sum)])
	for i, f := range buf[:n] {
		sum[i][0] += v.gain * f[0]
		sum[i][1] += v.gain * f[1]
		if v.fall > 0 {
			v.gain = max(0, v.gain-v.fall)
		}
	}
	if !ok || n < len(sum) || v.gain == 0 && v.fall > 0 { // beep: fewer than asked for means drained
		*v = slot{}
	}
}

// stop drops a sound that has not begun, and lets one that sounds fall silent
// within 20 ms. mixed is the next mix index.
func (v *slot) stop(mixed int64) {
	if v.start >= mixed {
		*v = slot{}
		return
	}
	v.fall = v.gain * slew
}
