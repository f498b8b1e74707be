package midi

import (
	"bytes"
	"math"
	"testing"

	"gitlab.com/gomidi/midi/v2/smf"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// beatsOf lays out pieces of a beat map.
func beatsOf(to float64, pieces ...event.Beat) []coach.Beat {
	var m coach.BeatMap
	for _, p := range pieces {
		m.Add(p)
	}
	var out []coach.Beat
	m.Between(0, to, func(b coach.Beat) { out = append(out, b) })
	return out
}

// read gives the times of the notes in s, and the file's tempos, by the library's
// reader.
func read(t *testing.T, data []byte) (at []float64, keys []byte, tempos [][]byte) {
	t.Helper()
	s, err := smf.ReadFrom(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	var us, perTick float64
	for _, e := range s.Tracks[0] {
		us += float64(e.Delta) * perTick
		m := []byte(e.Message)
		switch {
		case len(m) == 6 && m[0] == 0xff && m[1] == 0x51:
			tempos = append(tempos, m[3:])
			perTick = float64(int(m[3])<<16|int(m[4])<<8|int(m[5])) / quarter
		case len(m) == 3 && m[0] == 0x90|percussion:
			at, keys = append(at, us/1e6), append(keys, m[1])
		}
	}
	return at, keys, tempos
}

func write(t *testing.T, beats []coach.Beat) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, "a beat", beats); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Tempo events (Standard MIDI Files: FF 51 03 and µs per quarter): 200/min is
// 300000 µs, 04 93 e0; 202/min is 297029.7 µs, in turns 04 88 45 and 04 88 46.
func TestTempo(t *testing.T) {
	_, _, tempos := read(t, write(t, beatsOf(10, event.Beat{Start: 0.3, Period: 0.3})))
	if len(tempos) != 1 || !bytes.Equal(tempos[0], []byte{0x04, 0x93, 0xe0}) {
		t.Errorf("200/min: %x", tempos)
	}
	_, _, tempos = read(t, write(t, beatsOf(10, event.Beat{Start: 60 / 202., Period: 60 / 202.})))
	for _, x := range tempos {
		if !bytes.Equal(x, []byte{0x04, 0x88, 0x45}) && !bytes.Equal(x, []byte{0x04, 0x88, 0x46}) {
			t.Errorf("202/min: %x", x)
		}
	}
}

// TestHour: after an hour at 202/min, with a rest of a minute and another tempo
// in between, every beat is where the map has it, within a microsecond.
func TestHour(t *testing.T) {
	beats := beatsOf(3600,
		event.Beat{Start: 2, Period: 60 / 202., Side: detect.Left}, event.Beat{Start: 1200}, event.Beat{Start: 1260.123, Period: 60 / 190.7, Side: detect.Right})
	at, keys, _ := read(t, write(t, beats))
	if len(at) != len(beats) {
		t.Fatalf("%d notes of %d beats", len(at), len(beats))
	}
	for i, b := range beats {
		// A piece after a whole number of ticks is exact; a note-off in between
		// only moves within the quarter.
		if math.Abs(at[i]-b.T) > 1e-6 {
			t.Fatalf("beat %d at %.7f s, want %.7f", i, at[i], b.T)
		}
		if want := byte(highBlock); (b.Side == detect.Left) == (keys[i] == want) {
			t.Fatalf("beat %d of the %v foot is key %d", i, b.Side, keys[i])
		}
	}
}

func TestEmptyAndDisordered(t *testing.T) {
	if at, _, _ := read(t, write(t, nil)); len(at) != 0 {
		t.Error("notes out of nothing")
	}
	if Write(&bytes.Buffer{}, "", []coach.Beat{{T: 2}, {T: 1}}) == nil || Write(&bytes.Buffer{}, "", []coach.Beat{{T: 1}, {T: 1}}) == nil {
		t.Error("beats out of order are written")
	}
}
