package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/virtual"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
)

// troubledWalk is a walk of the program as it is, in a process group of its own.
// What happened in it is read from its store while it goes on.
type troubledWalk struct {
	t     *testing.T
	srv   *virtual.PulseServer
	cmd   *exec.Cmd
	clock func() time.Duration
	zero  time.Duration // of the session's time on that clock; 0 while not known
	store string
	said  bytes.Buffer

	wav  string       // what is walked
	play *virtual.Job // while it is played
}

func startTroubled(t *testing.T, srv *virtual.PulseServer) *troubledWalk {
	bin := buildProgram(t)
	w := &troubledWalk{t: t, srv: srv, store: filepath.Join(t.TempDir(), "log.db"), clock: monotonic()}
	w.wav = promptWalk(t)
	args := virtual.Prefer(bin, "walk", "--cadence", "192", "--store", w.store)
	w.cmd = srv.Command(args[0], args[1:]...)
	w.cmd.Stdout, w.cmd.Stderr = &w.said, &w.said
	w.cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	if err := w.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = syscall.Kill(-w.cmd.Process.Pid, syscall.SIGKILL) }) // fails when all is well
	return w
}

// promptWalk is walked from its first moment on.
func promptWalk(t *testing.T) string {
	t.Helper()
	wav, walk := pathWalk(t, 60)
	at := int((walk.Times()[0] - 0.1) * float64(walk.Rate))
	if err := audio.WriteWAV(wav, int(walk.Rate), 1, audio.S16, walk.Samples[at:]); err != nil {
		t.Fatal(err)
	}
	return wav
}

// signal goes to the walk and its sound process, as when a laptop's lid closes.
func (w *troubledWalk) signal(s syscall.Signal) {
	w.t.Helper()
	if err := syscall.Kill(-w.cmd.Process.Pid, s); err != nil {
		w.t.Fatal(err)
	}
}

// feed has the walk played into a sink, and no longer into another one.
func (w *troubledWalk) feed(sink string) {
	w.t.Helper()
	w.starve()
	w.play = w.srv.PlayInto(sink, w.wav)
}

// starve ends what feed began; else the server moves it to some sink that is left.
func (w *troubledWalk) starve() {
	if w.play != nil {
		w.play.Drop()
	}
}

// events are those stored by now.
func (w *troubledWalk) events() (all []event.Event) {
	s, err := logbook.OpenReadOnly(w.store)
	if err != nil {
		return nil // not there yet
	}
	defer s.Close()
	for e, err := range s.Events(1) {
		if err != nil {
			return nil // asked again
		}
		all = append(all, e)
	}
	return all
}

// await waits until the log holds what is asked for.
func (w *troubledWalk) await(what string, there func([]event.Event) bool) {
	w.t.Helper()
	for began := w.clock(); w.clock()-began < 40*time.Second; time.Sleep(100 * time.Millisecond) {
		if there(w.events()) {
			return
		}
	}
	w.signal(syscall.SIGKILL)
	_ = w.cmd.Wait()
	w.t.Fatalf("no %s within 40 s; the walk said:\n%s", what, w.said.String())
}

// heard waits for some steps after t that were heard, not bridged, and returns the
// first one's time.
func (w *troubledWalk) heard(t float64) (first float64) {
	w.t.Helper()
	w.await(fmt.Sprintf("steps after %.1f s", t), func(events []event.Event) bool {
		n := 0
		for _, e := range events {
			if s, ok := e.(event.Step); ok && s.T > t && s.Heard {
				if n++; n == 1 {
					first = s.T
				}
			}
		}
		return n >= 6
	})
	return first
}

// fault waits for one after t that has text in it and lost at least so many seconds.
func (w *troubledWalk) fault(t float64, text string, least float64) {
	w.t.Helper()
	var found event.Fault
	w.await(fmt.Sprintf("fault with %q and %.1f s lost after %.1f s", text, least, t), func(events []event.Event) bool {
		for _, e := range events {
			if f, ok := e.(event.Fault); ok && f.T > t && strings.Contains(f.What, text) && lostIn(f.What) >= least {
				found = f
				return true
			}
		}
		return false
	})
	w.t.Logf("%.2f s: %s", found.T, found.What)
}

var lostWords = regexp.MustCompile(`([0-9.]+) (ms|s) lost`)

// lostIn is how much the words of a fault say is lost, s.
func lostIn(what string) float64 {
	m := lostWords.FindStringSubmatch(what)
	if m == nil {
		return 0
	}
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return 0
	}
	if m[2] == "ms" {
		v /= 1000
	}
	return v
}

// now is the session's time, as seen from outside, s.
func (w *troubledWalk) now() float64 {
	w.t.Helper()
	if w.zero == 0 {
		w.zero = w.begun()
	}
	return (w.clock() - w.zero).Seconds()
}

// begun is when the session's time was 0, on the test's clock.
func (w *troubledWalk) begun() time.Duration {
	w.t.Helper()
	return w.clock() - time.Since(startedAt(w.t, w.store))
}

// startedAt is when the only session of a store was begun.
func startedAt(t *testing.T, store string) time.Time {
	t.Helper()
	s, err := logbook.OpenReadOnly(store)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	h, _, err := s.Session(1)
	if err != nil {
		t.Fatal(err)
	}
	return h.Started
}

// taped is what a sink plays from a time of the session on.
type taped struct {
	w    *troubledWalk
	path string
	job  *virtual.Job
	from float64 // s
}

func (w *troubledWalk) record(sink string) *taped {
	w.t.Helper()
	r := &taped{w: w, path: filepath.Join(w.t.TempDir(), sink+".wav")}
	r.job = w.srv.Record(sink, r.path)
	r.from = w.now() - float64(len(r.sound()))/audio.Rate
	return r
}

// sound is what there is by now.
func (r *taped) sound() []float32 {
	r.w.t.Helper()
	data, err := os.ReadFile(r.path)
	if err != nil {
		r.w.t.Fatal(err)
	}
	data = data[min(len(data), recordHead):] // whose sizes are right only in the end
	x := make([]float32, len(data)/2)
	for i := range x {
		x[i] = float32(int16(binary.LittleEndian.Uint16(data[2*i:]))) / 32768
	}
	return x
}

const (
	recordHead = 44 // bytes of a recording before the sound
	recordGaps = 3  // a beat long, one after the other
)

// steady waits until the beat is there, ends the recording, and gives the time of its
// first sound.
func (r *taped) steady() float64 {
	r.w.t.Helper()
	for range 300 {
		x := r.sound()
		at := clicksIn(x)
		if evenClicks(gapsOf(at)) >= recordGaps {
			r.job.Stop()
			first := slices.IndexFunc(x, func(v float32) bool { return math.Abs(float64(v)) > 0.003 })
			return r.from + float64(first)/audio.Rate
		}
		time.Sleep(100 * time.Millisecond)
	}
	r.job.Stop()
	r.w.t.Fatalf("no steady beat is in %s within 30 s: gaps %v", filepath.Base(r.path), clickGaps(r.w.t, r.path))
	return 0
}

// end ends the walk, whose clock must have kept the time and whose log must be
// whole.
func (w *troubledWalk) end() {
	w.t.Helper()
	start := w.begun()
	w.signal(syscall.SIGINT)
	ended := w.clock() - start
	if err := w.cmd.Wait(); err != nil {
		w.t.Errorf("the walk ended with %v:\n%s", err, w.said.String())
	}
	events := w.events()
	m, ok := lastMark(events)
	if !ok || m.Name != event.MarkEnd {
		w.t.Fatalf("the log has no end: %+v", m)
	}
	if off := m.T - ended.Seconds(); math.Abs(off) > 1 {
		w.t.Errorf("the walk's clock is off by %.2f s after %v", off, ended)
	}
	w.beatGoesOn(events)
	out, errs, status := runIn(w.t, "review", "last", "--replay", "--store", w.store)
	if status != 0 {
		w.t.Errorf("%s%s", out, errs)
	}
}

// beatGoesOn: no fault takes the beat away or moves it, and one is told in the ear.
func (w *troubledWalk) beatGoesOn(events []event.Event) {
	var last event.Beat
	told, pieces := 0, 0
	for _, e := range events {
		switch e := e.(type) {
		case event.Beat:
			if e.Period == 0 { // the end is silent
				continue
			}
			if k := (e.Start - last.Start) / e.Period; pieces > 0 && math.Abs(k-math.Round(k)) > 0.01 {
				w.t.Errorf("the beat jumps from %+v to %+v", last, e)
			}
			last = e
			pieces++
		case event.Cue:
			if e.Name == event.CueFault {
				told++
			}
		}
	}
	if pieces == 0 || math.Abs(last.Period*pathTarget/60-1) > 0.001 {
		w.t.Errorf("the last piece of the beat is %+v", last)
	}
	w.t.Logf("%d pieces of the beat, %d words about faults", pieces, told)
	if told == 0 {
		w.t.Error("no fault is told to the ear")
	}
	if !slices.ContainsFunc(events, func(e event.Event) bool { return e.Kind() == "gap" }) {
		w.t.Error("no gap is in the log")
	}
}
