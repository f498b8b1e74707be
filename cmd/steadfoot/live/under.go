package live

import (
	"steadfoot/audio"
	"steadfoot/audio/cue"
)

// under is a Source as a beep.Streamer, both ears alike. It goes through the
// player like any sound, so the limiter holds the sum under the cap.
type under struct {
	src   audio.Source
	block audio.Block
	used  int
	err   error
}

// playUnder has src sound in step with the session. The player wants a little
// notice, so the first milliseconds are left out.
func playUnder(p *cue.Player, src audio.Source) error {
	u := &under{src: src}
	u.Stream(make([][2]float64, cue.LookAhead))
	return p.PlayStreamer(u, cue.LookAhead)
}

// Stream implements beep.Streamer.
func (u *under) Stream(frames [][2]float64) (int, bool) {
	for i := range frames {
		for u.used == len(u.block.Samples) {
			u.used = 0
			if u.err = u.src.Read(&u.block); u.err != nil {
				u.block.Samples = nil
				return i, i > 0
			}
		}
		v := float64(u.block.Samples[u.used])
		u.used++
		frames[i] = [2]float64{v, v}
	}
	return len(frames), true
}

// Err implements beep.Streamer. The detector reads the same input and reports
// its errors.
func (u *under) Err() error { return nil }
