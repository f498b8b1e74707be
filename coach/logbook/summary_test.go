package logbook

import (
	"testing"
	"time"
)

// TestDigests: a digest comes back with its session, and not when it is of another
// form, when the session has grown, or when the session is gone.
func TestDigests(t *testing.T) {
	s, path := openTemp(t)
	w := begin(t, s)
	appendAll(t, w, walk(5, 1))
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	_, info, err := s.Session(w.ID())
	if err != nil {
		t.Fatal(err)
	}
	data := func(form int) []byte {
		t.Helper()
		list, err := s.Digests(Filter{Athlete: "mira tal"}, form)
		if err != nil || len(list) != 1 || list[0].ID != info.ID || list[0].Steps != info.Steps {
			t.Fatalf("%+v, %v", list, err)
		}
		return list[0].Data
	}
	if d := data(1); d != nil {
		t.Errorf("none was kept, and it is %q", d)
	}
	for _, text := range []string{"first", "second"} {
		if err := s.KeepDigests([]Digest{{info.ID, 1, info.Events, []byte(text)}}); err != nil {
			t.Fatal(err)
		}
		if d := data(1); string(d) != text {
			t.Errorf("%q comes back as %q", text, d)
		}
	}
	if d := data(2); d != nil {
		t.Errorf("of another form it is %q", d)
	}
	if err := s.KeepDigests([]Digest{{info.ID, 1, info.Events - 1, []byte("old")}}); err != nil {
		t.Fatal(err)
	}
	if d := data(1); d != nil {
		t.Errorf("of fewer events it is %q", d)
	}
	now := time.Unix(2e9, 0)
	if err := s.Delete(info.ID, now); err != nil {
		t.Fatal(err)
	}
	if n, err := s.Purge(now.Add(time.Hour)); n != 1 || err != nil {
		t.Fatal(n, err)
	}
	var left int
	if err := s.db.QueryRow(`SELECT count(*) FROM digest`).Scan(&left); err != nil || left != 0 {
		t.Errorf("%d digests of no session are left, %v", left, err)
	}
	ro, err := OpenReadOnly(path)
	if err != nil {
		t.Fatal(err)
	}
	defer ro.Close()
	if err := ro.KeepDigests([]Digest{{1, 1, 1, []byte("x")}}); err == nil {
		t.Error("a read-only store keeps a digest")
	}
}
