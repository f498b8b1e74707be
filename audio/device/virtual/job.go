package virtual

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"syscall"
	"testing"
	"time"
)

// Job is a program that plays or records. It ends with its test.
type Job struct {
	t    testing.TB
	name string
	cmd  *exec.Cmd
	log  bytes.Buffer
	done chan error
}

func (s *Server) run(name string, arg ...string) *Job {
	s.t.Helper()
	c := s.Command(name, arg...)
	j := &Job{t: s.t, name: name, cmd: c, done: make(chan error, 1)}
	c.Stderr = &j.log
	c.WaitDelay = time.Second
	if err := c.Start(); err != nil {
		s.t.Fatalf("%s: %v", name, err)
	}
	exited := make(chan struct{})
	go func() { j.done <- c.Wait(); close(exited) }()
	s.t.Cleanup(func() {
		_ = c.Process.Kill() // fails only when it has ended
		<-exited
	})
	return j
}

// awaitFile waits until the program has written more than head bytes to a file. A
// program that has just been started has not opened its device yet, and on a busy
// machine that may take seconds.
func (j *Job) awaitFile(path string, head int64) {
	j.t.Helper()
	for range 400 {
		if i, err := os.Stat(path); err == nil && i.Size() > head {
			return
		}
		if j.ended() {
			j.t.Fatalf("%s has ended before it wrote to %s: %s", j.name, path, j.log.String())
		}
		time.Sleep(50 * time.Millisecond)
	}
	_ = j.cmd.Process.Kill() // its log may be read once it has ended
	j.t.Fatalf("%s has written nothing to %s in 20 s: %v: %s", j.name, path, <-j.done, j.log.String())
}

// ended says whether the program has; if it has failed the test ends here.
func (j *Job) ended() bool {
	j.t.Helper()
	select {
	case err := <-j.done:
		j.done <- err // for whoever asks next
		if err != nil {
			j.t.Fatalf("%s: %v: %s", j.name, err, j.log.String())
		}
		return true
	default:
		return false
	}
}

// Wait waits until the program has ended by itself, at most a minute.
func (j *Job) Wait() {
	j.t.Helper()
	select {
	case err := <-j.done:
		if err != nil {
			j.t.Fatalf("%s: %v: %s", j.name, err, j.log.String())
		}
	case <-time.After(time.Minute):
		j.t.Fatalf("%s does not end", j.name)
	}
}

// Stop ends a recording in good order, so that its file is complete.
func (j *Job) Stop() {
	j.t.Helper()
	_ = j.cmd.Process.Signal(os.Interrupt) // fails only when it has ended
	select {
	case err := <-j.done:
		if err != nil && !interrupted(err) {
			j.t.Errorf("%s: %v: %s", j.name, err, j.log.String())
		}
	case <-time.After(5 * time.Second):
		j.t.Fatalf("%s does not stop", j.name)
	}
}

// Drop ends the program at once, which may have lost its server or its device.
func (j *Job) Drop() {
	_ = j.cmd.Process.Kill() // fails only when it has ended
}

// interrupted says whether a program has ended by Stop's signal, as paplay does
// while it still starts.
func interrupted(err error) bool {
	var e *exec.ExitError
	if !errors.As(err, &e) {
		return false
	}
	w, ok := e.Sys().(syscall.WaitStatus)
	return ok && w.Signaled() && w.Signal() == syscall.SIGINT
}
