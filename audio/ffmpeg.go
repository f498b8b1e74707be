package audio

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"time"
)

// openFFmpeg has the sound track of input, a URL as ffmpeg takes it, decoded to
// a float WAV at its own rate and channel count. The input pipe:0 reads from in.
// An error starts with why ffmpeg is needed.
func openFFmpeg(input string, in io.Reader, why error) (stream, error) {
	path, err := exec.LookPath("ffmpeg")
	if err != nil {
		return stream{}, fmt.Errorf("%w; ffmpeg might read it, but it is not installed", why)
	}
	// The list of protocols keeps a play list from reaching for the network.
	cmd := exec.Command(path, "-nostdin", "-v", "error", "-protocol_whitelist", "file,pipe",
		"-i", input, "-map", "0:a:0", "-c:a", "pcm_f32le", "-f", "wav", "pipe:1")
	f := &ffmpeg{cmd: cmd}
	cmd.Stdin, cmd.Stderr = in, &f.said
	standApart(cmd)
	cmd.WaitDelay = 2 * time.Second // in may never end
	out, err := cmd.StdoutPipe()
	if err != nil {
		return stream{}, err
	}
	if err := cmd.Start(); err != nil {
		return stream{}, err
	}
	s, err := openWAV(bufio.NewReaderSize(out, 1<<16))
	if err != nil {
		return stream{}, fmt.Errorf("%w; ffmpeg finds no sound in it either (%w)", why, f.wait(err))
	}
	f.decoder = s.decoder
	s.decoder, s.kind, s.close, s.warnings = f, "ffmpeg", f.close, f.warnings
	return s, nil
}

// ffmpeg is the running program, and the decoder of what it writes.
type ffmpeg struct {
	decoder
	cmd   *exec.Cmd
	said  tail
	ended bool
}

// decode implements decoder. At the end the exit status has its say.
func (f *ffmpeg) decode(dst []float32) (int, error) {
	n, err := f.decoder.decode(dst)
	if err != nil && !f.ended {
		err = f.wait(err)
	}
	return n, err
}

// wait ends the program and returns what it complained of, or else err.
func (f *ffmpeg) wait(err error) error {
	f.ended = true
	status := f.cmd.Wait()
	switch line := f.said.lastLine(); {
	case status != nil && line != "":
		return fmt.Errorf("ffmpeg: %s", line)
	case status != nil:
		return fmt.Errorf("ffmpeg: %w", status)
	}
	return err
}

// warnings gives the complaint of a program that went on all the same.
func (f *ffmpeg) warnings() []string {
	if line := f.said.lastLine(); f.ended && line != "" {
		return []string{"ffmpeg: " + line}
	}
	return nil
}

func (f *ffmpeg) close() error {
	if !f.ended {
		f.cmd.Process.Kill()
		f.cmd.Wait()
		f.ended = true
	}
	return nil
}

// tail keeps the last few kilobytes written to it.
type tail struct{ b []byte }

func (t *tail) Write(p []byte) (int, error) {
	const most = 4096
	t.b = append(t.b, p...)
	t.b = t.b[max(0, len(t.b)-most):]
	return len(p), nil
}

// lastLine is the last line that is no advice on ffmpeg's own flags.
func (t *tail) lastLine() (line string) {
	for l := range bytes.Lines(t.b) {
		if s := strings.TrimSpace(string(l)); s != "" && !strings.HasPrefix(s, "To ignore this") {
			line = s
		}
	}
	return line
}
