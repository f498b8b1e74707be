package audio

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
)

// WAVCue is a point in a sound that editors and players show or jump to.
type WAVCue struct {
	Sample int64  // place in the sound, from 0
	Label  string // what is shown there; may be empty
}

const cueSize = 24 // bytes of one point in the cue chunk

// Cues ends the sound and adds a cue chunk with a point for each of cues, and
// their labels. They must not go back in time, and lie inside the sound. Nothing
// but Close may follow.
//
// The place of a point is a number of 32 bits: at 48 kHz cues end after 24.8 h.
func (r *WAVRecorder) Cues(cues []WAVCue) error {
	last := int64(0)
	for i, c := range cues {
		switch {
		case c.Sample > math.MaxUint32:
			return fmt.Errorf("cue %d is at sample %d; a WAV file has place for cues up to sample %d, %.1f h at %d Hz",
				i+1, c.Sample, uint32(math.MaxUint32), math.MaxUint32/float64(r.g.rate)/3600, r.g.rate)
		case c.Sample < last || c.Sample >= r.Len():
			return fmt.Errorf("cue %d is at sample %d; want %d to %d", i+1, c.Sample, last, r.Len()-1)
		}
		last = c.Sample
	}
	return r.g.addTail(append(cueChunk(cues), labelChunk(cues)...))
}

// cueChunk is the count, then for each point its number, its place, where that
// counts from, and the place again: the first place is that in a play list, which
// there is not, and some readers take it, others the last.
func cueChunk(cues []WAVCue) []byte {
	le := binary.LittleEndian
	b := le.AppendUint32([]byte("cue "), uint32(4+cueSize*len(cues)))
	b = le.AppendUint32(b, uint32(len(cues)))
	for i, c := range cues {
		b = le.AppendUint32(b, uint32(i+1))
		b = le.AppendUint32(b, uint32(c.Sample))
		b = append(b, "data"...)
		b = le.AppendUint64(b, 0) // start of the chunk, start of the block
		b = le.AppendUint32(b, uint32(c.Sample))
	}
	return b
}

// labelChunk is a list of labels, each with the number of its point, ended by a
// zero byte and padded to an even length.
func labelChunk(cues []WAVCue) []byte {
	le := binary.LittleEndian
	body := []byte("adtl")
	for i, c := range cues {
		if c.Label == "" {
			continue
		}
		text := strings.ReplaceAll(c.Label, "\x00", "") + "\x00"
		body = le.AppendUint32(append(body, "labl"...), uint32(4+len(text)))
		body = append(le.AppendUint32(body, uint32(i+1)), text...)
		if len(text)%2 == 1 {
			body = append(body, 0)
		}
	}
	return append(le.AppendUint32([]byte("LIST"), uint32(len(body))), body...)
}

// addTail writes chunks behind the samples, and the header that counts them.
func (g *growingWAV) addTail(chunks []byte) error {
	g.flush()
	if g.err == nil {
		_, g.err = g.f.WriteAt(chunks, growHeader+g.size)
	}
	if g.err == nil {
		g.tail = int64(len(chunks))
		g.err = g.writeHeader()
	}
	return g.err
}
