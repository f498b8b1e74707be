package cue

import "github.com/faiface/beep"

// voice is one sound that plays or waits to play.
type voice struct {
	st     beep.Streamer // nil when the voice is free
	own    clipStreamer  // what st points to for a built-in sound
	gain   float64
	start  int64 // mix index of the streamer's first frame
	at     int64 // mix index of its perceptual onset
	isBeat bool
}

// addTo adds what falls into sum, whose first frame has mix index from and whose
// last is not before the voice's start. It frees the voice when its streamer has
// ended. buf is scratch at least as long as sum.
func (v *voice) addTo(sum, buf [][2]float64, from int64) {
	sum = sum[max(0, v.start-from):]
	n, ok := v.st.Stream(buf[:len(sum)])
	for i, f := range buf[:n] {
		sum[i][0] += v.gain * f[0]
		sum[i][1] += v.gain * f[1]
	}
	if !ok || n < len(sum) { // beep: fewer than asked for means drained
		*v = voice{}
	}
}
