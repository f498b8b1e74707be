package audio

import (
	"bytes"
	"io"
	"math"
	"os"
	"runtime"
	"strings"
	"testing"
)

// pattern is a reader of so many bytes that takes no memory.
type pattern struct{ left int64 }

func (p *pattern) Read(b []byte) (int, error) {
	if p.left == 0 {
		return 0, io.EOF
	}
	n := int(min(int64(len(b)), p.left))
	for i := range b[:n] {
		b[i] = byte(i)
	}
	p.left -= int64(n)
	return n, nil
}

// TestTenHours streams a header that promises 10 hours, at 1 kHz for a fast test.
func TestTenHours(t *testing.T) {
	const samples = 10 * 3600 * 1000
	head := riff(chunk("fmt ", fmtBody(1, 1, 1000, 2, 16)), sized("data", 2*samples, nil))
	f, err := NewReader("long.wav", io.MultiReader(bytes.NewReader(head), &pattern{2 * samples}))
	if err != nil {
		t.Fatal(err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	var b Block
	var n int64
	for err = f.Read(&b); err == nil; err = f.Read(&b) {
		n += int64(len(b.Samples))
	}
	runtime.ReadMemStats(&after)
	if err != io.EOF || n != samples {
		t.Errorf("%d samples, %v; want %d", n, err, samples)
	}
	if grown := after.TotalAlloc - before.TotalAlloc; grown > 1<<20 {
		t.Errorf("%d bytes allocated on the way", grown)
	}
}

// TestPipeIsNotHeldUp gives a sample as soon as the pipe has it.
func TestPipeIsNotHeldUp(t *testing.T) {
	r, w := io.Pipe()
	defer w.Close()
	f, err := NewPCM("x", r, 48000, 2, S16)
	if err != nil {
		t.Fatal(err)
	}
	go w.Write([]byte{0, 0x40, 0, 0, 1, 2}) // one frame and a half
	var b Block
	if err := f.Read(&b); err != nil || len(b.Samples) != 1 || b.Samples[0] != 0.25 {
		t.Errorf("%v, %v; want 0.25", b.Samples, err)
	}
}

func TestNewPCMRefuses(t *testing.T) {
	for _, c := range []struct {
		rate, channels int
		format         Format
		want           string
	}{
		{0, 1, S16, "sample rate 0 Hz"},
		{48000, 0, S16, "0 channels"},
		{48000, 1, "mp3", `sample format "mp3": want one of u8, s16le`},
	} {
		if _, err := NewPCM("x", nil, c.rate, c.channels, c.format); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

// TestFFmpegMissing tells that ffmpeg would read the file.
func TestFFmpegMissing(t *testing.T) {
	t.Setenv("PATH", "")
	_, err := Open(write(t, "x.aiff", []byte("FORM\x00\x00\x00\x10AIFF")))
	if err == nil || !strings.Contains(err.Error(), "x.aiff: not WAV, FLAC, MP3 (MPEG-1) or OGG Vorbis; ffmpeg might read it, but it is not installed") {
		t.Error(err)
	}
}

// TestFFmpegFails passes on the reason, in one line.
func TestFFmpegFails(t *testing.T) {
	need(t, "ffmpeg")
	_, err := Open(write(t, "x.mp4", []byte("\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00 not a video")))
	if err == nil || !strings.Contains(err.Error(), "x.mp4: not WAV, FLAC, MP3 (MPEG-1) or OGG Vorbis; ffmpeg finds no sound in it either (ffmpeg: ") || strings.Contains(err.Error(), "\n") {
		t.Error(err)
	}
}

// TestFFmpegEnds stops reading early: the program must be gone after Close.
func TestFFmpegEnds(t *testing.T) {
	need(t, "ffmpeg")
	dir := t.TempDir()
	do(t, "ffmpeg", "-v", "error", "-f", "lavfi", "-i", "anoisesrc=d=60:r=48000:a=0.1", dir+"/x.aiff")
	b, err := os.ReadFile(dir + "/x.aiff")
	if err != nil {
		t.Fatal(err)
	}
	file, err := Open(dir + "/x.aiff")
	if err != nil {
		t.Fatal(err)
	}
	// A pipe that never ends must not keep Close waiting either.
	r, w := io.Pipe()
	go w.Write(b)
	pipe, err := NewReader("pipe", r)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []*File{file, pipe} {
		var block Block
		if err := f.Read(&block); err != nil {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Error(err)
		}
		if p := f.s.decoder.(*ffmpeg).cmd.ProcessState; p == nil {
			t.Error("ffmpeg still runs after Close")
		}
	}
	r.Close()
}

func TestResample(t *testing.T) {
	x := make([]float32, 44100)
	for i := range x {
		x[i] = 0.5 * float32(math.Sin(2*math.Pi*1000*float64(i)/44100))
	}
	var b bytes.Buffer
	if err := EncodeWAV(&b, 44100, 1, F32, x); err != nil {
		t.Fatal(err)
	}
	f, err := NewReader("x", &b)
	if err != nil {
		t.Fatal(err)
	}
	s := Resample(f, Rate)
	got := readAll(t, s)
	if s.Rate() != Rate || len(got) != Rate {
		t.Fatalf("%d samples at %d Hz", len(got), s.Rate())
	}
	for i, v := range got[100 : Rate-100] {
		want := 0.5 * math.Sin(2*math.Pi*1000*float64(i+100)/Rate)
		if math.Abs(float64(v)-want) > 1e-4 {
			t.Fatalf("sample %d is %g, want %g", i+100, v, want)
		}
	}
	if Resample(s, Rate) != s {
		t.Error("a sound that has the rate is wrapped all the same")
	}
}

// lossy is a Source that loses 1000 samples between two blocks, then fails.
type lossy struct{ calls int }

func (l *lossy) Rate() int    { return 24000 }
func (l *lossy) Close() error { return nil }
func (l *lossy) Read(b *Block) error {
	l.calls++
	switch l.calls {
	case 1:
		*b = Block{Samples: []float32{1, 1}}
	case 2:
		*b = Block{Index: 1002, Lost: 1000, Fault: "overrun", Samples: make([]float32, 998)}
	default:
		return io.ErrUnexpectedEOF
	}
	return nil
}

// TestResampleLost keeps time over lost samples and passes errors on.
func TestResampleLost(t *testing.T) {
	s := Resample(&lossy{}, Rate)
	var b Block
	n, fault := 0, ""
	err := s.Read(&b)
	for ; err == nil; err = s.Read(&b) {
		n += len(b.Samples)
		fault += b.Fault
	}
	if n != 4000 || fault != "overrun" || err != io.ErrUnexpectedEOF {
		t.Errorf("%d samples, fault %q, %v; want 4000, overrun, %v", n, fault, err, io.ErrUnexpectedEOF)
	}
}

func BenchmarkReadWAV(b *testing.B) {
	var w bytes.Buffer
	if err := EncodeWAV(&w, 48000, 2, S16, noise(2*48000)); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(w.Len()))
	b.ReportAllocs()
	for b.Loop() {
		f, err := NewReader("x", bytes.NewReader(w.Bytes()))
		if err != nil {
			b.Fatal(err)
		}
		var block Block
		for f.Read(&block) == nil {
		}
	}
}
