package virtual

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

const pulsePackages = "pulseaudio pulseaudio-utils libasound2-plugins"

// PulseServer is a private PulseAudio server.
type PulseServer struct{ *Server }

// Pulse starts a PulseAudio server with two sinks: what is played into "mic"
// is the default microphone's sound, and "ear" is the default output.
func Pulse(t testing.TB) *PulseServer {
	t.Helper()
	need(t, pulsePackages, "pulseaudio", "pactl", "paplay", "parec")
	dir := t.TempDir()
	write(t, filepath.Join(dir, "asound.conf"), "pcm.!default { type pulse }\nctl.!default { type pulse }\n")
	// norewinds=1: otherwise a null sink renders two seconds at a time.
	// module-stream-restore: as on every desktop, it knows where a user has moved a
	// program, whose streams are made anew after each xrun.
	write(t, filepath.Join(dir, "default.pa"), fmt.Sprintf(`load-module module-native-protocol-unix auth-anonymous=1 socket=%s/native
load-module module-null-sink sink_name=mic rate=48000 channels=2 norewinds=1
load-module module-null-sink sink_name=ear rate=48000 channels=2 norewinds=1
load-module module-stream-restore
set-default-sink ear
set-default-source mic.monitor
`, dir))
	s := &Server{t: t, Dir: dir, Env: []string{
		"XDG_RUNTIME_DIR=" + dir, "XDG_CONFIG_HOME=" + dir,
		"PULSE_SERVER=unix:" + filepath.Join(dir, "native"), "PULSE_COOKIE=" + filepath.Join(dir, "cookie"),
		"PULSE_RUNTIME_PATH=" + dir, "PULSE_STATE_PATH=" + dir,
		"ALSA_CONFIG_PATH=" + filepath.Join(dir, "asound.conf"), "JACK_NO_START_SERVER=1",
	}}
	s.start([]string{"pulseaudio", "-n", "-F", filepath.Join(dir, "default.pa"), "--daemonize=no", "--use-pid-file=no",
		"--exit-idle-time=-1", "--disallow-exit=yes", "--realtime=no", "--high-priority=no"}, "pactl", "info")
	return &PulseServer{s}
}

// TwoDevices gives programs two sound cards instead of one: a microphone named "one"
// that takes what the source brings, and earphones named "two" that play into the
// sink. It returns the environment that shows them.
func TwoDevices(t testing.TB, source, sink string) (env string) {
	t.Helper()
	conf := filepath.Join(t.TempDir(), "asound.conf")
	write(t, conf, fmt.Sprintf(`pcm.!default { type pulse }
ctl.!default { type pulse }
pcm.one { type pulse device %q hint { show on description "one" } }
pcm.two { type pulse device %q hint { show on description "two" } }
`, source, sink))
	return "ALSA_CONFIG_PATH=" + conf
}

// PlayIntoMic plays a WAV file into the microphone.
func (s *PulseServer) PlayIntoMic(wav string) *Job { return s.PlayInto("mic", wav) }

// PlayInto plays a WAV file into a sink: a microphone's, or one that AddSink made.
// It returns once the file is being played.
func (s *PulseServer) PlayInto(sink, wav string) *Job {
	s.t.Helper()
	j := s.run("paplay", "--device="+sink, "--latency-msec=500", wav)
	s.awaitPlaying(j)
	return j
}

// RecordEar records what the earphones play, mixed to one channel, into a
// 16-bit WAV file until Stop.
func (s *PulseServer) RecordEar(wav string) *Job { return s.Record("ear", wav) }

// Record records what a sink plays, as RecordEar. It returns once the first sound,
// or silence, is in the file.
func (s *PulseServer) Record(sink, wav string) *Job {
	s.t.Helper()
	j := s.run("parec", "--device="+sink+".monitor", "--rate=48000", "--channels=1", "--format=s16le",
		"--latency-msec=50", "--file-format=wav", wav)
	j.awaitFile(wav, wavHead)
	return j
}

const wavHead = 44 // bytes before the sound

func write(t testing.TB, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}
