package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/virtual"
	"steadfoot/coach/event"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// Bars of the soak.
const (
	soakBeat   = 0.001 // s that a beat may be off the map
	soakShare  = 0.995 // of the beats that must be within it; see judgeClicks
	soakCPU    = 5.0   // % of one core, walk and sound process
	soakGrowth = 1.25  // of memory and goroutines, last tenth against the first
	soakSteps  = 0.02  // share of the steps that may be missed or made up
)

// TestSoak walks in real time for SOAK_MINUTES: without them it is skipped. In the
// second half of it another program keeps a core busy.
func TestSoak(t *testing.T) {
	minutes, err := strconv.ParseFloat(os.Getenv("SOAK_MINUTES"), 64)
	if err != nil {
		t.Skip("SOAK_MINUTES is not set: 'make soak' sets it")
	}
	srv := virtual.Pulse(t)
	bin := buildProgram(t)
	dir := t.TempDir()
	length := time.Duration(minutes * float64(time.Minute))
	clicks := recordClicks(t, srv)
	feedWalk(t, srv)
	args := virtual.Prefer(bin, "walk", "--cadence", "192", "--cues", "tones", "--plain", "--duration", length.String(), "--store", filepath.Join(dir, "log.db"))
	cmd := srv.Command(args[0], args[1:]...)
	cmd.Env = append(cmd.Env, "STEADFOOT_METER="+dir)
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill() }) // fails when all is well
	quit := make(chan struct{})
	go soakProgress(t, length, dir, quit)
	hog := time.AfterFunc(length/2, func() { spin(quit) })
	err = cmd.Wait()
	hog.Stop()
	close(quit)
	if err != nil {
		t.Fatalf("the walk: %v\n%s", err, said.String())
	}
	for line := range strings.Lines(said.String()) {
		if strings.Contains(line, "sound:") {
			t.Log(strings.TrimSpace(line))
		}
	}
	cpu := (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds() / length.Seconds() * 100
	t.Logf("processor: %.2f %% of one core", cpu)
	if cpu > soakCPU {
		t.Errorf("the walk took %.2f %% of a core, want %v", cpu, soakCPU)
	}
	events := stored(t, filepath.Join(dir, "log.db"))
	judgeLog(t, events, length.Seconds())
	judgeSound(t, events, said.String())
	judgeClicks(t, events, clicks())
	judgeMeter(t, dir)
}

// spin keeps a core busy.
func spin(quit <-chan struct{}) {
	for n := 0; ; n++ {
		if n&0xffff != 0 {
			continue
		}
		select {
		case <-quit:
			return
		default:
		}
	}
}

// soakProgress tells how far it is.
func soakProgress(t *testing.T, length time.Duration, dir string, quit <-chan struct{}) {
	clock := monotonic()
	tick := time.NewTicker(max(length/20, 30*time.Second))
	defer tick.Stop()
	for {
		select {
		case <-quit:
			return
		case <-tick.C:
		}
		last := reading{}
		if all := readings(dir); len(all) > 0 {
			last = all[len(all)-1]
		}
		t.Logf("%v of %v: heap %.1f MB, memory %.1f MB, %.0f goroutines, %.0f pauses",
			clock().Round(time.Second), length, last.Heap/1e6, last.Memory/1e6, last.Goroutines, last.Pauses)
	}
}

const soakLoop = 60 // s; whole strides at pathCadence

// feedWalk plays a made walk into the microphone, over and over.
func feedWalk(t *testing.T, srv *virtual.PulseServer) {
	t.Helper()
	w := made.Spec{
		Seed: 11, Duration: soakLoop + 10,
		Gait:    made.Gait{Cadence: made.Steady(pathCadence), JitterCV: 1.5, Start: 1},
		Surface: footsteps.Surface("gravel"),
		Noises:  []made.Noise{{Kind: made.Pink, SNR: 15}},
	}.Walk()
	loop := w.Samples[5*int(w.Rate) : (5+soakLoop)*int(w.Rate)]
	pcm := make([]byte, 0, 2*len(loop))
	for _, v := range loop {
		pcm = binary.LittleEndian.AppendUint16(pcm, uint16(int16(math.Round(32767*float64(max(-1, min(1, v)))))))
	}
	c := srv.Command("pacat", "--playback", "--device=mic", "--rate="+strconv.Itoa(int(w.Rate)), "--channels=1", "--format=s16le", "--latency-msec=500")
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	startHelper(t, c)
	go func() {
		for {
			if _, err := in.Write(pcm); err != nil {
				return // the end of the test
			}
		}
	}()
}

// recordClicks finds the clicks in what the earphones play while it is played. What
// it returns ends that and gives their places in samples.
func recordClicks(t *testing.T, srv *virtual.PulseServer) func() []int64 {
	t.Helper()
	c := srv.Command("parec", "--device=ear.monitor", "--rate=48000", "--channels=1", "--format=s16le", "--latency-msec=200", "--raw")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	startHelper(t, c)
	found := make(chan []int64)
	go func() {
		f := clickFinder{}
		buf := make([]byte, 9600)
		for {
			n, err := io.ReadFull(out, buf)
			for i := 0; i+1 < n; i += 2 {
				f.hear(float64(int16(binary.LittleEndian.Uint16(buf[i:]))) / 32768)
			}
			if err != nil {
				found <- f.at
				return
			}
		}
	}()
	return func() []int64 {
		_ = c.Process.Signal(os.Interrupt) // fails only when it has ended
		return <-found
	}
}

// startHelper runs a program that ends with the test.
func startHelper(t *testing.T, c *exec.Cmd) {
	t.Helper()
	c.WaitDelay = time.Second
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Process.Kill(); _ = c.Wait() }) // it is ended by force
}

// clickFinder notes where sound starts after a moment of silence.
type clickFinder struct {
	at    []int64
	n     int64
	quiet int       // samples of silence up to now
	head  []float64 // of the sound that has begun
}

const (
	clickFloor = 0.003           // as in clickGaps
	clickCalm  = audio.Rate / 50 // silence before a click
	clickHead  = audio.Rate / 50 // where its peak is
)

func (f *clickFinder) hear(v float64) {
	v = math.Abs(v)
	f.n++
	if len(f.head) == 0 {
		if v < clickFloor {
			f.quiet++
			return
		}
		calm := f.quiet >= clickCalm
		f.quiet = 0
		if !calm {
			return
		}
	}
	if f.head = append(f.head, v); len(f.head) < clickHead {
		return
	}
	peak := 0.0
	for _, x := range f.head {
		peak = max(peak, x)
	}
	for i, x := range f.head {
		if x >= peak/2 {
			f.at = append(f.at, f.n-int64(len(f.head)-i))
			break
		}
	}
	f.head = f.head[:0]
}

// readings are those left by now.
func readings(dir string) (all []reading) {
	data, err := os.ReadFile(filepath.Join(dir, "walk.jsonl"))
	if err != nil {
		return nil // not yet
	}
	for line := range bytes.Lines(data) {
		var r reading
		if json.Unmarshal(line, &r) == nil { // the last one may be half written
			all = append(all, r)
		}
	}
	return all
}

// kindsOf counts events.
func kindsOf(events []event.Event) map[string]int {
	n := map[string]int{}
	for _, e := range events {
		n[e.Kind()]++
	}
	return n
}
