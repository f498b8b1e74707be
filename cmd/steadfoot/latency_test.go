package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfoot/audio"
	"steadfoot/audio/device"
)

// fakeLoop is a device whose microphone hears its earphones, in no time at all.
type fakeLoop struct {
	delay  func(at int64) int64 // samples, of what is heard at a sample; nil is never
	gain   float32
	hiss   float64
	faults map[int64]string // by block, from 0
	fails  int64            // block at which Read fails; 0 is never

	out   []audio.Frame
	block int64
	rng   *rand.Rand
	in    [480]float32
}

func newFakeLoop(delay int64) *fakeLoop {
	return &fakeLoop{delay: func(int64) int64 { return delay }, gain: 0.1, hiss: 0.001, rng: rand.New(rand.NewPCG(1, 2))}
}

func (f *fakeLoop) Write(frames []audio.Frame) error {
	f.out = append(f.out, frames...)
	return nil
}

func (f *fakeLoop) Read(b *audio.Block) error {
	if f.block++; f.block == f.fails {
		return context.Canceled
	}
	at := (f.block - 1) * int64(len(f.in))
	for i := range f.in {
		f.in[i] = float32(f.hiss * f.rng.NormFloat64())
		if k := at + int64(i); f.delay != nil && k >= f.delay(k) {
			f.in[i] += f.gain * f.out[k-f.delay(k)][0]
		}
	}
	*b = audio.Block{Index: at, Samples: f.in[:], Fault: f.faults[f.block-1]}
	return nil
}

func (f *fakeLoop) Stats() device.Stats {
	return device.Stats{Input: "Made up: lapel", Output: "Made up: earbuds", InputLatency: 0.01, OutputLatency: 0.02}
}

func measuredLatency(t *testing.T, o latencyOptions, d loop) (string, error) {
	t.Helper()
	o.in, o.out = "mic", "earphones"
	if o.tries == 0 {
		o.tries = 4
	}
	if o.volume == 0 {
		o.volume = 0.2
	}
	if err := o.check(); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	err := o.run(t.Context(), stdio{strings.NewReader(""), &out, &errs}, d)
	return out.String(), err
}

func TestLatencyIsTold(t *testing.T) {
	got, err := measuredLatency(t, latencyOptions{}, newFakeLoop(7354))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"TRY  LATENCY     PEAK", "Round trip 153.21 ms (7354.0 samples)", "4 of 4 tries found, from 153.21 to 153.21 ms",
		"right for walks that are heard by this microphone", "Out by Made up: earbuds, in by Made up: lapel.", "claims 20.0 ms out and 10.0 ms in",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
}

func TestLatencyWithoutTheWayIn(t *testing.T) {
	got, err := measuredLatency(t, latencyOptions{hasInput: true, input: 12}, newFakeLoop(7354))
	if want := "out to the ear alone 141.21 ms, without the 12 ms of the way in"; err != nil || !strings.Contains(got, want) {
		t.Errorf("no %q in\n%s%v", want, got, err)
	}
	got, err = measuredLatency(t, latencyOptions{hasCable: true, cable: 20}, newFakeLoop(7354))
	if want := "out to the ear alone about 143.2 ms, 133.2 to 153.2"; err != nil || !strings.Contains(got, want) {
		t.Errorf("no %q in\n%s%v", want, got, err)
	}
	if _, err = measuredLatency(t, latencyOptions{hasInput: true, input: 154}, newFakeLoop(7354)); err == nil || !strings.Contains(err.Error(), "longer than the whole round trip of 153.2 ms") {
		t.Errorf("too much taken off: %v", err)
	}
}

func TestLatencyAsJSON(t *testing.T) {
	d := newFakeLoop(4801)
	d.faults = map[int64]string{300: "the device stood still"} // at 3 s, in the first try that counts or the next
	got, err := measuredLatency(t, latencyOptions{json: true}, d)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(got), "\n")
	if len(lines) != 5 || strings.Count(got, `{"kind":"try","found":true,"latency_ms":100.021,`) < 3 {
		t.Errorf("got\n%s", got)
	}
	var r latencyResult
	if err := json.Unmarshal([]byte(lines[4]), &r); err != nil {
		t.Fatal(err)
	}
	if r.Kind != "latency" || r.Tries != 4 || !r.Agree || math.Abs(r.Samples-4801) > 0.1 || r.DriverOutput != 20 || r.Output != nil {
		t.Errorf("got %+v", r)
	}
}

func TestLatencySaysWhatIsWrong(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*fakeLoop)
		want   string
	}{
		"muted":     {func(d *fakeLoop) { d.delay, d.hiss = nil, 0 }, "digital silence"},
		"faint":     {func(d *fakeLoop) { d.delay, d.hiss = nil, 1e-5 }, "all but silent (-100 dBFS)"},
		"elsewhere": {func(d *fakeLoop) { d.delay, d.hiss = nil, 0.01 }, "hold the earbud's outlet right at it"},
		"drowned":   {func(d *fakeLoop) { d.gain, d.hiss = 0.01, 0.1 }, "hold the earbud's outlet right at it"},
		"faltering": {func(d *fakeLoop) {
			d.faults = map[int64]string{}
			for i := range int64(2000) {
				d.faults[i] = "the device played a gap"
			}
		}, "the sound faltered in every try"},
		"jumping": {func(d *fakeLoop) {
			d.delay = func(at int64) int64 { return 4800 + at/(2*audio.Rate)*480 }
		}, "the tries disagree"},
		"once": {func(d *fakeLoop) {
			d.delay = func(at int64) int64 {
				if at > 3.2*audio.Rate {
					return at + 1 // nothing any more
				}
				return 4800
			}
		}, "only 1 of 4 tries found the chirp"},
		"lost": {func(d *fakeLoop) { d.fails = 200 }, "context canceled"},
	} {
		t.Run(name, func(t *testing.T) {
			d := newFakeLoop(4800)
			c.change(d)
			profile := writeProfile(t)
			_, err := measuredLatency(t, latencyOptions{profile: profile, save: true}, d)
			if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("got %v, want %q", err, c.want)
			}
			if text, _ := os.ReadFile(profile); string(text) != aProfile {
				t.Errorf("the profile has changed:\n%s", text)
			}
		})
	}
}

const aProfile = "# by hand\nname = \"Mira Tal\"\nlatency_ms = 90 # old earbuds\n\n[target]\ncadence = 190\n"

func writeProfile(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "mira.toml")
	if err := os.WriteFile(path, []byte(aProfile), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestLatencyIsSaved(t *testing.T) {
	for want, o := range map[string]latencyOptions{"153.2": {}, "141.7": {hasInput: true, input: 11.5}} {
		o.profile, o.save = writeProfile(t), true
		if _, err := measuredLatency(t, o, newFakeLoop(7354)); err != nil {
			t.Fatal(err)
		}
		text, err := os.ReadFile(o.profile)
		if err != nil || string(text) != strings.Replace(aProfile, "90", want, 1) {
			t.Errorf("got %v\n%s", err, text)
		}
	}
}

func TestLatencyIsStoppedByTheUser(t *testing.T) {
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(errors.New("interrupt"))
	d := newFakeLoop(480)
	d.fails = 10
	o := latencyOptions{tries: 3, volume: 0.1}
	var out bytes.Buffer
	if err := o.run(ctx, stdio{strings.NewReader(""), &out, &out}, d); err == nil || !strings.Contains(err.Error(), "stopped before the end") {
		t.Errorf("got %v", err)
	}
}

func TestLatencyWrongUseIsStatusTwo(t *testing.T) {
	for _, args := range []string{"latency --tries 2", "latency --volume 2", "latency --save", "latency --in file.wav"} {
		var out, errs bytes.Buffer
		if status := run(t.Context(), stdio{strings.NewReader(""), &out, &errs}, strings.Fields(args)); status != exitUsage || out.Len() > 0 {
			t.Errorf("%s: status %d, %q %q", args, status, out.String(), errs.String())
		}
	}
}
