// Package virtual is test support: a private sound server without a sound
// card, with a microphone that hears what a test plays into it and earphones
// whose sound a test records. The path through the sound library is the real
// one.
//
//	srv := virtual.Pulse(t)      // or virtual.JACK(t)
//	srv.Use()                    // sound processes of this test find it
//	heard := srv.RecordEar("ear.wav")
//	play := srv.PlayIntoMic("walk.wav")
//	... run the program ...
//	play.Wait(); heard.Stop()
//
// Where the server's programs are not installed the test is skipped, or fails
// when CI or STEADFOOT_SOUND_TESTS is set.
package virtual

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"
)

// Server is a running private sound server. It ends with its test.
type Server struct {
	// Env are the variables, as NAME=value, by which programs find the server.
	Env []string
	// Dir is the server's own folder.
	Dir string

	t     testing.TB
	line  []string // the server's command
	probe []string // succeeds once it answers
	cmd   *exec.Cmd
	log   bytes.Buffer
	dead  chan struct{} // closed when it has ended
}

// need skips or fails the test when a program is missing.
func need(t testing.TB, packages string, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err == nil {
			continue
		}
		const format = "%s is not installed (Debian: apt-get install %s)"
		if os.Getenv("CI") != "" || os.Getenv("STEADFOOT_SOUND_TESTS") != "" {
			t.Fatalf(format, p, packages)
		}
		t.Skipf(format, p, packages)
	}
}

// start runs the server and waits until probe succeeds.
func (s *Server) start(server []string, probe ...string) {
	s.t.Helper()
	s.line, s.probe = server, probe
	s.t.Cleanup(func() { s.Kill() })
	s.Restart()
}

// Restart starts the server, which has ended, and waits until it answers.
func (s *Server) Restart() {
	s.t.Helper()
	server, probe := s.line, s.probe
	cmd, dead := s.Command(server[0], server[1:]...), make(chan struct{})
	s.cmd, s.dead = cmd, dead
	s.log.Reset()
	cmd.Stdout, cmd.Stderr = &s.log, &s.log
	cmd.WaitDelay = time.Second
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	if err := cmd.Start(); err != nil {
		close(dead)
		s.t.Fatalf("%s: %v", server[0], err)
	}
	go func() { _ = cmd.Wait(); close(dead) }()
	for range 100 {
		if s.Command(probe[0], probe[1:]...).Run() == nil {
			preferRunning(s.cmd.Process.Pid)
			return
		}
		select {
		case <-s.dead:
			s.t.Fatalf("%s ended at once:\n%s", server[0], s.log.String())
		case <-time.After(50 * time.Millisecond):
		}
	}
	s.t.Fatalf("%s does not answer", server[0])
}

// Use sets Env for this test's process, and so for what it starts.
func (s *Server) Use() {
	s.t.Helper()
	for _, kv := range s.Env {
		name, value, _ := strings.Cut(kv, "=")
		s.t.Setenv(name, value)
	}
}

// Command is a command that finds the server, see also Prefer.
func (s *Server) Command(name string, arg ...string) *exec.Cmd {
	line := Prefer(append([]string{name}, arg...)...)
	c := exec.Command(line[0], line[1:]...)
	c.Env = append(os.Environ(), s.Env...)
	return c
}

// Kill ends the server as a crash does, and waits for its end.
func (s *Server) Kill() {
	_ = s.cmd.Process.Kill() // fails only when it has ended
	<-s.dead
}

// Freeze stops the server in its tracks until Thaw.
func (s *Server) Freeze() { s.signal(syscall.SIGSTOP) }

// Thaw lets a frozen server go on.
func (s *Server) Thaw() { s.signal(syscall.SIGCONT) }

func (s *Server) signal(sig syscall.Signal) {
	s.t.Helper()
	if err := s.cmd.Process.Signal(sig); err != nil {
		s.t.Fatal(err)
	}
}
