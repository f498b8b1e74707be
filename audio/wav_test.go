package audio

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"
)

// step is the distance of two neighbouring values of each format at ±1; a round
// trip may be off by half of it.
var step = map[Format]float64{U8: 1. / 128, S16: 1. / 32768, S24: 1. / (1 << 23), S32: 1. / (1 << 24), F32: 0, F64: 0}

func TestWAVRoundTrip(t *testing.T) {
	for f, d := range step {
		for _, channels := range []int{1, 2, 3, 6} {
			t.Run(fmt.Sprintf("%s/%d", f, channels), func(t *testing.T) {
				x := noise(3 * blockSize * channels)
				path := write(t, "x.wav", nil)
				if err := WriteWAV(path, 22050, channels, f, x); err != nil {
					t.Fatal(err)
				}
				w, err := Open(path)
				if err != nil {
					t.Fatal(err)
				}
				defer w.Close()
				if w.Rate() != 22050 || w.Channels() != channels || w.Length() != 3*blockSize {
					t.Fatalf("rate %d, channels %d, length %d", w.Rate(), w.Channels(), w.Length())
				}
				compare(t, readAll(t, w), mixed(x, channels), d/2+1e-7)
				if got := w.Warnings(); got != nil {
					t.Errorf("warnings of a sound file: %q", got)
				}
			})
		}
	}
}

// mixed is the mean of the channels.
func mixed(x []float32, channels int) []float32 {
	m := make([]float32, len(x)/channels)
	for i := range m {
		var sum float64
		for _, v := range x[i*channels : (i+1)*channels] {
			sum += float64(v)
		}
		m[i] = float32(sum / float64(channels))
	}
	return m
}

func compare(t *testing.T, got, want []float32, tolerance float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d samples, want %d", len(got), len(want))
	}
	for i := range got {
		if !(math.Abs(float64(got[i]-want[i])) <= tolerance) {
			t.Fatalf("sample %d is %g, want %g ± %g", i, got[i], want[i], tolerance)
		}
	}
}

// TestFullScale holds the scale: the lowest number of each format is −1.
func TestFullScale(t *testing.T) {
	for format, low := range map[Format][]byte{U8: {0}, S16: {0, 0x80}, S24: {0, 0, 0x80}, S32: {0, 0, 0, 0x80}} {
		w, err := NewPCM("x", bytes.NewReader(low), 48000, 1, format)
		if err != nil {
			t.Fatal(err)
		}
		compare(t, readAll(t, w), []float32{-1}, 0)
	}
}

// TestWriteHolds writes what lies outside full scale.
func TestWriteHolds(t *testing.T) {
	x := []float32{2, -2, 1, -1, float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1))}
	for _, f := range []Format{U8, S16, S24, S32} {
		var b bytes.Buffer
		if err := EncodeWAV(&b, 48000, 1, f, x); err != nil {
			t.Fatal(err)
		}
		w, err := NewReader("x", &b)
		if err != nil {
			t.Fatal(err)
		}
		compare(t, readAll(t, w), []float32{1, -1, 1, -1, 0, 1, -1}, step[f])
	}
}

// TestWAVHeaders reads headers as they are met in the wild. All hold the
// samples 0.25 and −0.5 in 16 bits unless they say otherwise.
func TestWAVHeaders(t *testing.T) {
	data := []byte{0, 0x20, 0, 0xC0}
	format := chunk("fmt ", fmtBody(1, 1, 48000, 2, 16))
	extensible := func(tag byte, channels, align, bits uint16) []byte {
		b := append(fmtBody(0xFFFE, channels, 48000, align, bits), 22, 0, byte(bits), 0, 0, 0, 0, 0)
		return chunk("fmt ", append(b, tag, 0, 0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71))
	}
	ds64 := binary.LittleEndian.AppendUint64(make([]byte, 8), 4)
	rf64 := func(id string) []byte {
		b := riff(chunk("ds64", append(ds64, make([]byte, 12)...)), format, sized("data", 0xFFFFFFFF, data), chunk("LIST", make([]byte, 8)))
		copy(b, id)
		return b
	}
	want := []float32{0.25, -0.5}
	for name, b := range map[string][]byte{
		"plain":               riff(format, chunk("data", data)),
		"chunks around":       riff(chunk("JUNK", make([]byte, 28)), format, chunk("LIST", []byte("abc")), chunk("data", data), chunk("id3 ", []byte("xyz"))),
		"odd without padding": riff(sized("LIST", 3, []byte("abc")), format, chunk("data", data)),
		"long fmt":            riff(chunk("fmt ", append(fmtBody(1, 1, 48000, 2, 16), make([]byte, 300)...)), chunk("data", data)),
		"extensible":          riff(extensible(1, 1, 2, 16), chunk("data", data)),
		"extensible float":    riff(extensible(3, 1, 4, 32), chunk("data", []byte{0, 0, 0x80, 0x3E, 0, 0, 0, 0xBF})),
		"20 bits in 24":       riff(extensible(1, 1, 3, 20), chunk("data", []byte{0, 0, 0x20, 0, 0, 0xC0})),
		"streamed":            riff(format, sized("data", 0xFFFFFFFF, data)),
		"streamed signed":     riff(format, sized("data", 0x7FFFFFFF, data)),
		"recorder killed":     riff(format, sized("data", 0, data)),
		"size in the header":  append(riff(format, sized("data", 4, data)), "rubbish after the end"...),
		"RF64":                rf64("RF64"),
		"BW64":                rf64("BW64"),
		"wrong byte rate":     riff(chunk("fmt ", append(fmtBody(1, 1, 48000, 2, 16)[:8], 9, 9, 9, 9, 2, 0, 16, 0)), chunk("data", data)),
		"no block size":       riff(chunk("fmt ", fmtBody(1, 1, 48000, 0, 16)), chunk("data", data)),
	} {
		t.Run(name, func(t *testing.T) {
			w, err := NewReader("x.wav", bytes.NewReader(b))
			if err != nil {
				t.Fatal(err)
			}
			compare(t, readAll(t, w), want, 0)
			if got := w.Warnings(); got != nil {
				t.Errorf("warnings: %q", got)
			}
		})
	}
}

// TestWAVCutOff gives what is there of a truncated file, and says so.
func TestWAVCutOff(t *testing.T) {
	var b bytes.Buffer
	x := noise(48000)
	if err := EncodeWAV(&b, 48000, 1, S16, x); err != nil {
		t.Fatal(err)
	}
	w, err := Open(write(t, "cut.wav", b.Bytes()[:44+2*24000+1]))
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	compare(t, readAll(t, w), x[:24000], 1./65536)
	got := w.Warnings()
	if len(got) != 1 || !strings.HasSuffix(got[0], "cut.wav: cut off after 0.5 s of the 1.0 s its header promises; what is there was used") {
		t.Errorf("warnings: %q", got)
	}
}

// TestRefused has files that must end in one clear line.
func TestRefused(t *testing.T) {
	format := chunk("fmt ", fmtBody(1, 1, 48000, 2, 16))
	data := chunk("data", make([]byte, 4))
	for _, c := range []struct {
		name string
		b    []byte
		want string
	}{
		{"empty", nil, "empty file"},
		{"text", []byte("these are the notes of Dana Roe\n"), "text, not a sound"},
		{"header only", riff()[:12], "WAV file without a data chunk"},
		{"no data chunk", riff(format), "WAV file without a data chunk"},
		{"no samples", riff(format, chunk("data", nil)), "no sound in it"},
		{"no samples but notes", riff(format, chunk("data", nil), chunk("LIST", []byte("abcd"))), "no sound in it"},
		{"half a sample", riff(format, chunk("data", []byte{1})), "no sound in it"},
		{"no fmt chunk", riff(data), "WAV file without a fmt chunk before its data"},
		{"short fmt chunk", riff(chunk("fmt ", make([]byte, 8)), data), "wrong WAV header: fmt chunk too short"},
		{"ends in fmt chunk", riff(sized("fmt ", 40, fmtBody(1, 1, 48000, 2, 16))), "WAV file ends in its header"},
		{"0 Hz", riff(chunk("fmt ", fmtBody(1, 1, 0, 2, 16)), data), "wrong WAV header: sample rate 0 Hz is out of range; want 1000 to 768000"},
		{"4 GHz", riff(chunk("fmt ", fmtBody(1, 1, 1<<32-1, 2, 16)), data), "sample rate 4294967295 Hz is out of range"},
		{"0 channels", riff(chunk("fmt ", fmtBody(1, 0, 48000, 2, 16)), data), "wrong WAV header: 0 channels"},
		{"9999 channels", riff(chunk("fmt ", fmtBody(1, 9999, 48000, 19998, 16)), data), "9999 channels; want 1 to 256"},
		{"wrong block size", riff(chunk("fmt ", fmtBody(1, 2, 48000, 3, 16)), data), "3 bytes a frame do not hold 2 channels of 16 bits"},
		{"huge chunk", riff(sized("LIST", 0xFFFFFFF0, nil), format, data), "WAV file without a data chunk"},
		{"huge fmt chunk", riff(sized("fmt ", 0xFFFFFFF0, fmtBody(1, 1, 48000, 2, 16)), data), "WAV file without a data chunk"},
		{"FLAC cut off", []byte("fLaC\x00\x00\x00\x22\x10"), "wrong FLAC header"},
		{"folder", nil, "a folder, not a sound file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := write(t, "bad.wav", c.b)
			if c.name == "folder" {
				path = t.TempDir()
			}
			f, err := Open(path)
			if err == nil {
				defer f.Close()
				_, err = drain(f)
			}
			if err == nil {
				t.Fatal("no error")
			}
			if !strings.HasPrefix(err.Error(), path+": ") || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("got  %s\nwant %s: %s", err, path, c.want)
			}
		})
	}
}

func TestHealth(t *testing.T) {
	quiet := noise(48000)
	clipped := append([]float32(nil), quiet...)
	for i := range clipped {
		clipped[i] = max(-1, min(1, 4*float32(math.Sin(float64(i)/50))))
	}
	nan := append([]float32(nil), quiet...)
	nan[7], nan[8] = float32(math.NaN()), float32(math.Inf(-1))
	hole := append(append(append([]float32(nil), quiet...), make([]float32, 3*48000)...), quiet...)
	for _, c := range []struct {
		name string
		x    []float32
		want string
	}{
		{"one sample", quiet[:1], ""},
		{"clipped", clipped, "clipped: 84 % of the samples"},
		{"not finite", nan, "samples that are not numbers: 2, taken as silence"},
		{"silent", make([]float32, 1000), "silent throughout"},
		{"hole", hole, "dead for 3.0 s of 5.0 s"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := write(t, "x.wav", nil)
			if err := WriteWAV(path, 48000, 1, F32, c.x); err != nil {
				t.Fatal(err)
			}
			f, err := Open(path)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			for i, x := range readAll(t, f) {
				if !(x >= -1 && x <= 1) {
					t.Fatalf("sample %d is %g", i, x)
				}
			}
			got := strings.Join(f.Warnings(), "\n")
			if (got == "") != (c.want == "") || !strings.Contains(got, c.want) || strings.Contains(got, "\n") {
				t.Errorf("warnings %q, want one: %q", got, c.want)
			}
		})
	}
}
