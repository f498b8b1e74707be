package device_test

import (
	"bytes"
	"encoding/binary"
	"os"
	"testing"
)

// writeWAV writes 16-bit mono samples at 48 kHz.
func writeWAV(t *testing.T, path string, samples []int16) {
	t.Helper()
	var b bytes.Buffer
	size := uint32(2 * len(samples))
	b.WriteString("RIFF")
	binary.Write(&b, binary.LittleEndian, 36+size)
	b.WriteString("WAVEfmt ")
	binary.Write(&b, binary.LittleEndian, []uint32{16, 1 | 1<<16, 48000, 96000, 2 | 16<<16})
	b.WriteString("data")
	binary.Write(&b, binary.LittleEndian, size)
	binary.Write(&b, binary.LittleEndian, samples)
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
}

// readWAV reads what follows the head of a 16-bit mono recording.
func readWAV(t *testing.T, path string) []int16 {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	i := bytes.Index(b, []byte("data"))
	if i < 0 {
		t.Fatalf("%s is not a WAV file of %d bytes", path, len(b))
	}
	s := make([]int16, (len(b)-i-8)/2)
	for k := range s {
		s[k] = int16(binary.LittleEndian.Uint16(b[i+8+2*k:]))
	}
	return s
}

// onsets are the places where a signal rises over a threshold after at least a
// tenth of a second below it.
type onsets struct {
	at   []int64
	last int64
}

func (o *onsets) hear(index int64, loud bool) {
	if !loud {
		return
	}
	if o.last == 0 || index-o.last > 4800 {
		o.at = append(o.at, index)
	}
	o.last = index
}

// gaps are the distances of neighbours.
func (o *onsets) gaps() []int64 {
	var g []int64
	for i := 1; i < len(o.at); i++ {
		g = append(g, o.at[i]-o.at[i-1])
	}
	return g
}
