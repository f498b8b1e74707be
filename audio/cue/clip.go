package cue

import (
	"fmt"
	"math"

	"github.com/faiface/beep"

	"steadfoot/audio"
)

// Clip is a finished, levelled sound for both ears. It is never changed, so any
// number of players may have it sound at once. Its onset is what a player has
// fall on a sample: of a click or tone the first sample at half of its peak, of a
// word the start of the first vowel, of a recording the first sample that is not
// silent.
type Clip struct {
	mono        []float32
	left, right float64 // gain of each ear
	onset       int     // index of the sample that is heard as its start
}

// Seconds is how long the clip sounds, s.
func (c *Clip) Seconds() float64 { return float64(len(c.mono)) / audio.Rate }

// Streamer gives the clip as a stereo streamer at audio.Rate, at the level it
// has at full volume.
func (c *Clip) Streamer() beep.StreamSeeker { return &clipStreamer{clip: c} }

// Frames gives the clip as stereo frames at audio.Rate, at the level it has at
// full volume.
func (c *Clip) Frames() []audio.Frame {
	all := make([]audio.Frame, len(c.mono))
	for i, x := range c.mono {
		all[i] = audio.Frame{x * float32(c.left), x * float32(c.right)}
	}
	return all
}

// newClip makes a clip of mono samples, equal in both ears, with its onset at the
// first sample at half of the peak.
func newClip(mono []float64) *Clip {
	c := &Clip{mono: make([]float32, len(mono)), left: 1, right: 1, onset: onset(mono)}
	for i, x := range mono {
		c.mono[i] = float32(x)
	}
	return c
}

// put writes frames from sample i on to dst and returns how many there were.
func (c *Clip) put(dst [][2]float64, i int) int {
	n := min(len(dst), len(c.mono)-i)
	for k, x := range c.mono[i : i+n] {
		dst[k] = [2]float64{float64(x) * c.left, float64(x) * c.right}
	}
	return n
}

// frames gives the whole clip as both ears get it.
func (c *Clip) frames() [][2]float64 {
	all := make([][2]float64, len(c.mono))
	c.put(all, 0)
	return all
}

func peak(mono []float64) float64 {
	most := 0.0
	for _, x := range mono {
		most = max(most, math.Abs(x))
	}
	return most
}

func onset(mono []float64) int {
	half := peak(mono) / 2
	for i, x := range mono {
		if math.Abs(x) >= half {
			return i
		}
	}
	return 0
}

// clipStreamer plays a clip once. It implements beep.StreamSeeker.
type clipStreamer struct {
	clip *Clip
	pos  int
}

// Stream implements beep.Streamer.
func (c *clipStreamer) Stream(samples [][2]float64) (n int, ok bool) {
	if c.pos >= len(c.clip.mono) {
		return 0, false
	}
	n = c.clip.put(samples, c.pos)
	c.pos += n
	return n, true
}

// Err implements beep.Streamer; a clip cannot fail.
func (c *clipStreamer) Err() error { return nil }

// Len implements beep.StreamSeeker.
func (c *clipStreamer) Len() int { return len(c.clip.mono) }

// Position implements beep.StreamSeeker.
func (c *clipStreamer) Position() int { return c.pos }

// Seek implements beep.StreamSeeker.
func (c *clipStreamer) Seek(p int) error {
	if p < 0 || p > c.Len() {
		return fmt.Errorf("cue: seek to %d of %d frames", p, c.Len())
	}
	c.pos = p
	return nil
}
