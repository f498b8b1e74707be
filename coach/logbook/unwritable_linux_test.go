package logbook

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// asNobody runs f on a thread that has no more rights to files than a user
// whom nothing belongs to: root is refused nothing.
func asNobody(t *testing.T, f func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		f()
		return
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		runtime.LockOSThread() // and never unlocked: the thread ends here
		syscall.RawSyscall(syscall.SYS_SETFSUID, 65534, 0, 0)
		f()
	}()
	<-done
}

func TestUnwritableFolder(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "log.db")
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	want := walk(5, 1)
	w := begin(t, s)
	appendAll(t, w, want)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	for _, p := range []struct {
		name string
		mode os.FileMode
	}{{path, 0o444}, {dir, 0o555}, {filepath.Dir(dir), 0o755}} {
		if err := os.Chmod(p.name, p.mode); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() { os.Chmod(dir, 0o755) })
	asNobody(t, func() {
		for _, p := range []string{path, filepath.Join(dir, "new.db")} {
			if s, err := Open(p); err == nil {
				s.Close()
				t.Errorf("Open(%s) succeeds", p)
			} else if !strings.Contains(err.Error(), "permission denied") {
				t.Errorf("Open gives %q", err)
			}
		}
		s, err := OpenReadOnly(path)
		if err != nil {
			t.Errorf("OpenReadOnly: %v", err)
			return
		}
		defer s.Close()
		compare(t, readAll(t, s, 1), want)
	})
}
