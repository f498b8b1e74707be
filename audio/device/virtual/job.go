package virtual

import (
	"bytes"
	"os"
	"os/exec"
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
	case <-j.done:
	case <-time.After(5 * time.Second):
		j.t.Fatalf("%s does not stop", j.name)
	}
}
