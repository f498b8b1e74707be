package audio

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"log"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

func TestMain(m *testing.M) {
	log.SetOutput(io.Discard) // the FLAC decoder logs a line a frame at 24 kHz
	os.Exit(m.Run())
}

// readAll reads s to its end and checks that blocks follow each other.
func readAll(t testing.TB, s Source) []float32 {
	t.Helper()
	x, err := drain(s)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func drain(s Source) (x []float32, err error) {
	var b Block
	for {
		if err := s.Read(&b); err == io.EOF {
			if len(b.Samples) > 0 {
				return x, errors.New("samples along with io.EOF")
			}
			return x, nil
		} else if err != nil {
			return x, err
		}
		if b.Index != int64(len(x)) {
			return x, errors.New("blocks do not follow each other")
		}
		x = append(x, b.Samples...)
	}
}

// noise is n samples between ±0.5 that every machine makes alike.
func noise(n int) []float32 {
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(r.Float64() - 0.5)
	}
	return x
}

// chunk is one chunk of a WAV file, padded to an even length.
func chunk(id string, body []byte) []byte {
	return sized(id, uint32(len(body)), append(body, make([]byte, len(body)&1)...))
}

// sized is a chunk whose size field may lie.
func sized(id string, size uint32, body []byte) []byte {
	return append(binary.LittleEndian.AppendUint32([]byte(id), size), body...)
}

// fmtBody is the body of a fmt chunk.
func fmtBody(tag, channels uint16, rate uint32, align, bits uint16) []byte {
	le := binary.LittleEndian
	b := le.AppendUint16(nil, tag)
	b = le.AppendUint16(b, channels)
	b = le.AppendUint32(b, rate)
	b = le.AppendUint32(b, rate*uint32(align))
	b = le.AppendUint16(b, align)
	return le.AppendUint16(b, bits)
}

// riff joins chunks to a WAV file.
func riff(chunks ...[]byte) []byte {
	body := append([]byte("WAVE"), bytes.Join(chunks, nil)...)
	return sized("RIFF", uint32(len(body)), body)
}

// write puts b into a new file of that name.
func write(t testing.TB, name string, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// need skips a test where a program is missing. The project's CI installs it.
func need(t testing.TB, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("%s is not installed, so there is nothing to compare with", program)
	}
}

// do runs a program.
func do(t testing.TB, args ...string) []byte {
	t.Helper()
	out, err := exec.Command(args[0], args[1:]...).Output()
	if err != nil {
		var e *exec.ExitError
		if errors.As(err, &e) {
			t.Fatalf("%s: %v: %s", args, err, e.Stderr)
		}
		t.Fatalf("%s: %v", args, err)
	}
	return out
}
