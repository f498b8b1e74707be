package main

import (
	"io/fs"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"testing/synctest"
	"time"

	"steadfoot/audio"
	"steadfoot/coach/event"
	"steadfoot/detect/made"
	"steadfoot/profiles"
	"steadfoot/testdata/footsteps"
)

// charge is a battery that is used, as the system tells of it.
func charge(percent string) fstest.MapFS {
	return fstest.MapFS{
		"BAT0/type":     {Data: []byte("Battery\n")},
		"BAT0/status":   {Data: []byte("Discharging\n")},
		"BAT0/capacity": {Data: []byte(percent + "\n")},
	}
}

// changing is supplies that are changed while they are looked at.
type changing struct {
	mu  sync.Mutex
	now fs.FS
}

func (c *changing) Open(name string) (fs.File, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now.Open(name)
}

func (c *changing) set(fsys fs.FS) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = fsys
}

// TestBatteryWatch: it is looked at every so often, and each thing is told once;
// a battery that cannot be read for a while is no reason to give up.
func TestBatteryWatch(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		supplies := &changing{now: charge("16")}
		w := watchBattery(supplies, batteryEvery)
		defer w.stop()
		var told []string
		for _, c := range []fs.FS{charge("15"), charge("14"), fstest.MapFS{}, charge("5"), charge("4")} {
			time.Sleep(batteryEvery / 2)
			synctest.Wait()
			supplies.set(c)
			time.Sleep(batteryEvery / 2)
			synctest.Wait()
			for f := w.trouble(); f.What != ""; f = w.trouble() {
				if f.Code != event.FaultBattery {
					t.Errorf("%+v", f)
				}
				what, _, _ := strings.Cut(f.What, ";")
				told = append(told, what)
			}
		}
		if got := strings.Join(told, "|"); got != "the battery is low: 15 %|the battery is all but empty: 5 %" {
			t.Errorf("told: %s", got)
		}
	})
}

// TestBatteryWatchNeverWaits: a walk that does not ask for a while gets what
// matters now, and the watch ends.
func TestBatteryWatchNeverWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		supplies := &changing{now: charge("15")}
		w := watchBattery(supplies, batteryEvery)
		synctest.Wait()
		supplies.set(charge("5"))
		time.Sleep(2 * batteryEvery)
		synctest.Wait()
		if f := w.trouble(); !strings.Contains(f.What, "all but empty") {
			t.Errorf("%+v", f)
		}
		if f := w.trouble(); f.What != "" {
			t.Errorf("besides: %+v", f)
		}
		w.stop() // or synctest finds the goroutine left
	})
	var none *batteryWatch
	if f := none.trouble(); f.What != "" {
		t.Errorf("without a watch: %+v", f)
	}
}

// TestWalkOnLowBattery: a walk that begins on a battery that is all but empty
// says so once, by eye and ear, with what to do, and keeps it in the log.
func TestWalkOnLowBattery(t *testing.T) {
	t.Parallel() // it waits most of the time
	recording := filepath.Join(t.TempDir(), "walk.wav")
	w := made.Spec{Seed: 7, Duration: 4, Gait: made.Gait{Cadence: made.Steady(190), Start: 0.5}, Surface: footsteps.Surface("gravel")}.Walk()
	if err := audio.WriteWAV(recording, int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		t.Fatal(err)
	}
	var out, errs shared
	o := walkOptions{in: recording, out: "none", store: filepath.Join(t.TempDir(), "log.db"), supplies: charge("4")}
	a := profiles.Defaults()
	a.Target.Cadence = 190
	if err := walk(t.Context(), stdio{strings.NewReader(""), &out, &errs}, o, a); err != nil {
		t.Fatal(err)
	}
	const what = "the battery is all but empty: 4 %; plug the machine in now, or end the walk; everything is written to the log at once"
	for text, want := range map[string]int{"fault        " + what: 1, "  battery      ": 1, "  fault        ": 1} {
		if n := strings.Count(errs.String(), text); n != want {
			t.Errorf("%q is there %d times, want %d:\n%s", text, n, want, &errs)
		}
	}
	if kept := strings.Join(strings.Fields(out.String()), " "); !strings.Contains(kept, what) || !strings.Contains(out.String(), "battery 1") {
		t.Errorf("the review says\n%s", &out)
	}
}
