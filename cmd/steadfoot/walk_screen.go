package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"runtime"
	"strings"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/cmd/steadfoot/screen"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

// screenWanted tells whether a walk can fill the terminal; otherwise it is
// told line by line.
func screenWanted(std stdio, fast, plain bool) bool {
	name := os.Getenv("TERM")
	dumb := name == "dumb" || name == "" && runtime.GOOS != "windows"
	return !plain && !fast && !dumb && isTerminal(std.err)
}

// walkScreen is the screen of a walk. It makes what is shown out of the walk's
// events, in the walk's goroutine, and brings what the keys ask for.
type walkScreen struct {
	screen *screen.Screen
	lines  *view // the same in lines, for afterwards
	held   *heldLines
	coach  *coach.Coach
	log    *logbook.Writer
	snap   screen.Snapshot
	rhythm event.Rhythm
	fault  event.Fault
	marks  chan event.Mark
	wishes chan func(*live.Walk)
	party  *party        // the group that is walked with; nil: none
	why    func() string // live.Walk's WhyDeaf; nil: nothing is known
}

// screenOptions is what a screen knows of its walk beforehand.
type screenOptions struct {
	label   string
	volume  float64 // as the player has it
	caution string  // shown first; "" for none
	keys    bool    // standard input is for keys, not for the walk
	end     context.CancelFunc
}

// startScreen takes over the terminal. The caller gives marks, wishes and show
// to the walk, and calls end after it; deferred too, because of a panic.
func startScreen(std stdio, o screenOptions, c *coach.Coach, set coach.Settings, log *logbook.Writer) *walkScreen {
	ws := &walkScreen{coach: c, log: log, marks: make(chan event.Mark, 16), wishes: make(chan func(*live.Walk), 16)}
	ws.snap = screen.Snapshot{Athlete: set.Athlete, Label: o.label, Volume: o.volume, Beat: screen.Beat{On: set.Beat.On}}
	opt := screen.Options{
		Out: std.err, Env: os.Environ(), ASCII: !utf8Terminal(os.Getenv), Caution: o.caution,
		Wishes: screen.Wishes{Mark: ws.mark, Volume: ws.volume, End: func() { interrupt(o.end) }},
	}
	if f, ok := std.in.(*os.File); ok && o.keys && isTerminal(f) {
		opt.In = f
	}
	ws.screen = screen.Start(opt)
	ws.held = &heldLines{w: std.err, until: ws.screen.Done()}
	ws.lines = newView(stdio{err: ws.held}, c)
	if o.caution != "" {
		fmt.Fprintln(ws.held, o.caution)
	}
	return ws
}

// interrupt ends the walk as Ctrl-C does where it is no key but a signal; the
// next one then ends the program.
func interrupt(end context.CancelFunc) {
	end()
	if p, err := os.FindProcess(os.Getpid()); err == nil {
		p.Signal(os.Interrupt) // not everywhere possible; the walk ends all the same
	}
}

// mark passes a mark on; false when the walk does not keep up.
func (ws *walkScreen) mark(m event.Mark) bool {
	select {
	case ws.marks <- m:
		return true
	default:
		return false
	}
}

// louder is the volume of one press of a key; the player's 0 to 1 is 30 dB.
const louder = 0.1

// volume has the walk change the player's volume.
func (ws *walkScreen) volume(steps int) bool {
	return louderBy(ws.wishes, &ws.snap.Volume, steps, func(*live.Walk) { ws.publish() })
}

// louderBy has the walk change the player's volume, which is at, and then calls
// then; false when the wish was not taken.
func louderBy(wishes chan<- func(*live.Walk), at *float64, steps int, then func(*live.Walk)) bool {
	change := func(w *live.Walk) {
		v := math.Round((*at+louder*float64(steps))*100) / 100
		v = min(max(0, v), 1)
		if w.Player.SetVolume(v) == nil {
			*at = v
			then(w)
		}
	}
	select {
	case wishes <- change:
		return true
	default:
		return false
	}
}

// show is called with every event of the walk.
func (ws *walkScreen) show(e event.Event) {
	switch e := e.(type) {
	case event.Step:
		return // the rhythm tells what they come to
	case event.Rhythm:
		ws.rhythm = e
	case event.Fault:
		ws.fault = e
	case event.Mark:
		if e.Name == event.MarkBeatOn || e.Name == event.MarkBeatOff {
			ws.snap.Beat.On = e.Name == event.MarkBeatOn
		}
	}
	ws.lines.show(e)
	ws.publish()
}

// publish shows the walk as it is now.
func (ws *walkScreen) publish() {
	why := ""
	if ws.why != nil {
		why = ws.why()
	}
	s := snapshot(ws.snap, ws.coach.Status(), ws.rhythm, ws.fault, why)
	s.Group = ws.party.shown()
	if err := ws.log.Err(); err != nil {
		s.Log = "kept in memory: " + err.Error()
	}
	ws.screen.Show(s)
}

// end gives the terminal back, and says what was said meanwhile.
func (ws *walkScreen) end() {
	if ws.screen == nil {
		return
	}
	err := ws.screen.Close()
	ws.screen = nil
	ws.held.release()
	if err != nil {
		fmt.Fprintf(ws.held.w, "the screen failed, the walk did not: %s\n", oneLine(err.Error()))
	}
}

// snapshot is the walk as a screen shows it; known is what does not follow from
// the others, and why what keeps the walker from being heard now.
func snapshot(known screen.Snapshot, s coach.Status, r event.Rhythm, f event.Fault, why string) screen.Snapshot {
	n := known
	n.Time = s.Now
	n.Distance = s.Distance
	n.State, n.Paused = screenStates[s.State], s.Paused
	n.Cadence, n.Target, n.Low, n.High = s.Cadence, s.Target, s.Low, s.High
	n.TargetPace = s.Pace
	if r.State == detect.Walking {
		n.CadenceSD, n.Unevenness, n.Pace = r.CadenceSD, r.Unevenness, r.Pace
	}
	n.Heard = r.Heard
	n.Part, n.Next = screenPart(s.Part), screenPart(s.Next)
	if s.Next.N == 0 {
		n.Next = screen.Part{}
	}
	n.Done, n.Left = s.Done, s.Left
	n.Beat.Playing, n.Beat.Mode, n.Beat.Level = s.Beat, modeWords[s.Mode], s.Level
	n.Said, n.SaidAt = cueWords(s.Said), s.Said.T
	n.Fault, n.FaultAt = f.What, f.T
	switch {
	case s.State != coach.Deaf && s.State != coach.Standing:
	case why != "":
		n.Trouble = why
	case s.State == coach.Deaf && ofHearing(f) && f.T >= s.Since-2: // a fault is told before hearing is given up
		n.Trouble = f.What
	}
	return n
}

// ofHearing tells whether a fault can be why nothing is heard.
func ofHearing(f event.Fault) bool {
	return f.What != "" && f.Code != event.FaultLog && f.Code != event.FaultBattery
}

var screenStates = map[coach.State]screen.State{
	coach.Waiting:   screen.Waiting,
	coach.Listening: screen.Listening,
	coach.InBand:    screen.InBand,
	coach.TooSlow:   screen.TooSlow,
	coach.TooQuick:  screen.TooQuick,
	coach.Standing:  screen.Standing,
	coach.Deaf:      screen.Deaf,
	coach.Ended:     screen.Ended,
	coach.Free:      screen.Free,
}

var modeWords = map[coach.BeatMode]string{
	"":           "steady",
	coach.Steady: "steady",
	coach.Lead:   "leading you to the target",
	coach.Follow: "going with your feet",
	coach.Demand: "only when needed",
	coach.Shared: "of the group",
}

func screenPart(p event.Part) screen.Part {
	return screen.Part{Role: p.Role, Label: p.Label, Set: p.Set, Rep: p.Rep, Of: p.Of, Length: p.Length, Duration: p.Duration}
}

// cueWords is what a cue said.
func cueWords(c event.Cue) string {
	switch c.Name {
	case event.CueCadence:
		return fmt.Sprintf("cadence %.0f", c.Value)
	case event.CueReminder:
		return "reminder: " + c.Line
	}
	return c.Name
}

// utf8Terminal tells whether the locale is one of UTF-8, so that more than
// ASCII can be shown.
func utf8Terminal(getenv func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} { // the first that is set counts
		if v := strings.ToLower(getenv(name)); v != "" {
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8")
		}
	}
	return runtime.GOOS == "windows" || runtime.GOOS == "darwin"
}

// heldLines keeps what is written while a screen has the terminal.
type heldLines struct {
	w     io.Writer
	until <-chan struct{} // closed when the terminal is free
	kept  bytes.Buffer
}

// Write implements io.Writer.
func (h *heldLines) Write(p []byte) (int, error) {
	h.kept.Write(p)
	select {
	case <-h.until:
		return len(p), h.release()
	default:
		return len(p), nil
	}
}

// release writes what was kept.
func (h *heldLines) release() error {
	_, err := h.kept.WriteTo(h.w)
	return err
}
