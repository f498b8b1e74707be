package logbook

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
)

func TestMigrate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.db")
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	want := walk(5, 1)
	w := begin(t, s)
	appendAll(t, w, want)
	if err := w.End(); err != nil {
		t.Fatal(err)
	}

	ctx := context.Background()
	broken := append(slices.Clip(migrations), "ALTER TABLE session ADD COLUMN notes TEXT; nonsense")
	if err := migrate(ctx, s.db, path, broken); err == nil {
		t.Fatal("a broken migration succeeds")
	}
	if v, err := versionOf(ctx, s.db); v != len(migrations) || err != nil {
		t.Errorf("after a broken migration the version is %d, %v", v, err)
	}
	// It has left its copy; more is walked before the next try, by two at once.
	more := begin(t, s)
	appendAll(t, more, want)
	if err := more.End(); err != nil {
		t.Fatal(err)
	}
	next := append(slices.Clip(migrations), "ALTER TABLE session ADD COLUMN notes TEXT NOT NULL DEFAULT 'none'")
	other, err := connect(path, "mode=rwc&_txlock=immediate")
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	failed := make(chan error)
	go func() { failed <- migrate(ctx, other.db, path, next) }()
	if err := errors.Join(migrate(ctx, s.db, path, next), <-failed); err != nil {
		t.Fatal(err)
	}
	var notes string
	if err := s.db.QueryRow("SELECT notes FROM session").Scan(&notes); err != nil || notes != "none" {
		t.Errorf("notes are %q, %v", notes, err)
	}
	compare(t, readAll(t, s, w.ID()), want)
	if _, err := Open(path); !errors.Is(err, errNewer) {
		t.Errorf("a newer store gives %v", err)
	}

	old, err := OpenReadOnly(fmt.Sprintf("%s.v%d", path, len(migrations)))
	if err != nil {
		t.Fatal(err)
	}
	defer old.Close()
	compare(t, readAll(t, old, more.ID()), want)
}
