package device_test

import (
	"context"
	"os"
	"strings"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device"
	"steadfoot/audio/device/virtual"
)

func options(t *testing.T, command ...string) device.Options {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return device.Options{Clock: monotonic(), Command: virtual.Prefer(append([]string{self}, command...)...), GiveUp: 4 * time.Second}
}

func start(t *testing.T, o device.Options) *device.Duplex {
	t.Helper()
	d, err := device.Start(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.Close() })
	return d
}

// block reads a block and checks that it follows the one before on the clock.
func block(t *testing.T, d *device.Duplex, next *int64) audio.Block {
	t.Helper()
	var b audio.Block
	if err := d.Read(&b); err != nil {
		t.Fatal(err)
	}
	if b.Index != *next+b.Lost {
		t.Fatalf("block at %d after %d with %d lost", b.Index, *next, b.Lost)
	}
	if b.Lost > 0 && b.Fault == "" {
		t.Fatalf("%d samples lost without a word", b.Lost)
	}
	*next = b.Index + int64(len(b.Samples))
	return b
}

// clicks is n frames of silence from sample index on with a click at every
// multiple of every.
func clicks(index int64, n, every int) []audio.Frame {
	f := make([]audio.Frame, n)
	for i := range f {
		if (index+int64(i))%int64(every) == 0 {
			f[i] = audio.Frame{0.5, 0.5}
		}
	}
	return f
}

// Output sample i is played in the callback that captures input sample i; the
// made-up device returns it one period later.
func TestOutputAndInputShareOneClock(t *testing.T) {
	d := start(t, options(t, "fake", "well"))
	const every, lead = 4800, 4800
	if err := d.Write(clicks(0, lead, every)); err != nil {
		t.Fatal(err)
	}
	var next, heard int64
	for next < audio.Rate {
		b := block(t, d, &next)
		for i, v := range b.Samples {
			if v == 0 {
				continue
			}
			if at := b.Index + int64(i); (at-512)%every != 0 {
				t.Fatalf("click at %d, want a multiple of %d plus a period of 512", at, every)
			}
			heard++
		}
		if err := d.Write(clicks(next-int64(len(b.Samples))+lead, len(b.Samples), every)); err != nil {
			t.Fatal(err)
		}
	}
	if s := d.Stats(); heard != 10 || s.Late != 0 || s.Missing != 0 || s.Lost != 0 {
		t.Errorf("heard %d clicks, want 10; stats %+v", heard, s)
	}
}

func TestCloseLetsThePlayedBeHeard(t *testing.T) {
	d := start(t, options(t, "fake", "well"))
	if err := d.Write(clicks(0, audio.Rate/2, 4800)); err != nil {
		t.Fatal(err)
	}
	clock := monotonic()
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	if took := clock(); took < 400*time.Millisecond || took > 2*time.Second {
		t.Errorf("Close took %v with half a second still to be heard", took)
	}
	if err := d.Read(new(audio.Block)); err == nil {
		t.Error("a closed device gave a block")
	}
	if err := d.Write(clicks(0, 1, 2)); err == nil {
		t.Error("a closed device took a frame")
	}
}

func TestFarAheadWritesRunAtRealTime(t *testing.T) {
	d := start(t, options(t, "fake", "well"))
	clock := monotonic()
	if err := d.Write(make([]audio.Frame, 2*audio.Rate)); err != nil {
		t.Fatal(err)
	}
	// 1.37 s fit into the ring and some 0.2 s into the pipe.
	if took := clock(); took < 200*time.Millisecond || took > 1500*time.Millisecond {
		t.Errorf("2 s were taken in %v", took)
	}
}

func TestOneSideAlone(t *testing.T) {
	o := options(t, "fake", "well")
	o.NoInput = true
	d := start(t, o)
	clock := monotonic()
	var next int64
	for next < audio.Rate/4 {
		for _, v := range block(t, d, &next).Samples {
			if v != 0 {
				t.Fatal("sound without a microphone")
			}
		}
	}
	if took := clock(); took < 240*time.Millisecond || took > 600*time.Millisecond {
		t.Errorf("250 ms of silence took %v", took)
	}
	o = options(t, "fake", "well")
	o.NoOutput = true
	if err := start(t, o).Write(clicks(0, 1, 2)); err == nil {
		t.Error("a device without earphones took a frame")
	}
}

func TestStartSaysWhatIsWrongInOneLine(t *testing.T) {
	for manner, want := range map[string]string{
		"none":  "no microphone found; plug one in",
		"noise": "what came over the pipe is not from a sound process of this version",
		"die":   "the sound process died: exit status 3; check the system's sound settings",
		"mute":  "the sound device opened but gives no sound",
	} {
		t.Run(manner, func(t *testing.T) {
			t.Parallel()
			_, err := device.Start(t.Context(), options(t, "fake", manner))
			if err == nil || err.Error() != want {
				t.Errorf("got %v, want %s", err, want)
			}
		})
	}
	o := options(t)
	o.Command = []string{"no-such-program"}
	if _, err := device.Start(t.Context(), o); err == nil || !strings.Contains(err.Error(), "cannot start the sound process") {
		t.Errorf("a missing program gave %v", err)
	}
}

func TestCancelEndsTheWaits(t *testing.T) {
	ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
	defer cancel()
	if _, err := device.Start(ctx, options(t, "fake", "mute")); err != context.DeadlineExceeded {
		t.Errorf("Start gave %v", err)
	}
	ctx, cancel = context.WithCancel(t.Context())
	d, err := device.Start(ctx, options(t, "fake", "well"))
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	cancel()
	for err = nil; err == nil; {
		err = d.Read(new(audio.Block))
	}
	if err != context.Canceled {
		t.Errorf("Read gave %v", err)
	}
}

func TestBadOptionsAreRefused(t *testing.T) {
	for want, o := range map[string]device.Options{
		"Clock":   {},
		"neither": {Clock: monotonic(), NoInput: true, NoOutput: true},
		"Frames":  {Clock: monotonic(), Frames: 3},
		"Streams": {Clock: monotonic(), Streams: 3},
		"GiveUp":  {Clock: monotonic(), GiveUp: -1},
	} {
		if _, err := device.Start(t.Context(), o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v gave %v, want a word on %s", o, err, want)
		}
	}
}

func listWith(t *testing.T, command ...string) ([]device.Info, error) {
	t.Helper()
	return device.ListWith(t.Context(), options(t, command...).Command)
}

func TestListSurvivesACrash(t *testing.T) {
	devs, err := listWith(t, "fake", "well")
	if err != nil || len(devs) != 1 || devs[0].FullName() != "Made up: loop" {
		t.Errorf("got %v, %v", devs, err)
	}
	_, err = listWith(t, "fake", "panic")
	if err == nil || err.Error() != "the sound process died: panic: made-up crash; check the system's sound settings" {
		t.Errorf("a crash gave %v", err)
	}
}

// The loop's side of the sound makes no garbage either.
func TestLoopAllocatesNothing(t *testing.T) {
	d := start(t, options(t, "fake", "well"))
	var b audio.Block
	out := make([]audio.Frame, 256)
	if n := testing.AllocsPerRun(50, func() {
		if err := d.Read(&b); err != nil {
			t.Fatal(err)
		}
		if err := d.Write(out); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations a block", n)
	}
}

// A process that dies is described by the line that says most.
func TestLastWords(t *testing.T) {
	for said, want := range map[string]string{
		"":                                       "",
		"ALSA lib: no card\n\n":                  "ALSA lib: no card",
		"chatter\nSIGABRT: abort\nPC=0x1\nr14 0": "SIGABRT: abort",
	} {
		if got := device.LastWords(said); got != want {
			t.Errorf("%q gave %q, want %q", said, got, want)
		}
	}
	if got := device.LastWords(strings.Repeat("x", 100)); len(got) != 40 {
		t.Errorf("%d bytes were kept of 100, want 40", len(got))
	}
}
