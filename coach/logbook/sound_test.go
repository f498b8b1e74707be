package logbook

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// keepSound puts a sound beside the store for a session.
func keepSound(t *testing.T, s *Store, id int64) string {
	t.Helper()
	_, i, err := s.Session(id)
	if err != nil {
		t.Fatal(err)
	}
	f, err := s.CreateSound(i.UID)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.WriteString("twelve bytes"); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return f.Name()
}

func gone(path string) bool {
	_, err := os.Stat(path)
	return errors.Is(err, fs.ErrNotExist)
}

// TestSound: a sound is told of, is deleted alone, stays while its session is only
// set aside, and goes with it.
func TestSound(t *testing.T) {
	s, path := newStore(t, "log.db")
	a, b := put(t, s, Header{Started: day(1)}, 0.1), put(t, s, Header{Started: day(2)}, 0.1)
	fileA, fileB := keepSound(t, s, a), keepSound(t, s, b)
	if want := filepath.Join(filepath.Dir(path), "sounds"); filepath.Dir(fileA) != want {
		t.Errorf("%s is not in %s", fileA, want)
	}
	if st, err := os.Stat(fileA); err != nil || st.Mode().Perm()&0o077 != 0 {
		t.Errorf("others may read the sound: %v, %v", st.Mode(), err)
	}
	list, err := s.Sessions()
	if err != nil || len(list) != 2 || list[0].Sound != 12 || list[1].Sound != 12 {
		t.Errorf("%+v, %v", list, err)
	}
	if _, err := s.CreateSound(list[0].UID); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a sound is written over: %v", err)
	}
	events := len(readAll(t, s, a))
	if err := s.DeleteSound(a); err != nil || !gone(fileA) || gone(fileB) {
		t.Errorf("deleted alone: %v", err)
	}
	if _, i, err := s.Session(a); err != nil || i.Sound != 0 || i.Events != events {
		t.Errorf("%+v, %v", i, err)
	}
	if err := s.DeleteSound(a); err == nil || !strings.Contains(err.Error(), "no sound of walk") {
		t.Errorf("deleted twice: %v", err)
	}
	if err := s.Delete(b, day(3)); err != nil || gone(fileB) {
		t.Errorf("the sound of a session that may come back is gone, %v", err)
	}
	if n, err := s.Purge(day(4)); n != 1 || err != nil || !gone(fileB) {
		t.Errorf("purged %d, %v; sound gone: %v", n, err, gone(fileB))
	}
}

// TestSoundPath: what a foreign store calls a UID names no file outside the folder.
func TestSoundPath(t *testing.T) {
	s, path := newStore(t, "log.db")
	id := put(t, s, Header{Started: day(1)}, 0.1)
	victim := filepath.Join(filepath.Dir(path), "victim.wav")
	if err := os.WriteFile(victim, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, uid := range []string{"../victim", "", "x", strings.Repeat("A", 32)} {
		if p := s.SoundPath(uid); p != "" {
			t.Errorf("%q is kept in %s", uid, p)
		}
		if f, err := s.CreateSound(uid); err == nil {
			f.Close()
			t.Errorf("%q is created", uid)
		}
	}
	if _, err := s.db.Exec(`UPDATE session SET uid = '../victim'`); err != nil {
		t.Fatal(err)
	}
	if err := s.Delete(id, day(2)); err != nil {
		t.Fatal(err)
	}
	if n, err := s.Purge(day(3)); n != 1 || err != nil || gone(victim) {
		t.Errorf("%d, %v, gone: %v", n, err, gone(victim))
	}
}
