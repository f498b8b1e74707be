package device

import (
	"bytes"
	"strings"
	"sync"
)

// tail keeps the last bytes written to it. It is safe for concurrent use.
type tail struct {
	mu  sync.Mutex
	max int
	buf []byte
}

func newTail(most int) *tail { return &tail{max: most} }

// Write implements io.Writer and never fails.
func (t *tail) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.buf = append(t.buf, p...)
	if over := len(t.buf) - t.max; over > 0 {
		t.buf = append(t.buf[:0], t.buf[over:]...)
	}
	return len(p), nil
}

func (t *tail) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return string(t.buf)
}

// line is the line that tells most about the end of a process: what the Go
// runtime says of a crash, else the last line. It is "" when there is none.
func (t *tail) line() string {
	last := ""
	for l := range bytes.Lines([]byte(t.String())) {
		s := strings.TrimSpace(string(l))
		for _, crash := range []string{"panic:", "fatal error:", "SIG"} {
			if strings.HasPrefix(s, crash) {
				return s
			}
		}
		if s != "" {
			last = s
		}
	}
	return last
}
