package device_test

import (
	"math"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device"
	"steadfoot/audio/device/virtual"
)

// The tests of this file go through PortAudio and a real sound server.

const never = math.MaxInt64

// tries is how often a run in which the device or the server faltered, as both
// may on a busy machine, is repeated; tolerances stay as they are.
const tries = 8

// walk reads until the clock has run for some seconds and keeps output a tenth
// of a second ahead, clicking at multiples of every. It returns where the first
// fault was, or never.
func walk(t *testing.T, d *device.Duplex, seconds float64, every int, hear func(int64, float32)) (fault int64) {
	t.Helper()
	return walkAhead(t, d, audio.Rate/10, seconds, every, hear)
}

// walkAhead keeps output lead samples ahead.
func walkAhead(t *testing.T, d *device.Duplex, lead int, seconds float64, every int, hear func(int64, float32)) (fault int64) {
	t.Helper()
	if err := d.Write(clicks(0, lead, every)); err != nil {
		t.Fatal(err)
	}
	end := int64(seconds * audio.Rate)
	fault = never
	written := int64(lead)
	for next := int64(0); next < end; {
		b := block(t, d, &next)
		if b.Fault != "" {
			fault = min(fault, b.Index)
		}
		for i, v := range b.Samples {
			hear(b.Index+int64(i), v)
		}
		n := int(next + int64(lead) - written)
		if err := d.Write(clicks(written, n, every)); err != nil {
			t.Fatal(err)
		}
		written += int64(n)
	}
	return fault
}

const inEvery, outEvery = 16000, 24000

// The made clicks come in with their distance exact, and the played ones are
// recorded at theirs.
func TestPulseKeepsEverySample(t *testing.T) {
	srv := virtual.Pulse(t)
	srv.Use()
	wav := filepath.Join(t.TempDir(), "clicks.wav")
	made := make([]int16, 5*audio.Rate)
	for i := inEvery; i < len(made); i += inEvery {
		made[i] = 20000
	}
	writeWAV(t, wav, made)
	for try := range tries {
		in, out, clean := listenAndClick(t, srv, wav)
		t.Logf("try %d: in %v, out %v, clean: %v", try, in, out, clean)
		if !clean {
			continue
		}
		if slices.Min(in) < inEvery || slices.Min(out) < outEvery-1 {
			t.Fatal("clicks came closer together than they were made")
		}
		// PulseAudio puts silence between samples, and tells nobody, when it
		// is late itself (mostly one period, once a stream). That makes a gap
		// longer; a run of exact ones is what this program can answer for.
		if longest(in, inEvery, 0) >= 6 && longest(out, outEvery, 1) >= 4 {
			return
		}
	}
	t.Errorf("no run of exact gaps in %d tries", tries)
}

// longest is the length of the longest run of gaps of want ± by.
func longest(gaps []int64, want, by int64) (most int) {
	n := 0
	for _, g := range gaps {
		if n++; g < want-by || g > want+by {
			n = 0
		}
		most = max(most, n)
	}
	return most
}

// listenAndClick plays wav into the microphone while clicking, and returns the
// gaps between the clicks that were heard and those that were recorded.
func listenAndClick(t *testing.T, srv *virtual.PulseServer, wav string) (in, out []int64, clean bool) {
	t.Helper()
	ear := filepath.Join(t.TempDir(), "ear.wav")
	heard := srv.RecordEar(ear)
	d := start(t, options(t, "sound-process"))
	play := srv.PlayIntoMic(wav)
	var mic, ears onsets
	fault := walk(t, d, 4, outEvery, func(at int64, v float32) { mic.hear(at, v > 0.2) })
	s := d.Stats()
	if fault == never && (s.Lost != 0 || s.Overruns != 0 || s.Underruns != 0 || s.Restarts != 0) {
		t.Errorf("no fault was told, but %+v", s)
	}
	clean = fault == never && s.Late == 0 // late is this test itself
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	heard.Stop()
	play.Wait()
	for i, v := range readWAV(t, ear) {
		ears.hear(int64(i), v > 5000)
	}
	return mic.gaps(), ears.gaps(), clean
}

// With the earphones wired to the microphone by JACK the round trip is two
// periods, to the sample (measured for every period from 64 to 512 samples).
func TestJACKRoundTripIsTwoPeriods(t *testing.T) {
	srv := virtual.JACK(t)
	srv.Use()
	o := options(t, "sound-process")
	o.Input = "jack"
	o.Frames = 256 // the server's own period
	const every = 6000
	for range tries {
		d := start(t, o)
		if s := d.Stats(); !strings.HasPrefix(s.Input, "JACK") || !strings.HasPrefix(s.Output, "JACK") {
			t.Fatalf("opened %q and %q, want both of JACK", s.Input, s.Output)
		}
		srv.Loop()
		var in onsets
		fault := walk(t, d, 1.3, every, func(at int64, v float32) { in.hear(at, v > 0.2) })
		late := d.Stats().Late
		d.Close()
		n := 0
		for _, at := range in.at {
			if at >= fault {
				break
			}
			if n++; (at-512)%every != 0 {
				t.Errorf("click %d came at %d, want a multiple of %d and 512 more", n, at, every)
			}
		}
		t.Logf("%d clicks at their place, %d of output late, fault at %d", n, late, fault)
		if n >= 5 {
			return
		}
	}
	t.Errorf("no run of 5 clicks without a fault in %d tries", tries)
}

// gone reads until the device is given up and returns how long that took.
func gone(t *testing.T, d *device.Duplex) (time.Duration, error) {
	t.Helper()
	clock := monotonic()
	for clock() < 15*time.Second {
		if err := d.Read(new(audio.Block)); err != nil {
			return clock(), err
		}
	}
	t.Fatal("a device without server goes on")
	return 0, nil
}

func TestKilledServerEndsTheDevice(t *testing.T) {
	for name, serve := range map[string]func(*testing.T) *virtual.Server{
		"pulse": func(t *testing.T) *virtual.Server { return virtual.Pulse(t).Server },
		"jack":  func(t *testing.T) *virtual.Server { return virtual.JACK(t).Server },
	} {
		t.Run(name, func(t *testing.T) {
			srv := serve(t)
			srv.Use()
			o := options(t, "sound-process")
			o.GiveUp = time.Second
			if name == "jack" {
				o.Input = "jack"
			}
			d := start(t, o)
			walk(t, d, 0.5, 4800, func(int64, float32) {})
			srv.Kill()
			took, err := gone(t, d)
			t.Logf("after %v: %v", took, err)
			if !strings.Contains(err.Error(), "has not come back within 1s") || strings.Contains(err.Error(), "\n") {
				t.Errorf("the error is %q", err)
			}
			if took > 4*time.Second {
				t.Errorf("it took %v", took)
			}
			if err := d.Close(); err != nil {
				t.Error(err)
			}
			if _, err := device.Start(t.Context(), o); err == nil {
				t.Error("a device without server opened")
			}
		})
	}
}

func TestKilledSoundProcessGoesOnWithPulse(t *testing.T) {
	srv := virtual.Pulse(t)
	srv.Use()
	strike(t, start(t, options(t, "sound-process")), syscall.SIGKILL)
}

// A server that stands still loses sound; the clock is set right by what it
// was.
func TestFrozenServerIsAGap(t *testing.T) {
	srv := virtual.Pulse(t)
	srv.Use()
	d := start(t, options(t, "sound-process"))
	s := session{clock: monotonic()}
	before := s.run(t, d, audio.Rate, func(audio.Block) {})
	srv.Freeze()
	time.AfterFunc(400*time.Millisecond, srv.Thaw)
	lost, off := int64(0), time.Duration(0)
	for range 24 {
		after := s.run(t, d, audio.Rate/4, func(b audio.Block) {
			lost += b.Lost
			if b.Fault != "" {
				t.Log(b.Fault)
			}
		})
		off = after - before
		if lost > 0.3*audio.Rate && off > -50*time.Millisecond && off < 50*time.Millisecond {
			return
		}
	}
	t.Errorf("after %d lost samples the clock is off by %v", lost, off)
}

func TestListNamesTheDevice(t *testing.T) {
	srv := virtual.Pulse(t)
	srv.Use()
	devs, err := listWith(t, "sound-process")
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range devs {
		if d.Match("alsa: DEFAULT") && d.Inputs > 0 && d.Outputs > 0 && d.DefaultInput && d.LowInputLatency > 0 {
			return
		}
	}
	t.Errorf("no default device among %+v", devs)
}
