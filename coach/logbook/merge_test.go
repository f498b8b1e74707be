package logbook

import (
	"os"
	"testing"
)

// TestMergeWhileWalking takes half of a walk along, then all of it, and what was
// written about it in between stays.
func TestMergeWhileWalking(t *testing.T) {
	a, _ := newStore(t, "a.db")
	b, pathB := newStore(t, "b.db")
	want := walk(120, 3)
	w := begin(t, b)
	appendAll(t, w, want[:len(want)/2])
	waitFor(t, "the first half", func() bool { return w.Waiting() == 0 })
	if added, known, err := a.Merge(pathB); added != 1 || known != 0 || err != nil {
		t.Fatalf("%d, %d, %v", added, known, err)
	}
	list, err := a.Sessions()
	if err != nil || len(list) != 1 || list[0].Complete {
		t.Fatalf("%+v, %v", list, err)
	}
	id := list[0].ID
	compare(t, readAll(t, a, id), want[:len(want)/2])
	if err := a.SetNote(id, "mine"); err != nil {
		t.Fatal(err)
	}
	appendAll(t, w, want[len(want)/2:])
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	if added, known, err := a.Merge(pathB); added != 1 || known != 0 || err != nil {
		t.Errorf("%d, %d, %v", added, known, err)
	}
	compare(t, readAll(t, a, id), want)
	_, i, err := a.Session(id)
	if err != nil || !i.Complete || i.Events != len(want) || i.Note != "mine" {
		t.Errorf("%+v, %v", i, err)
	}
	if added, known, err := a.Merge(pathB); added != 0 || known != 1 || err != nil {
		t.Errorf("%d, %d, %v", added, known, err)
	}
}

// TestBackupWhileWalking copies a store that is being written to.
func TestBackupWhileWalking(t *testing.T) {
	s, path := newStore(t, "log.db")
	put(t, s, Header{Started: day(1)}, 1)
	w := begin(t, s)
	stop, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		for _, e := range walk(3000, 4) {
			select {
			case <-stop:
				return
			default:
				w.Append(e)
			}
		}
	}()
	for range 3 {
		if err := s.Backup(path + ".copy"); err != nil {
			t.Error(err)
		}
		if err := CheckBackup(path+".copy", nil); err != nil {
			t.Error(err)
		}
		for _, tail := range []string{"", "-wal", "-shm"} {
			os.Remove(path + ".copy" + tail)
		}
	}
	close(stop)
	<-done
}
