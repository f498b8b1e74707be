package main

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"steadfoot/audio"
	"steadfoot/audio/chirp"
	"steadfoot/audio/device"
)

// loop is a sound device, or something like one: sample i is played when
// sample i is heard.
type loop interface {
	Read(*audio.Block) error
	Write([]audio.Frame) error
	Stats() device.Stats
}

// Times in samples.
const (
	chirpSettle = audio.Rate / 2  // before the first chirp: devices and earbuds wake up
	chirpReach  = audio.Rate      // longest latency looked for
	chirpAhead  = audio.Rate / 10 // written before it is heard
	chirpFull   = 0.5             // level of volume 1
)

// chirpGaps are by how much more than they need to be chirps are apart, in
// samples. As they differ, whatever keeps a time of its own, or comes later than
// is looked for, makes the tries disagree.
var chirpGaps = [...]int64{2400, 7700, 4900, 10100, 3600}

// chirps is a row of them. The first one only wakes the earphones: some leave
// out or fade in what follows a silence.
type chirps struct {
	one    *chirp.Chirp
	wave   []float32
	starts []int64
	end    int64
}

// newChirps plans the row; seconds is how long it takes.
func newChirps(tries int, volume float64) (c *chirps, seconds float64, err error) {
	one, err := chirp.New(audio.Rate)
	if err != nil {
		return nil, 0, err
	}
	c = &chirps{one: one, wave: one.Samples(chirpFull * volume), end: chirpSettle}
	for i := range tries + 1 {
		c.starts = append(c.starts, c.end)
		c.end += c.span() + chirpGaps[i%len(chirpGaps)]
	}
	return c, float64(c.end) / audio.Rate, nil
}

// span is how long a chirp is listened for.
func (c *chirps) span() int64 { return chirpReach + int64(len(c.wave)) }

// heard is a recording.
type heard struct {
	samples []float32
	faults  []int64 // where the sound faltered
}

// playThrough plays the row and records what comes back.
func (c *chirps) playThrough(d loop) (*heard, error) {
	h := &heard{samples: make([]float32, c.end)}
	var b audio.Block
	var out []audio.Frame
	written, before := int64(0), d.Stats()
	for next := int64(0); next < c.end; {
		out = c.frames(out, written, next+chirpAhead)
		if err := d.Write(out); err != nil {
			return nil, err
		}
		written += int64(len(out))
		if err := d.Read(&b); err != nil {
			return nil, err
		}
		next = b.Index + int64(len(b.Samples))
		if b.Index < c.end {
			copy(h.samples[b.Index:], b.Samples)
		}
		now := d.Stats()
		if b.Fault != "" || now.Missing+now.Late != before.Missing+before.Late {
			h.faults = append(h.faults, b.Index)
		}
		before = now
	}
	return h, nil
}

// frames makes the output from one sample to another, in the memory of out.
func (c *chirps) frames(out []audio.Frame, from, to int64) []audio.Frame {
	out = slices.Grow(out[:0], int(max(0, to-from)))[:max(0, to-from)]
	clear(out)
	for _, s := range c.starts {
		for i := max(from, s); i < min(to, s+int64(len(c.wave))); i++ {
			v := c.wave[i-s]
			out[i-from] = audio.Frame{v, v}
		}
	}
	return out
}

// errFaltered is of a try in which sound was lost or came late.
var errFaltered = errors.New("the sound faltered")

// attempt is one chirp that counts.
type attempt struct {
	chirp.Found // At is the latency in samples
	err         error
}

func (a attempt) ms() float64 { return 1000 * a.At / audio.Rate }

// judge looks for each chirp but the first.
func (c *chirps) judge(h *heard) []attempt {
	var all []attempt
	for _, s := range c.starts[1:] {
		var a attempt
		a.Found, a.err = c.one.Find(h.samples[s : s+c.span()])
		end := s + c.span()
		if a.err == nil { // what came after it does not matter
			end = s + int64(a.At) + int64(len(c.wave)) + chirpAhead
		}
		if slices.ContainsFunc(h.faults, func(at int64) bool { return at > s-chirpAhead && at < end }) {
			a = attempt{err: errFaltered}
		}
		all = append(all, a)
	}
	return all
}

// faint is a level in dBFS that no open microphone is below; a 16-bit one has
// its own steps at -98 (no source).
const faint = -75.0

// refuse says in one line why nothing was measured; nil when a chirp was found.
func (o *latencyOptions) refuse(tries []attempt, h *heard) error {
	found, whole := 0, 0
	for _, a := range tries {
		if a.err == nil {
			found++
		}
		if a.err != errFaltered {
			whole++
		}
	}
	switch level := h.level(); {
	case found > 0:
		return nil
	case math.IsInf(level, -1):
		return errors.New("the microphone gives digital silence: it is muted, or not the one you hold; 'steadfoot devices' lists them, --in mic:NAME chooses")
	case whole == 0:
		return errors.New("the sound faltered in every try; close what keeps the computer busy and measure again")
	case level < faint:
		return fmt.Errorf("no chirp was heard, as the microphone is all but silent (%.0f dBFS): turn it up, or choose another with --in mic:NAME", level)
	default:
		return fmt.Errorf("no chirp was found in what the microphone heard (%.0f dBFS): hold the earbud's outlet right at it, where it is quiet, or raise --volume (now %v)", level, o.volume)
	}
}

// level is the root mean square of the recording in dBFS.
func (h *heard) level() float64 {
	sum := 0.0
	for _, v := range h.samples {
		sum += float64(v) * float64(v)
	}
	return 10 * math.Log10(sum/float64(len(h.samples)))
}
