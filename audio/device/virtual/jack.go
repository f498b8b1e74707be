package virtual

import (
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"
)

// JACKServer is a private JACK server with the dummy driver: 48 kHz, exact time.
type JACKServer struct{ *Server }

// JACK starts a JACK server with periods of 256 samples. The sound library lists
// it as the device "JACK Audio Connection Kit: system", which is not the default.
func JACK(t testing.TB) *JACKServer {
	t.Helper()
	return JACKPeriod(t, 256)
}

// JACKPeriod starts a JACK server with periods of the given number of samples.
func JACKPeriod(t testing.TB, period int) *JACKServer {
	t.Helper()
	need(t, "jackd2", "jackd", "jack_lsp", "jack_connect")
	dir := t.TempDir()
	write(t, filepath.Join(dir, "asound.conf"), "pcm.!default { type null }\nctl.!default { type null }\n")
	const name = "steadfoot-test"
	lock(t, name)
	s := &Server{t: t, Dir: dir, Env: []string{
		"JACK_DEFAULT_SERVER=" + name, "JACK_NO_AUDIO_RESERVATION=1", "JACK_NO_START_SERVER=1",
		"ALSA_CONFIG_PATH=" + filepath.Join(dir, "asound.conf"),
	}}
	s.start([]string{"jackd", "--realtime", "--realtime-priority", "20", "--no-mlock", "-n", name,
		"-d", "dummy", "-r", "48000", "-p", strconv.Itoa(period), "-C", "2", "-P", "2"}, "jack_lsp")
	return &JACKServer{s}
}

// lock keeps the server's name for this test. JACK knows eight names and
// forgets none whose server was killed, so there is one name, and one server
// of it at a time on this machine.
func lock(t testing.TB, name string) {
	t.Helper()
	f, err := os.OpenFile(filepath.Join(os.TempDir(), "steadfoot-jack.lock"), os.O_CREATE|os.O_RDWR, 0o666)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = f.Close() })
	for range 600 {
		if syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatalf("the JACK server %s of another test has run for a minute", name)
}

// Loop leads a running stream's left output back into its input.
func (s *JACKServer) Loop() {
	s.t.Helper()
	_ = s.Command("jack_disconnect", "system:capture_1", "PortAudio:in_0").Run() // it may not be connected
	if out, err := s.Command("jack_connect", "PortAudio:out_0", "PortAudio:in_0").CombinedOutput(); err != nil {
		s.t.Fatalf("jack_connect: %v: %s", err, out)
	}
}
