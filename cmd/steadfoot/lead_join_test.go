package main

import (
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/group/member"
	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// process is the program itself, run as a user does.
type process struct {
	*exec.Cmd
	in        io.WriteCloser
	out, errs shared
}

func startProcess(t *testing.T, dir string, args ...string) *process {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	p := &process{Cmd: exec.Command(self)}
	p.Args, p.Dir = append([]string{"steadfoot"}, args...), dir
	p.Env = append(os.Environ(), "HOME="+dir, "XDG_DATA_HOME="+dir, "XDG_CONFIG_HOME="+dir)
	p.Stdout, p.Stderr = &p.out, &p.errs
	if p.in, err = p.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Process.Kill() })
	return p
}

// types types a line.
func (p *process) types(t *testing.T, line string) {
	t.Helper()
	if _, err := io.WriteString(p.in, line+"\n"); err != nil {
		t.Error(err)
	}
}

// ends interrupts it, as Ctrl-C does.
func (p *process) ends(t *testing.T) {
	t.Helper()
	if err := p.Process.Signal(syscall.SIGINT); err != nil {
		t.Error(err)
	}
	if err := p.Wait(); err != nil {
		t.Errorf("%v ended with %v\n%s%s", p.Args, err, &p.out, &p.errs)
	}
}

// TestLeadAndJoin: a leader types targets and two walk along, one of whom agreed. Her
// log and the leader's of her have the same beats and the same steps, and both give
// the same again; of him the leader has nothing.
func TestLeadAndJoin(t *testing.T) {
	t.Parallel() // it waits most of the time
	led, hers, his := t.TempDir(), t.TempDir(), t.TempDir()
	recording := filepath.Join(t.TempDir(), "walk.wav")
	w := made.Spec{Seed: 7, Duration: 90, Gait: made.Gait{Cadence: made.Steady(190), Start: 0.5}, Surface: footsteps.Surface("gravel")}.Walk()
	if err := audio.WriteWAV(recording, int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		t.Fatal(err)
	}
	lead := startProcess(t, led, "lead", "--listen", "127.0.0.1:0", "--store", "log.db", "--word", "bagitoru42", "--plain")
	lead.out.waitFor(t, "Type a target")
	address := regexp.MustCompile(`http://\S+`).FindString(lead.out.String())
	join := func(dir, name string, more ...string) *process {
		p := startProcess(t, dir, append([]string{"join", address, "--name", name, "--in", recording, "--out", "none", "--store", "log.db"}, more...)...)
		p.errs.waitFor(t, "one ear open")
		return p
	}
	mira, jon := join(hers, "Mira Tal", "--agree"), join(his, "Jon Ashcroft")
	for range 100 { // until both are heard
		lead.types(t, "who")
		time.Sleep(100 * time.Millisecond)
		if strings.Count(lead.errs.String(), "steps/min") >= 2 {
			break
		}
	}
	lead.types(t, "target 190")
	mira.errs.waitFor(t, "announced by the leader") // start
	time.Sleep(6 * time.Second)
	lead.types(t, "target 196")
	lead.errs.waitFor(t, "196 steps/min")
	time.Sleep(4 * time.Second)
	lead.types(t, "stop")
	lead.errs.waitFor(t, "ended")
	time.Sleep(3 * time.Second)
	mira.ends(t)
	jon.ends(t)
	lead.ends(t)

	own, kept := sessionsIn(t, filepath.Join(hers, "log.db")), sessionsIn(t, filepath.Join(led, "log.db"))
	if len(own) != 1 || len(kept) != 1 || kept[0].Athlete != "Mira Tal" || !kept[0].Complete {
		t.Fatalf("%d walks of her own, %d with the leader\n%s%s", len(own), len(kept), &lead.out, &lead.errs)
	}
	sessionsIn(t, filepath.Join(his, "log.db"))
	noTraceOf(t, led, "Ashcroft", "Mira Tal")
	if !strings.Contains(lead.errs.String(), "number 1 in log.db") {
		t.Errorf("the leader is told\n%s", &lead.errs)
	}
	if text := mira.errs.String(); strings.Contains(text, "steadfoot walk") {
		t.Errorf("join says\n%s", text)
	}
	if n := count(own[0].events, event.CueStart); n != 1 {
		t.Errorf("start is said %d times", n)
	}
	if a, b := own[0].Steps, kept[0].Steps; b < a-16 || b > a || b < 30 {
		t.Errorf("%d steps of her own, %d with the leader", a, b)
	}
	sameBeats(t, own[0].events, kept[0].events)
}

func count(events []event.Event, cue string) (n int) {
	for _, e := range events {
		if c, ok := e.(event.Cue); ok && c.Name == cue {
			n++
		}
	}
	return n
}

// sameBeats: two walks with one group have the same beats by their numbers, but for
// what lies between their clocks.
func sameBeats(t *testing.T, a, b []event.Event) {
	t.Helper()
	times := func(events []event.Event) (at map[int]float64, periods map[int]bool) {
		var m coach.BeatMap
		for _, e := range events {
			m.Take(e)
		}
		at, periods = map[int]float64{}, map[int]bool{}
		m.Between(0, events[len(events)-1].At(), func(x coach.Beat) {
			piece, _ := m.At(x.T)
			at[piece.N+int(math.Round((x.T-piece.Start)/piece.Period))] = x.T
			periods[int(math.Round(60/piece.Period))] = true
		})
		return at, periods
	}
	x, px := times(a)
	y, py := times(b)
	for _, cadence := range []int{190, 196} {
		if !px[cadence] || !py[cadence] {
			t.Errorf("beats at %v and at %v steps/min, want %d in both", px, py, cadence)
		}
	}
	var apart []float64
	for n, at := range x {
		if other, ok := y[n]; ok {
			apart = append(apart, at-other)
		}
	}
	if len(apart) < 20 || len(apart) < len(x)-3 || len(apart) < len(y)-3 {
		t.Fatalf("%d beats, %d beats, %d in both", len(x), len(y), len(apart))
	}
	slices.Sort(apart)
	if spread := apart[len(apart)-1] - apart[0]; spread > 0.02 {
		t.Errorf("the beats are up to %.1f ms apart", 1000*spread)
	} else {
		t.Logf("%d beats, within %.2f ms of each other", len(apart), 1000*spread)
	}
}

// TestLeadKilled: a leader that is killed has stored all but the last moment, and the
// walk reads as any other.
func TestLeadKilled(t *testing.T) {
	t.Parallel() // it waits most of the time
	dir := t.TempDir()
	lead := startProcess(t, dir, "lead", "--listen", "127.0.0.1:0", "--store", "log.db", "--word", "bagitoru42", "--plain", "--cadence", "192")
	lead.out.waitFor(t, "Type a target")
	m, err := member.Join(t.Context(), member.Options{
		Addresses: []string{regexp.MustCompile(`127.0.0.1:\d+`).FindString(lead.out.String())}, Name: "Mira Tal", Word: "bagitoru42", Agree: true,
	})
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	if err := m.Ready(t.Context()); err != nil {
		t.Fatal(err)
	}
	const told = 40
	for range told {
		m.Report(group.Status{Hears: group.HearsWalking, Cadence: 240})
		m.Steps([]event.Step{{Step: detect.Step{T: m.Now(), Heard: true}}})
		time.Sleep(200 * time.Millisecond)
	}
	if err := lead.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = lead.Wait() // it was killed
	all := sessionsIn(t, filepath.Join(dir, "log.db"))
	if len(all) != 1 || all[0].Complete {
		t.Fatalf("%d walks", len(all))
	}
	t.Logf("%d of %d steps are stored", all[0].Steps, told)
	if all[0].Steps < told/2 { // half a second is 3; the machine may be slow
		t.Errorf("%d of %d steps are stored", all[0].Steps, told)
	}
}
