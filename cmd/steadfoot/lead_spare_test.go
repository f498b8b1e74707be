package main

import (
	"bytes"
	"context"
	"crypto/tls"
	"math"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/group/member"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

// program is a run of this program in a process of its own.
type program struct {
	*exec.Cmd
	mu   sync.Mutex
	said bytes.Buffer
	done chan struct{} // closed when it has ended
}

func (p *program) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.said.Write(b)
}

func (p *program) String() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.said.String()
}

func launch(t *testing.T, args ...string) *program {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	p := &program{Cmd: exec.Command(self), done: make(chan struct{})}
	p.Args = append([]string{"steadfoot"}, args...)
	p.Dir = t.TempDir()
	p.Env = append(os.Environ(), "HOME="+p.Dir, "XDG_DATA_HOME="+p.Dir, "XDG_CONFIG_HOME="+p.Dir)
	p.Stdout, p.Stderr = p, p
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		_ = p.Wait() // what it said tells more
		close(p.done)
	}()
	t.Cleanup(p.end)
	return p
}

// end kills it, as by kill -9.
func (p *program) end() {
	_ = p.Process.Kill() // it may have ended
	<-p.done
}

// boards is what a hub shows to who has its key.
func boards(t *testing.T, at, key string) func() group.Board {
	t.Helper()
	var mu sync.Mutex
	var last group.Board
	m, err := member.Join(t.Context(), member.Options{Addresses: []string{at}, Key: key, Got: func(message any) {
		if b, ok := message.(group.Board); ok {
			mu.Lock()
			defer mu.Unlock()
			last = b
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(m.Close)
	return func() group.Board {
		mu.Lock()
		defer mu.Unlock()
		return last
	}
}

// TestSpareGoesOn: 'lead' is killed in the middle of a walk, 'lead --spare-of' goes
// on, and 'join' walks to one unbroken beat: in its log each beat is one period after
// the one before, within 2 ms of where the beats before the end of the leader have it.
func TestSpareGoesOn(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no interrupts there")
	}
	t.Parallel()
	const word, key = "bagitoru42", "abcdefghijkl"
	dir := t.TempDir()
	in, store := filepath.Join(dir, "silence.wav"), filepath.Join(dir, "log.db")
	if err := audio.WriteWAV(in, 16000, 1, audio.S16, make([]float32, 180*16000)); err != nil {
		t.Fatal(err)
	}
	at, spareAt := freePort(t), freePort(t)
	lead := launch(t, "lead", "--cadence", "187", "--listen", at, "--word", word, "--key", key, "--plain", "--store", filepath.Join(dir, "a", "log.db"))
	shown := boards(t, at, key)
	await(t, lead, "the leader", func() bool { b := shown(); return b.Leads })
	spare := launch(t, "lead", "--spare-of", at, "--listen", spareAt, "--word", word, "--key", key, "--plain", "--store", filepath.Join(dir, "b", "log.db"))
	spareShown := boards(t, spareAt, key)
	walk := launch(t, "join", at, "--word", word, "--name", "Mira Tal", "--in", in, "--out", "none", "--store", store)
	known := func(b group.Board) bool { // the walker is here and its clock good
		return slices.ContainsFunc(b.Walkers, func(w group.Walker) bool {
			return w.Hub == "" && w.Here && w.Last.Clock > 0 && w.Last.Clock < 1
		})
	}
	await(t, walk, "the walker at the leader", func() bool { return known(shown()) })
	await(t, spare, "the spare with a good clock", func() bool {
		b := spareShown()
		return len(b.Groups) == 1 && !b.Leads && b.Spread < 1e-3
	})
	await(t, lead, "the spare's name", func() bool { b := shown(); return len(b.Groups) == 1 && len(b.Groups[0].Spares) == 1 })
	time.Sleep(2 * time.Second) // beats of before
	lead.end()
	await(t, spare, "the spare leading", func() bool { return spareShown().Leads })
	await(t, walk, "the walker at the spare", func() bool { return known(spareShown()) })
	time.Sleep(3 * time.Second) // beats of after
	if b := spareShown(); b.Groups[0].Term != 2 || b.Groups[0].Target.Cadence != 187 {
		t.Errorf("the spare leads by %+v", b.Groups[0])
	}
	if err := walk.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	select {
	case <-walk.done:
	case <-time.After(time.Minute):
		t.Fatalf("join does not end:\n%v", walk)
	}

	s, err := logbook.Open(store)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	_, _, events, err := wholeWalk(s, 1)
	if err != nil {
		t.Fatalf("%v\n%v", err, walk)
	}
	unbroken(t, events)
}

// unbroken tells whether the beats of a log are one beat at 187 steps/min: all of
// them, each on the other foot, each within 2 ms of the grid of the first ones.
func unbroken(t *testing.T, events []event.Event) {
	t.Helper()
	var m coach.BeatMap
	end := 0.0
	for _, e := range events {
		m.Take(e)
		if r, ok := e.(event.Rhythm); ok {
			end = r.T
		}
	}
	const period = 60.0 / 187
	var times []float64
	var sides []detect.Side
	m.Between(0, end, func(b coach.Beat) { times, sides = append(times, b.T), append(sides, b.Side) })
	if len(times) < 20 {
		t.Fatalf("%d beats in %.0f s", len(times), end)
	}
	times, sides = times[5:], sides[5:] // the clock settles until the beat begins
	worst := 0.0
	for i, at := range times {
		off := at - times[0] - float64(i)*period
		worst = max(worst, math.Abs(off))
		if i > 0 && sides[i] == sides[i-1] {
			t.Fatalf("beat %d at %.3f s is on the same foot again", i, at)
		}
	}
	t.Logf("%d beats in %.0f s: at most %.2f ms from one beat", len(times), end, 1000*worst)
	if worst > 2e-3 {
		t.Errorf("a beat is %.2f ms from where the first ones have it", 1000*worst)
	}
}

// freePort is an address where nobody listens.
func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// await waits for something that must come while a program runs.
func await(t *testing.T, p *program, what string, ok func() bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if ok() {
			return
		}
	}
	t.Fatalf("%s did not come:\n%v", what, p)
}

// TestHubAddress: where members find a hub has what they trust it by; the pages of
// this machine alone count only where there is nothing else.
func TestHubAddress(t *testing.T) {
	if got := hubAddress("10.0.0.2", "8470", nil); got != "http://10.0.0.2:8470" {
		t.Error(got)
	}
	config := &tls.Config{Certificates: []tls.Certificate{{Certificate: [][]byte{{1, 2}}}}}
	if got := hubAddress("fe80::1", "8470", config); !strings.HasPrefix(got, "https://[fe80::1]:8470/#trust=a12871fee210fb8619291eaea194581cbd2531e4b23759d225f6806923f63222") {
		t.Error(got)
	}
	if got := pageHosts([]string{"10.0.0.2", "coach", "localhost"}, "1"); !slices.Equal(got, []string{"10.0.0.2:1", "coach:1"}) {
		t.Error(got)
	}
	if got := pageHosts([]string{"127.0.0.1"}, "1"); !slices.Equal(got, []string{"127.0.0.1:1"}) {
		t.Error(got)
	}
	hosts := []string{"10.99.0.2", "127.0.0.1", "localhost"}
	if got := (spareOptions{of: "ws://127.0.0.1:8470"}).toward(hosts); got[0] != "127.0.0.1" || len(got) != 3 {
		t.Errorf("towards a leader on this machine: %q", got)
	}
	if got := (spareOptions{}).toward(hosts); !slices.Equal(got, hosts) {
		t.Error(got)
	}
}

// TestWrongKey: a spare with a wrong key ends at once, with one line that says so.
func TestWrongKey(t *testing.T) {
	at := leaderAt(t)
	var out, errs bytes.Buffer
	args := []string{"lead", "--spare-of", at, "--listen", "127.0.0.1:0", "--word", "bagitoru42", "--key", "not-this-one-at-all", "--plain", "--store", filepath.Join(t.TempDir(), "log.db")}
	status := run(context.Background(), stdio{strings.NewReader(""), &out, &errs}, args)
	if got := errs.String(); status != exitFailed || !strings.Contains(got, "does not take this hub as its spare: the key is not right") || strings.Count(got, "\n") != 1 || out.Len() > 0 {
		t.Errorf("status %d, %q\n%s", status, got, out.String())
	}
}
