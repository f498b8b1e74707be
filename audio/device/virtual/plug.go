package virtual

import (
	"fmt"
	"strings"
	"time"
)

// AddSink plugs in another device: earphones of that name, and a microphone
// NAME.monitor that hears what is played into them.
func (s *PulseServer) AddSink(name string, rate, channels int) {
	s.t.Helper()
	s.pactl("load-module", "module-null-sink", "sink_name="+name, fmt.Sprintf("rate=%d", rate),
		fmt.Sprintf("channels=%d", channels), "norewinds=1")
	s.await(func() bool { return s.has("sinks", name) && s.has("sources", name+".monitor") }, "sink %s is not there", name)
}

// has says whether the server lists something of that name among its sinks or sources.
func (s *PulseServer) has(kind, name string) bool {
	s.t.Helper()
	for line := range strings.Lines(s.pactl("list", "short", kind)) {
		if f := strings.Fields(line); len(f) > 1 && f[1] == name {
			return true
		}
	}
	return false
}

// await waits until something holds.
func (s *PulseServer) await(holds func() bool, otherwise string, arg ...any) {
	s.t.Helper()
	for range 200 {
		if holds() {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	s.t.Fatalf(otherwise, arg...)
}

// RemoveSink unplugs a device. The server moves its streams to another one, if
// there is any, else they end.
func (s *PulseServer) RemoveSink(name string) {
	s.t.Helper()
	for line := range strings.Lines(s.pactl("list", "short", "modules")) {
		if f := strings.Fields(line); len(f) > 2 && f[2] == "sink_name="+name {
			s.pactl("unload-module", f[0])
			s.await(func() bool { return !s.has("sinks", name) }, "sink %s is still there", name)
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
	out, err := plain(s.Command("pactl", arg...)).CombinedOutput()
	if err != nil {
		s.t.Fatalf("pactl %s: %v: %s", strings.Join(arg, " "), err, out)
	}
	return string(out)
}
