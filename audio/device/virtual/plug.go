package virtual

import (
	"fmt"
	"strings"
)

// AddSink plugs in another device: earphones of that name, and a microphone
// NAME.monitor that hears what is played into them.
func (s *PulseServer) AddSink(name string, rate, channels int) {
	s.t.Helper()
	s.pactl("load-module", "module-null-sink", "sink_name="+name, fmt.Sprintf("rate=%d", rate),
		fmt.Sprintf("channels=%d", channels), "norewinds=1")
}

// RemoveSink unplugs a device. The server moves its streams to another one, if
// there is any, else they end.
func (s *PulseServer) RemoveSink(name string) {
	s.t.Helper()
	for line := range strings.Lines(s.pactl("list", "short", "modules")) {
		if f := strings.Fields(line); len(f) > 2 && f[2] == "sink_name="+name {
			s.pactl("unload-module", f[0])
			return
		}
	}
	s.t.Fatalf("the server has no sink %s", name)
}

// Default makes a sink the default earphones and a source the default
// microphone; "" leaves a side as it is.
func (s *PulseServer) Default(sink, source string) {
	s.t.Helper()
	if sink != "" {
		s.pactl("set-default-sink", sink)
	}
	if source != "" {
		s.pactl("set-default-source", source)
	}
}

func (s *PulseServer) pactl(arg ...string) string {
	s.t.Helper()
	out, err := s.Command("pactl", arg...).CombinedOutput()
	if err != nil {
		s.t.Fatalf("pactl %s: %v: %s", strings.Join(arg, " "), err, out)
	}
	return string(out)
}
