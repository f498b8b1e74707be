package audio

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// compressed are files that ffmpeg makes of a sound with channels that differ.
// The tolerance is for 16-bit rounding inside the MP3 decoder; the others are
// exact but for float32.
var compressed = []struct {
	name      string
	args      string
	kind      string
	rate      int
	channels  int
	tolerance float64
}{
	{"mono16.flac", "-ac 1 -sample_fmt s16", "FLAC", 44100, 1, 1e-7},
	{"stereo16.flac", "-sample_fmt s16", "FLAC", 44100, 2, 1e-7},
	{"stereo24.flac", "-sample_fmt s32", "FLAC", 44100, 2, 1e-7},
	{"mono24khz.flac", "-ac 1 -ar 24000", "FLAC", 24000, 1, 1e-7},
	{"six.flac", "-ac 6", "FLAC", 44100, 6, 1e-7},
	{"mono.mp3", "-ac 1", "MP3", 44100, 1, 1e-4},
	{"stereo.mp3", "-ab 192k", "MP3", 44100, 2, 1e-4},
	{"plain.mp3", "-ar 48000 -write_xing 0 -id3v2_version 0", "MP3", 48000, 2, 1e-4},
	{"mpeg2.mp3", "-ar 22050", "ffmpeg", 22050, 2, 0},
	{"mpeg2mono.mp3", "-ac 1 -ar 22050", "ffmpeg", 22050, 1, 0},
	{"mpeg25.mp3", "-ar 11025", "ffmpeg", 11025, 2, 0},
	{"mono.ogg", "-ac 1 -c:a libvorbis", "OGG", 44100, 1, 1e-5},
	{"stereo.ogg", "-c:a libvorbis", "OGG", 44100, 2, 1e-5},
	{"six.ogg", "-ac 6 -c:a libvorbis", "ffmpeg", 44100, 6, 1e-7},
	{"stereo.opus", "-c:a libopus -ar 48000", "ffmpeg", 48000, 2, 0},
	{"alaw.wav", "-c:a pcm_alaw", "ffmpeg", 44100, 2, 0},
	{"big-endian.aiff", "", "ffmpeg", 44100, 2, 0},
	{"walk.mp4", "-f lavfi -i color=black:s=16x16:d=1 -c:a aac", "ffmpeg", 44100, 2, 0},
}

// TestAgainstFFmpeg compares with what ffmpeg decodes: length, place and scale.
func TestAgainstFFmpeg(t *testing.T) {
	need(t, "ffmpeg")
	dir := t.TempDir()
	in := filepath.Join(dir, "in.wav")
	if err := WriteWAV(in, 44100, 2, S24, quiet(noise(2*44100))); err != nil {
		t.Fatal(err)
	}
	for _, c := range compressed {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(dir, c.name)
			do(t, append(append([]string{"ffmpeg", "-v", "error", "-i", in}, strings.Fields(c.args)...), path)...)
			f, err := Open(path)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			if f.Kind() != c.kind || f.Rate() != c.rate || f.Channels() != c.channels {
				t.Fatalf("%s, %d Hz, %d channels; want %s, %d, %d", f.Kind(), f.Rate(), f.Channels(), c.kind, c.rate, c.channels)
			}
			raw := do(t, "ffmpeg", "-v", "error", "-i", path, "-c:a", "pcm_f32le", "-f", "f32le", "-")
			compare(t, readAll(t, f), mixed(floats(raw), c.channels), c.tolerance)
			if got := f.Warnings(); got != nil {
				t.Errorf("warnings: %q", got)
			}
		})
	}
}

// quiet leaves room for what lossy coding adds to peaks.
func quiet(x []float32) []float32 {
	for i := range x {
		x[i] *= 0.3
	}
	return x
}

// floats reads little-endian float32.
func floats(b []byte) []float32 {
	x := make([]float32, len(b)/4)
	for i := range x {
		x[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[4*i:]))
	}
	return x
}

// TestAgainstSox has sox write what Open reads and read what WriteWAV writes.
func TestAgainstSox(t *testing.T) {
	need(t, "sox")
	dir := t.TempDir()
	x := noise(2 * 8000)
	in := filepath.Join(dir, "in.wav")
	if err := WriteWAV(in, 8000, 2, F32, x); err != nil {
		t.Fatal(err)
	}
	for _, args := range []string{"-b 8 -e unsigned-integer", "-b 16", "-b 24", "-b 32 -e signed-integer", "-e floating-point -b 32", "-e floating-point -b 64"} {
		out := filepath.Join(dir, "out.wav")
		do(t, append(append([]string{"sox", "-D", in}, strings.Fields(args)...), out)...)
		f, err := Open(out)
		if err != nil {
			t.Fatal(args, err)
		}
		tolerance := 1. / 32768
		if strings.HasPrefix(args, "-b 8") {
			tolerance = 1. / 128
		}
		compare(t, readAll(t, f), mixed(x, 2), tolerance)
		f.Close()
	}
	for f, d := range step {
		path := filepath.Join(dir, string(f)+".wav")
		if err := WriteWAV(path, 8000, 2, f, x); err != nil {
			t.Fatal(err)
		}
		compare(t, floats(do(t, "sox", path, "-t", "raw", "-e", "floating-point", "-b", "32", "-")), x, d/2+1e-7)
	}
	// A stream from sox does not know its length.
	f, err := NewReader("pipe", bytes.NewReader(do(t, "sox", "-D", in, "-t", "wav", "-b", "16", "-")))
	if err != nil {
		t.Fatal(err)
	}
	compare(t, readAll(t, f), mixed(x, 2), 1./32768)
}

// TestDamaged cuts compressed files off and spoils bytes in their middle: what
// comes before is given, with a warning, or there is an error. Never a panic.
func TestDamaged(t *testing.T) {
	need(t, "ffmpeg")
	dir := t.TempDir()
	in := filepath.Join(dir, "in.wav")
	if err := WriteWAV(in, 44100, 1, S16, noise(8*44100)); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"x.flac", "x.mp3", "x.ogg"} {
		path := filepath.Join(dir, name)
		do(t, "ffmpeg", "-v", "error", "-i", in, path)
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		f, err := NewReader(name, bytes.NewReader(b[:len(b)/2]))
		if err != nil {
			t.Fatal(name, err)
		}
		if n := len(readAll(t, f)); n < 2*44100 || n > 5*44100 {
			t.Errorf("%s: %d samples in half of a file of 352800", name, n)
		}
		if w := f.Warnings(); len(w) != 1 || !strings.HasPrefix(w[0], name+": cut off after ") {
			t.Errorf("%s: warnings %q", name, w)
		}
		r := rand.New(rand.NewPCG(3, 4))
		for range 12 {
			bad := bytes.Clone(b)
			for range 1 + r.IntN(20) {
				bad[r.IntN(len(bad))] = byte(r.Uint32())
			}
			try(t, bad)
		}
	}
}

// try reads whatever b is. What it must not do is panic or hang.
func try(t *testing.T, b []byte) {
	f, err := NewReader("x", bytes.NewReader(b))
	if err != nil {
		if strings.Contains(err.Error(), "\n") {
			t.Errorf("error of more than one line: %q", err)
		}
		return
	}
	defer f.Close()
	x, _ := drain(f)
	for _, v := range x {
		if v-v != 0 {
			t.Fatal("sample is not finite")
		}
	}
	f.Warnings()
}
