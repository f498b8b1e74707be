package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/virtual"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// TestSoak walks in real time for SOAK_MINUTES: without them it is skipped. What
// it judges does not depend on the load of the machine: what the machine or the
// sound server is to blame for is told apart and reported.
//
//	SOAK_HOG=0        no other program keeps a core busy meanwhile
//	SOAK_DRIFT=300    the microphone's crystal is so many millionths faster than that
//	                  of the earphones
//	SOAK_DEVICES=2    microphone and earphones are two devices, with a stream each
//	SOAK_ORDINARY=1   the walk is no more urgent than other programs, as it is for
//	                  most walkers; else it is, where that is allowed
func TestSoak(t *testing.T) {
	minutes, err := strconv.ParseFloat(os.Getenv("SOAK_MINUTES"), 64)
	if err != nil {
		t.Skip("SOAK_MINUTES is not set: 'make soak' sets it")
	}
	s := &soak{t: t, length: minutes * 60, dir: t.TempDir()}
	srv := virtual.Pulse(t)
	bin := buildProgram(t)
	s.heard = recordClicks(t, srv, 200*time.Millisecond)
	drift, _ := strconv.ParseFloat(os.Getenv("SOAK_DRIFT"), 64)
	source := "mic.monitor"
	if drift != 0 {
		source = "crystal"
		srv.AddMicrophone(source, drift, loopOf(soakWalk()))
		srv.Default("", source)
	} else {
		feedWalk(t, srv)
	}
	if os.Getenv("SOAK_HOG") != "0" {
		startHog(t)
	}
	args := []string{bin, "walk", "--cadence", "192", "--cues", "tones", "--plain",
		"--duration", time.Duration(s.length * float64(time.Second)).String(), "--store", s.store()}
	var two []string
	if os.Getenv("SOAK_DEVICES") == "2" {
		two = []string{virtual.TwoDevices(t, source, "ear")}
		args = append(args, "--in", "mic:ALSA: one", "--out", "earphones:ALSA: two")
	}
	cmd := srv.Command(args[0], args[1:]...)
	if os.Getenv("SOAK_ORDINARY") == "1" {
		ordinary := exec.Command(args[0], args[1:]...)
		ordinary.Env = cmd.Env
		cmd = ordinary
	}
	cmd.Env = append(append(cmd.Env, "STEADFOOT_METER="+s.dir), two...)
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill() }) // fails when all is well
	s.watch = watchWalk(s.dir, cmd.Process.Pid)
	stop := s.report()
	err = cmd.Wait()
	stop()
	s.watch.end()
	if err != nil {
		t.Fatalf("the walk: %v\n%s", err, said.String())
	}
	for line := range strings.Lines(said.String()) {
		if strings.Contains(line, "sound:") {
			t.Log(strings.TrimSpace(line))
		}
	}
	cpu := (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds() / s.length * 100
	if r := s.watch.readings; two != nil && (len(r) == 0 || r[len(r)-1].Sound.Streams != 2) {
		t.Error("two devices did not get a stream each")
	}
	time.Sleep(time.Second) // the last clicks are on their way
	s.judge(cpu)
}

// soak is a walk that is watched.
type soak struct {
	t      *testing.T
	length float64 // s
	dir    string
	heard  *recording
	watch  *onlooker
}

func (s *soak) store() string { return filepath.Join(s.dir, "log.db") }

// report prints the figures some times while the walk goes on; what it returns
// ends that.
func (s *soak) report() (stop func()) {
	every := min(max(s.length/20, 30), 180)
	tick := time.NewTicker(time.Duration(every * float64(time.Second)))
	quit, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		defer tick.Stop()
		for {
			select {
			case <-quit:
				return
			case <-tick.C:
			}
			if events, err := readSession(s.store()); err == nil && len(events) > 0 {
				f := s.figures(events)
				s.t.Log(f.line())
			}
		}
	}()
	return func() { close(quit); <-done }
}

// readSession reads all events of the only session, also while it is walked.
func readSession(path string) (all []event.Event, err error) {
	store, err := logbook.OpenReadOnly(path)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	for e, err := range store.Events(1) {
		if err != nil {
			return nil, err
		}
		all = append(all, e)
	}
	return all, nil
}

// startHog keeps one core busy, where taskset can hold it there.
func startHog(t *testing.T) {
	t.Helper()
	line := []string{"sh", "-c", "while :; do :; done"}
	if exec.Command("taskset", "-c", "0", "true").Run() == nil {
		line = append([]string{"taskset", "-c", "0"}, line...)
	}
	startHelper(t, exec.Command(line[0], line[1:]...))
}

// soakLoop is how long the walk is before it begins anew, s: whole strides at
// pathCadence.
const soakLoop = 60

// soakWalk is a made walk to be played over and over: 16 bits, 48000 Hz, one channel.
func soakWalk() []byte {
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
	return pcm
}

// loopOf fills buffers with pcm, over and over.
func loopOf(pcm []byte) func([]byte) {
	at := 0
	return func(b []byte) {
		for len(b) > 0 {
			n := copy(b, pcm[at:])
			b, at = b[n:], (at+n)%len(pcm)
		}
	}
}

// feedWalk plays a made walk into the microphone, over and over.
func feedWalk(t *testing.T, srv *virtual.PulseServer) {
	t.Helper()
	pcm := soakWalk()
	c := srv.Command("pacat", "--playback", "--device=mic", "--rate="+strconv.Itoa(audio.Rate), "--channels=1", "--format=s16le", "--latency-msec=4000")
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

// recording finds the clicks in what the earphones play while it is played.
type recording struct {
	mu    sync.Mutex
	find  clickFinder
	began time.Time // not before this, by what came the quickest
}

// first is when the first sound was heard, if any was: not earlier than that, and
// later by as much as the server keeps back.
func (r *recording) first() (at time.Time, ok bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.find.at) == 0 {
		return at, false
	}
	return r.began.Add(time.Duration(r.find.at[0]) * time.Second / audio.Rate), true
}

// clicks are the places of those heard up to now, in samples of the recording.
func (r *recording) clicks() []int64 {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.find.at[:len(r.find.at):len(r.find.at)]
}

// recordClicks listens until the end of the test.
func recordClicks(t *testing.T, srv *virtual.PulseServer, latency time.Duration) *recording {
	t.Helper()
	c := srv.Command("parec", "--device=ear.monitor", "--rate=48000", "--channels=1", "--format=s16le", fmt.Sprintf("--latency-msec=%d", latency.Milliseconds()), "--raw")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	startHelper(t, c)
	r := &recording{}
	go func() {
		buf := make([]byte, 2*audio.Rate*latency/time.Second)
		for {
			n, err := io.ReadFull(out, buf)
			r.mu.Lock()
			came := time.Now().Add(-time.Duration(r.find.n+int64(n/2)) * time.Second / audio.Rate)
			if r.find.n == 0 || came.Before(r.began) {
				r.began = came
			}
			for i := 0; i+1 < n; i += 2 {
				r.find.hear(float64(int16(binary.LittleEndian.Uint16(buf[i:]))) / 32768)
			}
			r.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	return r
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

// line is the figures in one line.
func (f *soakFigures) line() string {
	return fmt.Sprintf("%.1f min: xruns %d ours, %d of the device, %d of the machine, server slipped %d times (%.0f ms); "+
		"%d beats, %d not put out, the others within %.3f ms, %d not heard, the others within %.3f ms (%.3f ms while clocks were learnt; %d near a fault not judged); %d steps, %d missed, %d made up; "+
		"memory %.1f MB, heap %.1f MB, goroutines %.0f, processor %.1f %%; %.0f pauses of the collector, longest %.2f ms; "+
		"callback p99.9 %.0f µs, waited p99.9 %.0f µs, longest %.0f µs, of %.0f µs; clock within %.1f ms",
		f.until/60, f.ours, f.device, f.starved, len(f.slips), 1000*f.slipped,
		f.beats, f.lost, 1000*f.putOut, f.unheard, 1000*f.heard, 1000*f.learnt, f.spared, f.steps, f.missed, f.madeUp,
		f.memory/1e6, f.heap/1e6, f.goroutines, f.cpu, f.pauses, 1000*f.longest,
		1e6*f.spent.Took.P999, 1e6*f.spent.Waited.P999, 1e6*f.spent.Took.Max, 1e6*soakBuffer, 1000*f.clock)
}
