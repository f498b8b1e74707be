package cue

import "fmt"

// clipStreamer plays a clip once. It implements beep.StreamSeeker.
type clipStreamer struct {
	clip
	pos int
}

// Stream implements beep.Streamer.
func (c *clipStreamer) Stream(samples [][2]float64) (n int, ok bool) {
	if c.pos >= len(c.frames) {
		return 0, false
	}
	n = copy(samples, c.frames[c.pos:])
	c.pos += n
	return n, true
}

// Err implements beep.Streamer; a clip cannot fail.
func (c *clipStreamer) Err() error { return nil }

// Len implements beep.StreamSeeker.
func (c *clipStreamer) Len() int { return len(c.frames) }

// Position implements beep.StreamSeeker.
func (c *clipStreamer) Position() int { return c.pos }

// Seek implements beep.StreamSeeker.
func (c *clipStreamer) Seek(p int) error {
	if p < 0 || p > len(c.frames) {
		return fmt.Errorf("cue: seek to %d of %d frames", p, len(c.frames))
	}
	c.pos = p
	return nil
}
