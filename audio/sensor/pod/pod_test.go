package pod_test

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"steadfoot/audio/sensor/pod"
)

// stub is a Radio in memory: every value of lives is one connection's packets.
type stub struct {
	mu    sync.Mutex
	pods  []pod.Found
	lives [][]string
}

func (s *stub) Scan(ctx context.Context, found func(pod.Found) bool) error {
	s.mu.Lock()
	pods := s.pods
	s.mu.Unlock()
	for _, f := range pods {
		if !found(f) {
			return nil
		}
	}
	return nil // a real one waits for ctx
}

func (s *stub) Listen(ctx context.Context, _ pod.Found, ready func(), give func([]byte)) error {
	s.mu.Lock()
	if len(s.lives) == 0 {
		s.mu.Unlock()
		<-ctx.Done()
		return nil
	}
	packets := s.lives[0]
	s.lives = s.lives[1:]
	s.mu.Unlock()
	if packets == nil {
		return errors.New("refused\nfor now")
	}
	ready()
	for _, p := range packets {
		give([]byte(p))
	}
	return errors.New("out of reach")
}

func (s *stub) Close() error { return nil }

// await polls until get gives something.
func await[T any](t *testing.T, get func() (T, bool)) T {
	t.Helper()
	for range 2000 {
		if v, ok := get(); ok {
			return v
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("nothing came")
	panic("unreachable")
}

func trouble(p *pod.Pod) func() (string, bool) {
	return func() (string, bool) { s := p.Trouble(); return s, s != "" }
}

func TestPodIsFoundAgain(t *testing.T) {
	s := &stub{
		pods:  []pod.Found{{Name: "Left shoe", Address: "C0:00:00:00:00:01"}, {Name: "Right\nshoe", Address: "C0:00:00:00:00:02"}},
		lives: [][]string{{"a", "b"}, nil, {"c"}},
	}
	p, err := pod.Open(context.Background(), s, "right")
	if err != nil {
		t.Fatal(err)
	}
	if want := "foot pod Right shoe (C0:00:00:00:00:02)"; p.Name() != want {
		t.Errorf("named %q, want %q", p.Name(), want)
	}
	for _, want := range []string{"a", "b", "c"} {
		if got := await(t, p.Next); string(got) != want {
			t.Errorf("packet %q, want %q", got, want)
		}
	}
	for _, want := range []string{"it is lost (out of reach)", "it is back", "it is lost"} {
		if got := await(t, trouble(p)); !strings.Contains(got, want) || strings.Contains(got, "\n") {
			t.Errorf("told %q, want %q in one line", got, want)
		}
	}
	p.Close()
}

func TestPodIsNotThere(t *testing.T) {
	s := &stub{}
	if _, err := pod.Open(context.Background(), s, ""); err == nil || !strings.Contains(err.Error(), "take some steps") {
		t.Errorf("no pod: %v", err)
	}
	s.pods = []pod.Found{{Name: "Left shoe", Address: "C0:00:00:00:00:01"}}
	if _, err := pod.Open(context.Background(), s, "right"); err == nil || !strings.Contains(err.Error(), "but Left shoe (C0:00:00:00:00:01)") {
		t.Errorf("another pod: %v", err)
	}
	all, err := pod.List(context.Background(), s, time.Second)
	if err != nil || len(all) != 1 || all[0] != s.pods[0] {
		t.Errorf("list: %v, %v", all, err)
	}
}
