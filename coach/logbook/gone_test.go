package logbook

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// TestRemovedFile removes the store's file in the middle of a walk: it is told, and
// the file is there again in the end with all that was in it and all of the walk.
func TestRemovedFile(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a file in use cannot be removed there")
	}
	for _, c := range []struct {
		name, tails string
		other       bool // another store is there in the end
	}{
		{"the file alone", "", false},
		{"its helpers too", "-wal -shm", false},
		{"replaced", "-wal -shm", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, path := openTemp(t)
			old := begin(t, s)
			before := walk(20, 7)
			appendAll(t, old, before)
			if err := old.End(); err != nil {
				t.Fatal(err)
			}
			w := begin(t, s)
			want := walk(60, 1)
			appendAll(t, w, want[:100])
			waitFor(t, "the first commit", func() bool { return w.Waiting() == 0 })
			if err := w.Err(); err != nil {
				t.Fatalf("all is well, and there is trouble: %v", err)
			}
			for _, tail := range append(strings.Fields(c.tails), "") {
				if err := os.Remove(path + tail); err != nil {
					t.Fatal(err)
				}
			}
			if c.other {
				if err := os.WriteFile(path, []byte("somebody else's"), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			appendAll(t, w, want[100:])
			waitFor(t, "the trouble to be seen", func() bool { return w.Err() != nil && w.Waiting() == 0 })
			if msg := w.Err().Error(); !strings.Contains(msg, path) || !strings.Contains(msg, "removed or replaced") {
				t.Errorf("it is told as %q", msg)
			}
			if err := w.End(); err != nil {
				t.Fatal(err)
			}
			err := s.Close()
			at := path
			if c.other {
				at = path + ".rescued-1"
				if err == nil || !strings.Contains(err.Error(), at) || !strings.Contains(err.Error(), "log merge") {
					t.Errorf("the end says %v", err)
				}
				if b, _ := os.ReadFile(path); string(b) != "somebody else's" {
					t.Errorf("the other file holds %q", b)
				}
			} else if err != nil {
				t.Errorf("the end says %v", err)
			}
			again, err := Open(at)
			if err != nil {
				t.Fatal(err)
			}
			defer again.Close()
			compare(t, readAll(t, again, old.ID()), before)
			compare(t, readAll(t, again, w.ID()), want)
			if left, _ := filepath.Glob(path + ".rescued.part"); len(left) > 0 {
				t.Errorf("%v is left", left)
			}
		})
	}
}

// TestRemovedFolder: the folder is made anew with the file; where nothing can be put
// back, the error says so.
func TestRemovedFolder(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a file in use cannot be removed there")
	}
	for _, blocked := range []bool{false, true} {
		path := filepath.Join(t.TempDir(), "walks", "log.db")
		if err := os.Mkdir(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		s, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		w := begin(t, s)
		want := walk(5, 1)
		appendAll(t, w, want)
		if err := os.RemoveAll(filepath.Dir(path)); err != nil {
			t.Fatal(err)
		}
		if blocked {
			if err := os.MkdirAll(filepath.Join(path+".rescued.part", "full"), 0o700); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.End(); err != nil {
			t.Fatal(err)
		}
		err = s.Close()
		if blocked {
			if err == nil || !strings.Contains(err.Error(), "cannot be put back") {
				t.Errorf("the end says %v", err)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		again, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		compare(t, readAll(t, again, w.ID()), want)
		again.Close()
	}
}
