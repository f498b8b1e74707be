package virtual

import (
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"time"
)

// AddMicrophone plugs in a microphone that is no sink's monitor but has a crystal of
// its own, ppm millionths faster than the server's clock. It brings what next fills
// in: 16-bit little-endian samples, 48000 a second by that crystal, one channel.
func (s *PulseServer) AddMicrophone(name string, ppm float64, next func(pcm []byte)) {
	s.t.Helper()
	fifo := filepath.Join(s.Dir, name+".fifo")
	s.pactl("load-module", "module-pipe-source", "source_name="+name, "file="+fifo, "format=s16le", "rate=48000", "channels=1")
	s.await(func() bool { return s.has("sources", name) }, "source %s is not there", name)
	f, err := os.OpenFile(fifo, os.O_WRONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		s.t.Fatal(err)
	}
	// The pipe is the microphone's only buffer.
	if err := shorten(f); err != nil {
		s.t.Fatal(err)
	}
	quit, done := make(chan struct{}), make(chan struct{})
	s.t.Cleanup(func() { close(quit); <-done })
	go func() {
		defer close(done)
		defer f.Close()
		hurry()              // a device is not late because programs are busy
		const period = 0.010 // s by its own clock
		pcm := make([]byte, 2*480)
		start := time.Now()
		for n := 1; ; n++ {
			rest(start.Add(time.Duration(float64(n) * period / (1 + ppm/1e6) * 1e9)))
			select {
			case <-quit:
				return
			default:
			}
			next(pcm)
			// What the server does not take is lost, as in a device.
			_ = f.SetWriteDeadline(time.Now().Add(time.Second))
			if _, err := f.Write(pcm); err != nil && !os.IsTimeout(err) {
				fmt.Fprintln(os.Stderr, "microphone", name, "has ended:", err)
				return
			}
		}
	}()
}
