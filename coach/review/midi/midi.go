// Package midi writes a beat as a Standard MIDI File, which any sequencer plays.
package midi

import (
	"fmt"
	"io"
	"math"

	"gitlab.com/gomidi/midi/v2/smf"

	"steadfoot/coach"
	"steadfoot/detect"
)

const (
	quarter    = 480 // ticks; a beat is a quarter note
	noteLength = 60  // ticks that a beat sounds
	// The channel of percussion, the tenth, and two of its keys in General MIDI
	// (from memory): the lower wood block for the left foot, as the click is.
	percussion   = 9
	highBlock    = 76
	lowBlock     = 77
	velocity     = 90
	accent       = 120
	longestTempo = 1<<24 - 1 // µs: a tempo has 24 bits
)

// Write writes the beats, which must be in order of time, in s, as one track. A
// beat is a quarter note, and the tempo says how long: in whole microseconds from
// the start, so that nothing adds up and no beat is off by more than one of them.
func Write(w io.Writer, name string, beats []coach.Beat) error {
	t := track{}
	t.Add(0, smf.MetaTrackSequenceName(name))
	at := int64(0) // µs
	for i, b := range beats {
		us := int64(math.Round(b.T * 1e6))
		if us < at || i > 0 && us == at {
			return fmt.Errorf("midi: beat %d at %g s is not later than the one before", i, b.T)
		}
		t.pass(us - at)
		t.strike(b)
		at = us
	}
	t.ahead = noteLength
	t.release()
	t.Close(0)
	s := smf.New()
	s.TimeFormat = smf.MetricTicks(quarter)
	if err := s.Add(t.Track); err != nil {
		return fmt.Errorf("midi: %w", err)
	}
	_, err := s.WriteTo(w)
	return err
}

// track is a track that grows beat by beat.
type track struct {
	smf.Track
	tempo int64  // µs of a quarter
	ahead uint32 // ticks until now that no event has passed yet
	held  byte   // key that sounds; 0: none
}

// pass lets us microseconds go by: a quarter of that length, or several where a
// tempo cannot be so slow. The tempo changes where the stretch begins, and a note
// that sounds ends early in it.
func (t *track) pass(us int64) {
	if us == 0 {
		return
	}
	n := (us + longestTempo - 1) / longestTempo
	for k := range n {
		if part := us*(k+1)/n - us*k/n; part != t.tempo {
			t.put(tempoEvent(part))
			t.tempo = part
		}
		t.ahead += quarter
		if t.held != 0 {
			t.ahead -= quarter - noteLength
			t.release()
			t.ahead = quarter - noteLength
		}
	}
}

func (t *track) put(m smf.Message) {
	t.Add(t.ahead, m)
	t.ahead = 0
}

func (t *track) strike(b coach.Beat) {
	t.release() // a beat at the very start
	t.held = highBlock
	if b.Side == detect.Left {
		t.held = lowBlock
	}
	v := byte(velocity)
	if b.Accent {
		v = accent
	}
	t.put(smf.Message{0x90 | percussion, t.held, v})
}

func (t *track) release() {
	if t.held != 0 {
		t.put(smf.Message{0x80 | percussion, t.held, 0})
		t.held = 0
	}
}

// tempoEvent is FF 51 03 and the microseconds of a quarter in 24 bits. The
// library's own takes beats a minute, which does not keep them whole.
func tempoEvent(us int64) smf.Message {
	return smf.Message{0xff, 0x51, 0x03, byte(us >> 16), byte(us >> 8), byte(us)}
}
