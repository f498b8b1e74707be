package logbook

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// smallDisk mounts a disk of 1 MB, which only root can.
func smallDisk(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("none", dir, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("no disk can be made to be filled (%v); TestFullStore has SQLite's own limit instead", err)
	}
	t.Cleanup(func() { syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir
}

// fillDisk leaves so many bytes of the disk free, and returns what makes room again.
func fillDisk(t *testing.T, dir string, free int64) (empty func()) {
	t.Helper()
	path := filepath.Join(dir, "filler")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	for b := make([]byte, 4096); ; {
		if _, err := f.Write(b); err != nil {
			break
		}
	}
	st, err := f.Stat()
	if err == nil {
		err = f.Truncate(max(0, st.Size()-free))
	}
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	return func() { os.Remove(path) }
}

// TestFullDisk fills a real disk during a walk, makes room, and has all of it.
func TestFullDisk(t *testing.T) {
	dir := smallDisk(t)
	s, err := Open(filepath.Join(dir, "log.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	w := begin(t, s)
	want := walk(600, 1)
	appendAll(t, w, want[:100])
	waitFor(t, "the first commit", func() bool { return w.Waiting() == 0 })
	empty := fillDisk(t, dir, 0)
	appendAll(t, w, want[100:])
	waitFor(t, "the disk to be full", func() bool { return w.Err() != nil })
	if msg := w.Err().Error(); !strings.Contains(msg, "the disk is full") || !strings.Contains(msg, "free some space") {
		t.Errorf("got %q", msg)
	}
	if w.Waiting() == 0 {
		t.Error("nothing waits")
	}
	empty()
	waitFor(t, "the rest to be written", func() bool { return w.Waiting() == 0 })
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	compare(t, readAll(t, s, w.ID()), want)
}

// TestFullFromTheStart: whatever SQLite lacks the room for, the error says so.
func TestFullFromTheStart(t *testing.T) {
	dir := smallDisk(t)
	path := filepath.Join(dir, "log.db")
	for free := int64(0); free <= 128<<10; free += 4 << 10 {
		empty := fillDisk(t, dir, free)
		s, err := Open(path)
		if err == nil {
			_, err = s.Begin(testHeader())
			s.Close()
		}
		if err == nil {
			t.Logf("%d bytes are enough", free)
			if free == 0 {
				t.Error("they cannot be")
			}
			empty()
			return
		}
		t.Logf("%d bytes: %v", free, err)
		if msg := err.Error(); !strings.Contains(msg, "the disk is full") || !strings.Contains(msg, "free some space") || !strings.HasPrefix(msg, "store "+path+": ") || strings.Contains(msg, "\n") {
			t.Errorf("with %d bytes free: %q", free, msg)
		}
		empty()
		for _, tail := range []string{"", "-wal", "-shm", "-journal"} {
			os.Remove(path + tail)
		}
	}
	t.Error("it never fits")
}
