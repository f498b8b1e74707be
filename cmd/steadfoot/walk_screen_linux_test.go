package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"unsafe"

	"golang.org/x/term"

	"steadfoot/audio"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// openTerminal opens a pseudo-terminal of 80 x 24: our end, and the program's.
func openTerminal(t *testing.T) (ours, theirs *os.File) {
	t.Helper()
	ours, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skip("no pseudo-terminals here:", err)
	}
	t.Cleanup(func() { ours.Close() })
	control := func(request uintptr, arg unsafe.Pointer) {
		if _, _, e := syscall.Syscall(syscall.SYS_IOCTL, ours.Fd(), request, uintptr(arg)); e != 0 {
			t.Fatal(e)
		}
	}
	var unlock, number int32
	size := [4]uint16{24, 80}
	control(syscall.TIOCSPTLCK, unsafe.Pointer(&unlock))
	control(syscall.TIOCGPTN, unsafe.Pointer(&number))
	control(syscall.TIOCSWINSZ, unsafe.Pointer(&size))
	theirs, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	return ours, theirs
}

// watcher collects what a program writes to its terminal.
type watcher struct {
	mu  sync.Mutex
	new *sync.Cond
	all bytes.Buffer
	end bool
}

func watch(f *os.File) *watcher {
	w := &watcher{}
	w.new = sync.NewCond(&w.mu)
	go func() {
		b := make([]byte, 4096)
		for {
			n, err := f.Read(b)
			w.mu.Lock()
			w.all.Write(b[:n])
			w.end = err != nil
			w.new.Broadcast()
			w.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	return w
}

// wait waits for text after what was there at an earlier place, and returns the
// place behind it.
func (w *watcher) wait(t *testing.T, from int, text string) int {
	t.Helper()
	w.mu.Lock()
	defer w.mu.Unlock()
	for {
		s := w.all.String()[from:]
		if i := strings.Index(s, text); i >= 0 {
			return from + i + len(text)
		}
		if w.end {
			t.Fatalf("%q was not written; after the place: %q", text, s)
		}
		w.new.Wait()
	}
}

// A walk on a terminal: the screen comes, q must be confirmed, and at the end
// the terminal is as it was, with the walk's summary on it.
func TestWalkOnTerminal(t *testing.T) {
	for name, keys := range map[string]string{"q and y": "qy", "Ctrl-C": "\x03"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			w := made.Spec{Seed: 7, Duration: 30, Gait: made.Gait{Cadence: made.Steady(180), Start: 1}, Surface: footsteps.Surface("gravel")}.Walk()
			if err := audio.WriteWAV(filepath.Join(dir, "walk.wav"), int(w.Rate), 1, audio.S16, w.Samples); err != nil {
				t.Fatal(err)
			}
			ours, theirs := openTerminal(t)
			before, err := term.GetState(int(ours.Fd()))
			if err != nil {
				t.Fatal(err)
			}
			self, err := os.Executable()
			if err != nil {
				t.Fatal(err)
			}
			c := exec.Command(self)
			c.Args = []string{"steadfoot", "walk", "--cadence", "192", "--in", "walk.wav", "--out", "none", "--store", "log.db", "--label", "8 x 1 km"}
			c.Dir = dir
			c.Stdin, c.Stdout, c.Stderr = theirs, theirs, theirs
			c.Env = append(os.Environ(), "TERM=xterm-256color", "LC_ALL=C.UTF-8")
			c.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { c.Process.Kill() })
			theirs.Close() // so that what is read ends with the program
			out := watch(ours)
			at := out.wait(t, 0, "\x1b[?1049h")
			at = out.wait(t, at, "one ear open")
			ours.WriteString("x") // the caution is read
			at = out.wait(t, at, "8 x 1 km")
			at = out.wait(t, at, "TOO SLOW")
			ours.WriteString("q")
			at = out.wait(t, at, "End this walk?")
			ours.WriteString("x" + keys) // x: no, it goes on
			at = out.wait(t, at, "\x1b[?1049l")
			out.wait(t, at, "The walk is number 1")
			if err := c.Wait(); err != nil {
				t.Errorf("the walk ended with %v", err)
			}
			after, err := term.GetState(int(ours.Fd()))
			if err != nil {
				t.Fatal(err)
			}
			if fmt.Sprint(*before) != fmt.Sprint(*after) {
				t.Errorf("the terminal was %v and is %v", *before, *after)
			}
		})
	}
}
