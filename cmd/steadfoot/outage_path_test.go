package main

import (
	"bytes"
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"steadfoot/audio/device/virtual"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
)

// troubledWalk is a walk of the program as it is, in a process group of its own.
// What happened in it is read from its store while it goes on.
type troubledWalk struct {
	t     *testing.T
	cmd   *exec.Cmd
	clock func() time.Duration // since its start
	store string
	said  bytes.Buffer
}

func startTroubled(t *testing.T, srv *virtual.PulseServer, bin string) *troubledWalk {
	w := &troubledWalk{t: t, store: filepath.Join(t.TempDir(), "log.db"), clock: monotonic()}
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

// signal goes to the walk and its sound process, as when a laptop's lid closes.
func (w *troubledWalk) signal(s syscall.Signal) {
	w.t.Helper()
	if err := syscall.Kill(-w.cmd.Process.Pid, s); err != nil {
		w.t.Fatal(err)
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
func (w *troubledWalk) await(what string, there func([]event.Event) bool) []event.Event {
	w.t.Helper()
	for began := w.clock(); w.clock()-began < 40*time.Second; time.Sleep(100 * time.Millisecond) {
		if e := w.events(); there(e) {
			return e
		}
	}
	w.signal(syscall.SIGKILL)
	_ = w.cmd.Wait()
	w.t.Fatalf("no %s within 40 s; the walk said:\n%s", what, w.said.String())
	return nil
}

// now is the time of the last event.
func now(events []event.Event) float64 {
	if len(events) == 0 {
		return 0
	}
	return events[len(events)-1].At()
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

// fault waits for one after t that has text in it.
func (w *troubledWalk) fault(t float64, text string) (found event.Fault) {
	w.t.Helper()
	w.await(fmt.Sprintf("fault with %q after %.1f s", text, t), func(events []event.Event) bool {
		for _, e := range events {
			if f, ok := e.(event.Fault); ok && f.T > t && strings.Contains(f.What, text) {
				found = f
				return true
			}
		}
		return false
	})
	w.t.Logf("%.2f s: %s", found.T, found.What)
	return found
}

// TestDevicesComeAndGo: whatever happens to the sound, the walk goes on, tells it,
// and hears and plays again when it can.
func TestDevicesComeAndGo(t *testing.T) {
	srv := virtual.Pulse(t)
	bin := buildProgram(t)
	wav, _ := pathWalk(t, 60)
	w := startTroubled(t, srv, bin)
	srv.PlayIntoMic(wav)
	at := w.heard(0)

	t.Log("the server is killed, and comes back")
	srv.Kill()
	w.fault(at, "the sound is gone")
	srv.Restart()
	back := w.clock()
	play := srv.PlayIntoMic(wav)
	f := w.fault(at, "started it again")
	w.prompt(back, f.T)
	at = w.heard(f.T)

	t.Log("the server hangs, and goes on")
	srv.Freeze()
	w.await("time without sound", func(e []event.Event) bool { return now(e) > at+3 })
	srv.Thaw()
	f = w.fault(at, "lost")
	at = w.heard(f.T)

	t.Log("the devices are replaced by others")
	play.Stop() // else it moves to the earphones
	srv.AddSink("headset", 16000, 1)
	srv.RemoveSink("mic")
	srv.Default("", "headset.monitor")
	srv.PlayInto("headset", wav)
	at = w.heard(now(w.events()))
	srv.AddSink("speaker", 44100, 2)
	srv.Default("speaker", "")
	srv.RemoveSink("ear")
	ear := filepath.Join(t.TempDir(), "ear.wav")
	rec := srv.Record("speaker", ear)
	at = w.heard(at + 2)
	rec.Stop()
	if gaps := clickGaps(t, ear); len(gaps) < 4 {
		t.Errorf("%d clicks are heard on the new earphones: %v", len(gaps)+1, gaps)
	}

	t.Log("the whole program is stopped, and goes on")
	at = now(w.events())
	w.signal(syscall.SIGSTOP)
	time.Sleep(2 * time.Second)
	w.signal(syscall.SIGCONT)
	f = w.fault(at, "lost")
	w.heard(f.T)
	w.end()
}

// prompt checks that the sound was back soon after the device was: what the
// session's clock says at t against the time of the clock then.
func (w *troubledWalk) prompt(device time.Duration, t float64) {
	w.t.Helper()
	start := w.begun()
	took := t - (device - start).Seconds()
	w.t.Logf("back %.2f s after the device", took)
	if took > 2+3 { // the bar is 2 s; a busy machine gets 3 more
		w.t.Errorf("the sound came back %.2f s after the device", took)
	}
}

// begun is when the session's time was 0, on the test's clock.
func (w *troubledWalk) begun() time.Duration {
	w.t.Helper()
	s, err := logbook.OpenReadOnly(w.store)
	if err != nil {
		w.t.Fatal(err)
	}
	defer s.Close()
	h, _, err := s.Session(1)
	if err != nil {
		w.t.Fatal(err)
	}
	return w.clock() - time.Since(h.Started)
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

// beatGoesOn: no fault takes the beat away, and one is told in the ear.
func (w *troubledWalk) beatGoesOn(events []event.Event) {
	var last *event.Beat
	told, pieces := 0, 0
	for _, e := range events {
		switch e := e.(type) {
		case event.Beat:
			if e.Period > 0 { // the end is silent
				last = &e
				pieces++
			}
		case event.Cue:
			if e.Name == event.CueFault {
				told++
			}
		}
	}
	if last == nil || math.Abs(last.Period*pathTarget/60-1) > 0.001 {
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
