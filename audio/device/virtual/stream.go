package virtual

import (
	"os/exec"
	"strconv"
	"strings"
)

// stream is a program's connection with a device of the server.
type stream struct {
	id, device string // numbers
	props      map[string]string
}

// Properties by which the server knows whose a stream is.
const (
	ofProcess = "application.process.id"
	ofProgram = "application.process.binary"
)

// streams lists those ("sink-inputs" or "source-outputs") that have a property.
func (s *PulseServer) streams(kind, property, value string) (all []stream) {
	s.t.Helper()
	now := stream{}
	end := func() {
		if now.props[property] == value {
			all = append(all, now)
		}
	}
	for line := range strings.Lines(s.pactl("list", kind)) {
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		switch _, id, heads := strings.Cut(line, " #"); {
		case heads && line[0] != '\t':
			end()
			now = stream{id: strings.TrimSpace(id), props: map[string]string{}}
		case word == "Sink:" || word == "Source:":
			now.device = rest
		case strings.HasPrefix(rest, "= "):
			now.props[word] = strings.Trim(rest[2:], `"`)
		}
	}
	end()
	return all
}

// Move moves the streams of a program, by the name of its file, to a sink and a
// source, as a user does who picks other devices for it; "" leaves a side as it is.
// New streams of the program go there too.
func (s *PulseServer) Move(program, sink, source string) {
	s.t.Helper()
	if sink != "" {
		s.move(program, "sink-inputs", "move-sink-input", sink)
	}
	if source != "" {
		s.move(program, "source-outputs", "move-source-output", source)
	}
}

// move tries again where a stream is just being made anew.
func (s *PulseServer) move(program, kind, command, to string) {
	s.t.Helper()
	s.await(func() bool {
		all := s.streams(kind, ofProgram, program)
		for _, x := range all {
			if s.Command("pactl", command, x.id, to).Run() != nil {
				return false
			}
		}
		return len(all) > 0
	}, "the %s of %s cannot be moved to %s", kind, program, to)
}

// AwaitOn waits until a program's streams go to a sink and come from a source; ""
// is any.
func (s *PulseServer) AwaitOn(program, sink, source string) {
	s.t.Helper()
	s.await(func() bool {
		return s.on(program, "sink-inputs", "sinks", sink) && s.on(program, "source-outputs", "sources", source)
	}, "%s does not play to %q and hear %q", program, sink, source)
}

func (s *PulseServer) on(program, kind, devices, want string) bool {
	s.t.Helper()
	all := s.streams(kind, ofProgram, program)
	return want == "" || len(all) > 0 && s.nameOf(devices, all[len(all)-1].device) == want
}

// nameOf is the name of the sink or source of that number.
func (s *PulseServer) nameOf(kind, number string) string {
	s.t.Helper()
	for line := range strings.Lines(s.pactl("list", "short", kind)) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == number {
			return f[1]
		}
	}
	return ""
}

// awaitPlaying waits until the server has a stream of a program that plays.
func (s *PulseServer) awaitPlaying(j *Job) {
	s.t.Helper()
	pid := strconv.Itoa(j.cmd.Process.Pid) // Prefer's programs become the one they run
	s.await(func() bool {
		return j.ended() || len(s.streams("sink-inputs", ofProcess, pid)) > 0
	}, "%s does not play", j.name)
}

// plain is a command whose output is in the C locale.
func plain(c *exec.Cmd) *exec.Cmd {
	c.Env = append(c.Env, "LC_ALL=C")
	return c
}
