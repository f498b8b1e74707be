package logbook

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

func TestCheck(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.db")
	if _, err := Check(t.Context(), path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no store: %v", err)
	}
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		w := begin(t, s)
		appendAll(t, w, walk(2000, 1))
		if err := w.End(); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	h, err := Check(t.Context(), path)
	if want := (Health{Version: len(migrations), Sessions: 3}); err != nil || h != want {
		t.Errorf("%+v, %v; want %+v", h, err, want)
	}
	late, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Check(late, path); err == nil {
		t.Error("no time, and yet checked")
	}

	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	spoilt := append([]byte(nil), data...)
	for i := len(spoilt) / 2; i < len(spoilt)*3/4; i++ { // SQLite's first pages stay whole
		spoilt[i] = 0xa5
	}
	for name, c := range map[string]struct {
		data    []byte
		damaged bool
	}{
		"spoilt": {spoilt, true}, "short": {data[:9000], true}, "none": {[]byte("Nothing of ours."), false},
	} {
		if err := os.WriteFile(path, c.data, 0o600); err != nil {
			t.Fatal(err)
		}
		if h, err := Check(t.Context(), path); err == nil || h.Damaged != c.damaged {
			t.Errorf("%s: %+v, %v", name, h, err)
		}
	}
}
