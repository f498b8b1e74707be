package logbook

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"steadfoot/coach/event"
)

const killStore = "STEADFOOT_TEST_KILL_STORE"

func TestMain(m *testing.M) {
	if path := os.Getenv(killStore); path != "" {
		appendForever(path)
	}
	os.Exit(m.Run())
}

// appendForever is the process that gets killed. For each event it prints its
// session, how many events it has appended, how many of them are stored by the
// writer's word, and the wall clock.
func appendForever(path string) {
	s, err := Open(path)
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	w, err := s.Begin(testHeader())
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	for n := 1; ; n++ {
		w.Append(event.Mark{T: float64(n), Name: event.MarkLap})
		fmt.Println(w.ID(), n, n-w.Waiting(), time.Now().UnixNano())
		time.Sleep(2 * time.Millisecond)
	}
}

// kills is how many processes are killed; 'make test-long' wants more.
func kills(t *testing.T) int {
	text := os.Getenv("STEADFOOT_KILLS")
	if text == "" {
		return 40
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("STEADFOOT_KILLS=%q: want a number", text)
	}
	return n
}

// TestKill kills processes at random moments, ten at a time, five in each of two
// stores, and looks for every event that was said to be stored, and for every one
// that was appended a second or more before the end, or more than ten flushes of
// this disk where these take longer. Each round opens the stores the last one left.
func TestKill(t *testing.T) {
	t.Parallel()
	paths := []string{filepath.Join(t.TempDir(), "one.db"), filepath.Join(t.TempDir(), "two.db")}
	r := rand.New(rand.NewPCG(2026, 11))
	var worst, limit time.Duration
	tries := kills(t)
	for left := tries; left > 0; {
		lives := make([]life, min(left, 10))
		left -= len(lives)
		var wg sync.WaitGroup
		slowest := watchDisk(t)
		for i := range lives {
			lives[i].end = 1050*time.Millisecond + time.Duration(r.IntN(600))*time.Millisecond
			wg.Go(func() { lives[i].run(t, paths[i%2]) })
		}
		wg.Wait()
		limit = max(limit, time.Second, flushEvery+10*slowest())
		for i, path := range paths[:min(2, len(lives))] {
			for _, open := range []func(string) (*Store, error){OpenReadOnly, Open} {
				worst = max(worst, checkStore(t, path, open, lives, i))
			}
		}
	}
	t.Logf("%d processes killed; the oldest event that was lost was %v old, allowed %v", tries, worst.Round(time.Millisecond), limit)
	if worst > limit {
		t.Errorf("an event appended %v before the kill is missing, more than %v", worst, limit)
	}
}

// watchDisk flushes a small file twenty times a second, until slowest is called:
// that is the longest it took from the time it was due.
func watchDisk(t *testing.T) (slowest func() time.Duration) {
	f, err := os.Create(filepath.Join(t.TempDir(), "probe"))
	if err != nil {
		t.Fatal(err)
	}
	quit, worst := make(chan struct{}), make(chan time.Duration)
	go func() {
		defer f.Close()
		const every = 50 * time.Millisecond
		var most time.Duration
		for {
			began := time.Now()
			time.Sleep(every)
			f.WriteAt([]byte("x"), 0)
			f.Sync()
			most = max(most, time.Since(began)-every)
			select {
			case <-quit:
				worst <- most
				return
			default:
			}
		}
	}()
	return func() time.Duration { close(quit); return <-worst }
}

// checkStore checks every second of lives, which wrote to that store, and returns
// the age of the oldest event that is not there.
func checkStore(t *testing.T, path string, open func(string) (*Store, error), lives []life, first int) (worst time.Duration) {
	t.Helper()
	s, err := open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for i := first; i < len(lives); i += 2 {
		worst = max(worst, lives[i].check(t, s))
	}
	list, err := s.Sessions()
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range list {
		if i.Complete {
			t.Errorf("session %d is not listed as cut short", i.ID)
		}
	}
	var verdict string
	if err := s.db.QueryRow("PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("SQLite finds %q, %v", verdict, err)
	}
	return worst
}

// life is what is known of one killed process.
type life struct {
	end      time.Duration // after its first event
	session  int64
	stored   int         // events, by the process's word
	appended []time.Time // by the order of the events
	killed   time.Time
}

func (l *life) run(t *testing.T, path string) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), killStore+"="+path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Error(err)
		return
	}
	if err := cmd.Start(); err != nil {
		t.Error(err)
		return
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		var n int
		var at int64
		if _, err := fmt.Sscan(lines.Text(), &l.session, &n, &l.stored, &at); err != nil || n != len(l.appended)+1 {
			t.Errorf("the process said %q", lines.Text())
			break
		}
		l.appended = append(l.appended, time.Unix(0, at))
		if n == 1 {
			time.AfterFunc(l.end, func() {
				l.killed = time.Now()
				cmd.Process.Kill()
			})
		}
	}
	if err := cmd.Wait(); err == nil {
		t.Error("the process ended by itself")
	}
}

// check returns the age at the kill of the oldest event that is not there.
func (l *life) check(t *testing.T, s *Store) time.Duration {
	t.Helper()
	if len(l.appended) == 0 {
		t.Fatal("a process appended nothing")
	}
	n := 0
	for e, err := range s.Events(l.session) {
		if err != nil {
			t.Fatal(err)
		}
		if n++; e != (event.Mark{T: float64(n), Name: event.MarkLap}) {
			t.Fatalf("session %d: event %d is %#v", l.session, n, e)
		}
	}
	_, info, err := s.Session(l.session)
	if err != nil {
		t.Fatal(err)
	}
	if info.Events != n || info.Complete {
		t.Errorf("session %d lists %+v, and has %d events", l.session, info, n)
	}
	if n < l.stored {
		t.Errorf("session %d has %d events, and %d were stored", l.session, n, l.stored)
	}
	if n >= len(l.appended) {
		return 0
	}
	return l.killed.Sub(l.appended[n])
}
