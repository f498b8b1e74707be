package main

import (
	"bytes"
	"context"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"steadfoot/audio/cue"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/cmd/steadfoot/screen"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// testWalkScreen is a screen of a walk on a terminal that only keeps what is
// written.
func testWalkScreen(t *testing.T, out *bytes.Buffer, caution string) (*walkScreen, *coach.Coach) {
	t.Helper()
	a := profiles.Defaults()
	a.Name, a.Target.Cadence = "Mira Tal", 192
	set, err := coach.For(a)
	if err != nil {
		t.Fatal(err)
	}
	c, err := coach.New(set)
	if err != nil {
		t.Fatal(err)
	}
	store, err := logbook.Open(filepath.Join(t.TempDir(), "log.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	log, err := store.Begin(logbook.Header{Started: time.Unix(0, 0)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { log.End() })
	t.Setenv("TERM", "xterm")
	ws := startScreen(stdio{in: strings.NewReader(""), err: out}, screenOptions{label: "8 x 1 km", volume: 0.5, caution: caution, end: func() {}}, c, set, log)
	t.Cleanup(ws.end)
	return ws, c
}

// What is said while the screen has the terminal is written after it.
func TestScreenHoldsLines(t *testing.T) {
	var out bytes.Buffer
	ws, c := testWalkScreen(t, &out, "Keep one ear open.")
	for _, e := range []event.Event{
		event.Mark{Name: event.MarkStart},
		event.Rhythm{Rhythm: detect.Rhythm{T: 1, State: detect.Walking, Cadence: 185, CadenceSD: 0.5, Heard: 1}},
		event.Cue{T: 12, Name: event.CueQuicken, Reason: "184.0 steps/min"},
		event.Fault{T: 13, What: "the device has gone"},
	} {
		c.Handle(nil, e)
		ws.show(e)
	}
	ws.end()
	ws.end() // as a deferred call does
	got := out.String()
	if i := strings.LastIndex(got, "\x1b[?1049l"); i >= 0 { // the end of the alternate screen, if it was reached
		got = got[i:]
	}
	for _, want := range []string{"Keep one ear open.", "quicken      184.0 steps/min", "fault        the device has gone"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not written in the end:\n%q", want, got)
		}
	}
}

// The keys' wishes reach the walk in its own goroutine, and never block.
func TestScreenWishes(t *testing.T) {
	var out bytes.Buffer
	ws, _ := testWalkScreen(t, &out, "")
	p, err := cue.NewPlayer(cue.Options{Volume: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	w := &live.Walk{Player: p}
	for _, c := range []struct {
		steps int
		want  float64
	}{{1, 0.6}, {-3, 0.3}, {-9, 0}, {1, 0.1}, {20, 1}} {
		if !ws.volume(c.steps) {
			t.Fatal("the wish was refused")
		}
		(<-ws.wishes)(w)
		if got := ws.snap.Volume; got != c.want {
			t.Errorf("%+d steps: volume %v, want %v", c.steps, got, c.want)
		}
	}
	taken := 0
	for ws.mark(event.Mark{Name: event.MarkLap}) {
		taken++
	}
	if taken != cap(ws.marks) {
		t.Errorf("%d marks taken while nobody reads, want %d", taken, cap(ws.marks))
	}
	ws.show(event.Mark{Name: event.MarkBeatOff})
	if ws.snap.Beat.On {
		t.Error("the beat is still on")
	}
}

// Every state of the coach has its word on the screen.
func TestScreenStates(t *testing.T) {
	for s := coach.Waiting; s.String() != "unknown"; s++ {
		if _, ok := screenStates[s]; !ok {
			t.Errorf("%q is not on the screen", s)
		}
	}
}

func TestSnapshot(t *testing.T) {
	known := screen.Snapshot{Athlete: "Mira Tal", Volume: 0.4, Beat: screen.Beat{On: true}}
	s := coach.Status{
		State: coach.TooSlow, Now: 61, Cadence: 186, Low: 188, High: 196, Target: 192, Pace: 310, Distance: 200,
		Part: event.Part{N: 2, Role: event.RoleRep, Rep: 1, Of: 8, Length: 1000, Label: "smooth"}, Done: 0.2, Left: 800,
		Next: event.Part{Role: "x"}, Beat: true, Mode: coach.Demand, Level: -6,
		Said: event.Cue{T: 55, Name: event.CueReminder, Line: "arms"},
	}
	r := event.Rhythm{Rhythm: detect.Rhythm{State: detect.Walking, Cadence: 186, CadenceSD: 0.7, Unevenness: 2, Heard: 0.9}, Pace: 320}
	got := snapshot(known, s, r, event.Fault{}, "")
	want := screen.Snapshot{
		Time: 61, Athlete: "Mira Tal", Distance: 200, State: screen.TooSlow, Cadence: 186, CadenceSD: 0.7,
		Target: 192, Low: 188, High: 196, Pace: 320, TargetPace: 310, Unevenness: 2,
		Part: screen.Part{Role: "rep", Label: "smooth", Rep: 1, Of: 8, Length: 1000}, Done: 0.2, Left: 800,
		Beat: screen.Beat{On: true, Playing: true, Mode: "only when needed", Level: -6}, Volume: 0.4,
		Said: "reminder: arms", SaidAt: 55, Heard: 0.9,
	}
	if got != want {
		t.Errorf("got\n%+v\nwant\n%+v", got, want)
	}
	if got = snapshot(known, s, r, event.Fault{}, "wind"); got != want {
		t.Errorf("there is wind, and the steps are heard: %+v", got)
	}
}

// TestSnapshotTrouble: why nothing is heard stays on the screen as long as nothing
// is, and what has nothing to do with it is not given as the reason.
func TestSnapshotTrouble(t *testing.T) {
	gone, wind := event.Fault{T: 59, What: "the microphone has gone"}, event.Fault{T: 62, Code: event.FaultWind, What: "wind"}
	for _, c := range []struct {
		state coach.State
		fault event.Fault
		why   string
		want  string
	}{
		{coach.Deaf, gone, "", "the microphone has gone"},
		{coach.Deaf, wind, "wind", "wind"},
		{coach.Deaf, gone, "muted", "muted"},
		{coach.Deaf, event.Fault{T: 20, What: "old"}, "", ""},
		{coach.Deaf, event.Fault{T: 62, Code: event.FaultBattery, What: "low"}, "", ""},
		{coach.Deaf, event.Fault{T: 62, Code: event.FaultLog, What: "full"}, "", ""},
		{coach.Deaf, event.Fault{T: 62, Code: event.FaultLog, What: "full"}, "muted", "muted"},
		{coach.Standing, wind, "wind", "wind"},
		{coach.Standing, event.Fault{T: 62, Code: event.FaultBattery, What: "low"}, "wind", "wind"},
		{coach.Standing, wind, "", ""}, // it has gone
		{coach.Standing, gone, "", ""},
		{coach.InBand, wind, "wind", ""},
		{coach.Listening, wind, "wind", ""},
	} {
		s := coach.Status{State: c.state, Since: 60, Now: 300}
		r := event.Rhythm{Rhythm: detect.Rhythm{State: detect.CannotHear, Cadence: 180}, Pace: 320}
		if got := snapshot(screen.Snapshot{}, s, r, c.fault, c.why); got.Trouble != c.want || got.Pace != 0 {
			t.Errorf("%v, %q, %q: trouble %q, want %q; pace %v", c.state, c.fault.What, c.why, got.Trouble, c.want, got.Pace)
		}
	}
}

func TestUTF8Terminal(t *testing.T) {
	for _, c := range []struct {
		env  map[string]string
		want bool
	}{
		{map[string]string{"LANG": "en_GB.UTF-8"}, true},
		{map[string]string{"LANG": "C.utf8"}, true},
		{map[string]string{"LANG": "en_GB.UTF-8", "LC_ALL": "C"}, false},
		{map[string]string{"LANG": "POSIX", "LC_CTYPE": "de_DE.UTF-8"}, true},
		{map[string]string{"LANG": "de_DE.ISO-8859-1"}, false},
	} {
		if got := utf8Terminal(func(k string) string { return c.env[k] }); got != c.want {
			t.Errorf("%v: %v", c.env, got)
		}
	}
}

// Without a terminal, or with one that can do nothing, the walk is told in lines.
func TestScreenWanted(t *testing.T) {
	t.Setenv("TERM", "xterm")
	if screenWanted(stdio{err: new(bytes.Buffer)}, false, false) {
		t.Error("a screen in a buffer")
	}
}

// A walk that is ended from the screen ends as with Ctrl-C.
func TestInterrupt(t *testing.T) {
	got := make(chan os.Signal, 1)
	signal.Notify(got, os.Interrupt)
	defer signal.Stop(got)
	ctx, cancel := context.WithCancel(t.Context())
	interrupt(cancel)
	<-got
	if ctx.Err() == nil {
		t.Error("the walk goes on")
	}
}
