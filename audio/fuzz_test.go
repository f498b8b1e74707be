package audio

import (
	"bytes"
	"os"
	"testing"
)

// FuzzOpen reads any bytes as a sound. It runs without ffmpeg, whose faults are
// not ours to find.
func FuzzOpen(f *testing.F) {
	f.Setenv("PATH", "")
	for _, format := range []Format{U8, S24, F32, F64} {
		var b bytes.Buffer
		if err := EncodeWAV(&b, 8000, 2, format, noise(64)); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes())
	}
	f.Add(riff(sized("LIST", 0xFFFFFFFF, nil)))
	f.Add([]byte("ID3\x04\x00\x00\x7f\x7f\x7f\x7f\xff\xfb\x90\x00"))
	f.Add([]byte("OggS\x00\x02\x00\x00\x00\x00\x00\x00\x00\x00\x01\x02\x03\x04\x00\x00\x00\x00\x11\x22\x33\x44\x01\x1e\x01vorbis"))
	for _, name := range []string{"tiny.flac", "tiny.mp3", "tiny.ogg"} {
		b, err := os.ReadFile("testdata/" + name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Add(vorbisWith(make([]byte, 8), bigBooks(2)))
	f.Add(vorbisWith([]byte("\x01\x00\x00\x00x\x01\x00\x00\x00\x01\x00\x00\x00y\x01"), putBits(0, 8, 0x564342, 24, 2, 16, 4, 24, 0, 1, 1, 1, 1, 1, 2, 5, 1, 1, 2, 5, 0, 2, 1, 4, 0, 32, 0, 32, 3, 4, 0, 1, 0, 40)))
	f.Fuzz(func(t *testing.T, b []byte) { try(t, b) })
}
