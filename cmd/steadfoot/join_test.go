package main

import (
	"bytes"
	"context"
	"encoding/json"
	"net"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/group/hub"
	"steadfoot/coach/group/local"
	"steadfoot/coach/logbook"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// leaderAt runs a leader whose group walks at 192, and returns its address.
func leaderAt(t *testing.T) string {
	t.Helper()
	begin := time.Now()
	source, err := local.New(local.Options{Now: func() float64 { return time.Since(begin).Seconds() }, Term: 1, Groups: []string{"seniors"}})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	t.Cleanup(stop)
	go source.Run(ctx)
	h, err := hub.New(hub.Options{Source: source, Word: "bagitoru42"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(h.Close)
	server := httptest.NewServer(h)
	t.Cleanup(server.Close)
	if err := source.Command(ctx, group.Command{Do: group.DoTarget, Group: "seniors", Cadence: 192}); err != nil {
		t.Fatal(err)
	}
	return strings.TrimPrefix(server.URL, "http://")
}

// joinAs runs join and returns its status and what it said.
func joinAs(t *testing.T, args ...string) (status int, out, err string) {
	t.Helper()
	var o, e bytes.Buffer
	status = run(context.Background(), stdio{in: strings.NewReader(""), out: &o, err: &e}, append([]string{"join"}, args...))
	return status, o.String(), e.String()
}

// TestJoinRefused: one clear line for each thing that is wrong.
func TestJoinRefused(t *testing.T) {
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	nobody := free.Addr().String()
	free.Close()
	leader := leaderAt(t)
	for _, c := range []struct {
		args   []string
		status int
		want   string
	}{
		{[]string{}, exitUsage, "an argument is missing"},
		{[]string{"ftp://x"}, exitUsage, "is no address of a leader"},
		{[]string{"x:1", "--name", "Jon Ash"}, exitUsage, "the word of entry is missing"},
		{[]string{"x:1", "--word", "w"}, exitUsage, "the board needs a name"},
		{[]string{"x:1", "--word", "w", "--name", "Jon Ash", "--cadence", "190"}, exitUsage, "--cadence is the leader's to set"},
		{[]string{nobody, "--word", "bagitoru42", "--name", "Jon Ash", "--wait", "300ms"}, exitFailed, "is the leader there, and on the same network?"},
		{[]string{leader, "--word", "wrong", "--name", "Jon Ash", "--out", "none"}, exitFailed, "word"},
	} {
		status, _, text := joinAs(t, c.args...)
		if status != c.status || !strings.Contains(text, c.want) || strings.Count(strings.TrimSpace(text), "\n") > 0 {
			t.Errorf("%v: status %d, %q", c.args, status, text)
		}
	}
}

// TestJoin walks with a leader over the network: the walk has the leader's target
// and beat, is in the log under the group's name, and its replay is the same to the
// bit.
func TestJoin(t *testing.T) {
	dir := t.TempDir()
	in, store := filepath.Join(dir, "walk.wav"), filepath.Join(dir, "log.db")
	w := made.Spec{Seed: 5, Duration: 6, Gait: made.Gait{Cadence: made.Steady(192), JitterCV: 1.5, Start: 1}, Surface: footsteps.Surface("gravel")}.Walk()
	if err := audio.WriteWAV(in, int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		t.Fatal(err)
	}
	status, out, text := joinAs(t, "http://"+leaderAt(t)+"/#word=bagitoru42", "--name", "Jon Ash", "--in", in, "--out", filepath.Join(dir, "heard.wav"), "--store", store)
	if status != exitDone || !strings.Contains(out, "The walk is number 1") {
		t.Fatalf("status %d, %s%s", status, out, text)
	}
	s, err := logbook.Open(store)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	h, _, events, err := wholeWalk(s, 1)
	if err != nil {
		t.Fatal(err)
	}
	var set coach.Settings
	if err := json.Unmarshal(h.Settings, &set); err != nil || set.Beat.Mode != coach.Shared || h.Label != "group seniors" {
		t.Errorf("%+v, %v", h, err)
	}
	if diffs := coach.Replay(set, slices.Values(events)); diffs != nil {
		t.Errorf("replay: %v", diffs)
	}
	beats, target := 0, 0.0
	for _, e := range events {
		switch e := e.(type) {
		case event.Beat:
			if e.Period > 0.311 && e.Period < 0.314 {
				beats++
			}
		case event.Target:
			target = max(target, e.Cadence)
		}
	}
	if beats == 0 || target != 192 {
		t.Errorf("%d pieces, target %v\n%s", beats, target, text)
	}
}
