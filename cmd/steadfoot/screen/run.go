package screen

import (
	"errors"
	"io"
	"sync/atomic"
	"time"

	tea "charm.land/bubbletea/v2"
)

// Options set up a screen.
type Options struct {
	In      io.Reader // where keys come from, a terminal; nil: there are none
	Out     io.Writer // a terminal
	Env     []string  // of the program, for TERM, NO_COLOR and the like
	ASCII   bool      // draw with ASCII only
	Caution string    // shown first, until a key is pressed
	Wishes  Wishes
}

// Screen is a screen that runs. Its methods may be called from any goroutine.
type Screen struct {
	latest  atomic.Pointer[Snapshot]
	program *tea.Program
	done    chan struct{}
	err     error
}

// Start takes over the terminal. Call Close, also on the way out of a panic.
func Start(o Options) *Screen {
	s := &Screen{done: make(chan struct{})}
	s.latest.Store(&Snapshot{})
	m := newModel(o, func() Snapshot { return *s.latest.Load() })
	s.program = tea.NewProgram(m,
		tea.WithInput(o.In), tea.WithOutput(o.Out), tea.WithEnvironment(o.Env),
		tea.WithWindowSize(80, 24), // until the terminal has told its own
		tea.WithFPS(frames),
		tea.WithoutSignalHandler()) // signals end the walk, and that ends the screen
	go s.run(o.Wishes.End)
	return s
}

func (s *Screen) run(end func()) {
	last, err := s.program.Run()
	s.err = err
	close(s.done)
	if m, ok := last.(Model); ok && m.ended && end != nil {
		end()
	}
}

// Show has the screen show a snapshot from the next frame on.
func (s *Screen) Show(snap Snapshot) { s.latest.Store(&snap) }

// Done is closed when the screen has gone and the terminal is as it was.
func (s *Screen) Done() <-chan struct{} { return s.done }

// restoring is how long a terminal may take to be restored; one that hangs must
// not hold up the end of a walk.
const restoring = 2 * time.Second

// Close gives the terminal back. The error is what went wrong with the screen,
// now or before; the walk goes on without it.
func (s *Screen) Close() error {
	go s.program.Quit()
	select {
	case <-s.done:
		return s.err
	case <-time.After(restoring):
		return errors.New("the terminal does not answer")
	}
}
