package wire

import (
	"bytes"
	"io"
	"slices"
	"testing"

	"steadfoot/audio"
)

func TestFramesComeBackAsSent(t *testing.T) {
	var pipe bytes.Buffer
	w := NewWriter(&pipe)
	head := BlockHead{Index: 1 << 40, Frames: 3, Flags: InputOverflow, Clock: 5, ADC: 1, Now: 2, DAC: 3, Missing: 7, Late: 9, Sent: 11, Drift: -2.5, DriftSD: 0.5}
	silent := BlockHead{Index: 4, Frames: 2}
	frames := []audio.Frame{{0.25, -1}, {1, 0}}
	for _, err := range []error{
		w.Bare(Go), w.Block(&head, []float32{0.5, -0.5, 1}), w.Block(&silent, nil),
		w.Output(-12, frames), w.Text(Failed, "no microphone"),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	r := NewReader(&pipe)
	next := func(want Kind) []byte {
		t.Helper()
		k, p, err := r.Next()
		if err != nil || k != want {
			t.Fatalf("got kind %d, %v, want %d", k, err, want)
		}
		return p
	}
	if p := next(Go); len(p) != 0 {
		t.Errorf("Go carries %d bytes", len(p))
	}
	var h BlockHead
	s, err := DecodeBlock(next(Block), &h, nil)
	if err != nil || h != head || !slices.Equal(s, []float32{0.5, -0.5, 1}) {
		t.Errorf("block: %+v %v %v", h, s, err)
	}
	s, err = DecodeBlock(next(Block), &h, s)
	if err != nil || h != silent || !slices.Equal(s, []float32{0, 0}) {
		t.Errorf("silent block: %+v %v %v", h, s, err)
	}
	index, f, err := DecodeOutput(next(Output), nil)
	if err != nil || index != -12 || !slices.Equal(f, frames) {
		t.Errorf("output: %d %v %v", index, f, err)
	}
	if p := next(Failed); string(p) != "no microphone" {
		t.Errorf("text: %q", p)
	}
	if _, _, err := r.Next(); err != io.EOF {
		t.Errorf("the end gave %v", err)
	}
}

func TestWhatIsNoFrameIsRefused(t *testing.T) {
	for name, in := range map[string]string{
		"text":       "ALSA lib pcm.c: unknown\n",
		"kind":       "Sf\xff\x01\x00\x00\x00\x00",
		"version":    "Sf\x01\x02\x00\x00\x00\x00",
		"length":     "Sf\x01\x01\xff\xff\xff\xff",
		"half head":  "Sf\x01",
		"half frame": "Sf\x01\x01\x04\x00\x00\x00ab",
	} {
		if _, _, err := NewReader(bytes.NewBufferString(in)).Next(); err == nil || err == io.EOF {
			t.Errorf("%s gave %v", name, err)
		}
	}
}

func TestSoundTravelsWithoutAllocation(t *testing.T) {
	var pipe bytes.Buffer
	pipe.Grow(1 << 16)
	w, r := NewWriter(&pipe), NewReader(&pipe)
	h := BlockHead{Frames: 256}
	samples, frames := make([]float32, 256), make([]audio.Frame, 256)
	trip := func() {
		_ = w.Block(&h, samples)
		_ = w.Output(0, frames)
		_, p, _ := r.Next()
		samples, _ = DecodeBlock(p, &h, samples)
		_, p, _ = r.Next()
		_, frames, _ = DecodeOutput(p, frames)
	}
	if n := testing.AllocsPerRun(100, trip); n != 0 {
		t.Errorf("%v allocations a block", n)
	}
	if len(samples) != 256 || len(frames) != 256 {
		t.Errorf("%d samples and %d frames came back", len(samples), len(frames))
	}
}

func FuzzReader(f *testing.F) {
	var pipe bytes.Buffer
	w := NewWriter(&pipe)
	_ = w.Block(&BlockHead{Frames: 2}, []float32{1, 2})
	_ = w.Output(5, []audio.Frame{{1, 2}})
	_ = w.JSON(Open, OpenRequest{Input: "mic", Frames: 256})
	f.Add(pipe.Bytes())
	f.Add([]byte("Sf\x07\x01\x02\x00\x00\x00{}"))
	f.Fuzz(func(t *testing.T, in []byte) {
		r := NewReader(bytes.NewReader(in))
		for {
			k, p, err := r.Next()
			if err != nil {
				return
			}
			var h BlockHead
			if s, err := DecodeBlock(p, &h, nil); k == Block && err == nil {
				var again bytes.Buffer
				if err := NewWriter(&again).Block(&h, s); err != nil || len(s) != h.Frames {
					t.Fatalf("%+v with %d samples: %v", h, len(s), err)
				}
			}
			if _, frames, err := DecodeOutput(p, nil); err == nil && len(frames)*8+8 != len(p) {
				t.Fatalf("%d frames of %d bytes", len(frames), len(p))
			}
		}
	})
}
