package screen

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"sync"
	"testing"

	tea "charm.land/bubbletea/v2"

	"steadfoot/coach/event"
)

// terminal is the output of a screen under test; it tells of a text once that
// has been drawn.
type terminal struct {
	mu   sync.Mutex
	all  bytes.Buffer
	want string
	seen chan struct{}
}

func (t *terminal) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.all.Write(p)
	if t.want != "" && strings.Contains(styling.ReplaceAllString(t.all.String(), ""), t.want) {
		close(t.seen)
		t.want = ""
	}
	return len(p), nil
}

func (t *terminal) wait(text string, do func()) {
	t.mu.Lock()
	t.want, t.seen = text, make(chan struct{})
	t.mu.Unlock()
	do()
	<-t.seen
}

func (t *terminal) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.all.String()
}

const (
	altOn  = "\x1b[?1049h"
	altOff = "\x1b[?1049l"
	shown1 = "\x1b[?25h" // the cursor
)

// restored checks that the terminal is as it was.
func restored(t *testing.T, out string) {
	t.Helper()
	on, off := strings.LastIndex(out, altOn), strings.LastIndex(out, altOff)
	if on < 0 || off < on || strings.LastIndex(out, shown1) < on {
		t.Errorf("the terminal was not restored: %q", out)
	}
}

var env = []string{"TERM=xterm-256color"}

func TestRun(t *testing.T) {
	term := &terminal{}
	keys, press := io.Pipe()
	marks := make(chan event.Mark, 1)
	ended := make(chan struct{})
	s := Start(Options{In: keys, Out: term, Env: env, Wishes: Wishes{
		Mark: func(m event.Mark) bool { marks <- m; return true },
		End:  func() { close(ended) },
	}})
	term.wait("TOO SLOW", func() { s.Show(made()[3].snap) })
	press.Write([]byte(" "))
	if m := <-marks; m.Name != event.MarkLap {
		t.Errorf("got mark %q, want a lap", m.Name)
	}
	press.Write([]byte("\x03"))
	<-ended // the terminal is free before the walk is told to end
	restored(t, term.String())
	<-s.Done()
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}

// The end of the walk ends the screen, however early.
func TestClose(t *testing.T) {
	for range 20 {
		term := &terminal{}
		s := Start(Options{Out: term, Env: env, Wishes: Wishes{End: func() { t.Error("the walk was asked to end") }}})
		s.Show(made()[0].snap)
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		if out := term.String(); strings.Contains(out, altOn) {
			restored(t, out)
		}
		if err := s.Close(); err != nil {
			t.Errorf("the second time: %v", err)
		}
	}
}

// bomb is a model that panics once it has been drawn.
type bomb struct {
	Model
	on *terminal
}

func (b bomb) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if strings.Contains(b.on.String(), altOn) {
		panic("bomb")
	}
	return b, b.next()
}

// A panic in the screen gives the terminal back and does not end the walk.
func TestPanic(t *testing.T) {
	term := &terminal{}
	s := &Screen{done: make(chan struct{})}
	s.latest.Store(&Snapshot{})
	m := bomb{newModel(Options{}, func() Snapshot { return *s.latest.Load() }), term}
	s.program = tea.NewProgram(m, tea.WithInput(nil), tea.WithOutput(term), tea.WithEnvironment(env), tea.WithFPS(frames), tea.WithoutSignalHandler())
	go s.run(func() { t.Error("the walk was asked to end") })
	<-s.Done()
	restored(t, term.String())
	if err := s.Close(); !errors.Is(err, tea.ErrProgramPanic) {
		t.Errorf("got %v, want a panic told as an error", err)
	}
}
