package local

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"steadfoot/coach/group"
)

// machine is a made-up one.
type machine struct {
	boot string
	now  time.Duration
}

func (m *machine) Boot() string       { return m.boot }
func (m *machine) Now() time.Duration { return m.now }

func order(t *testing.T, s *Source, c group.Command) {
	t.Helper()
	if err := s.Command(context.Background(), c); err != nil {
		t.Fatalf("%s: %v", c.Do, err)
	}
}

func maps(t *testing.T, s *Source) string {
	t.Helper()
	s.mu.Lock()
	s.tick()
	s.mu.Unlock()
	all := s.Maps()
	for i := range all {
		all[i].Seq, all[i].Term = 0, 0
	}
	b, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestGoesOn: a leader that was interrupted in the middle of writing has the same
// clock, groups and beat when it is back.
func TestGoesOn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "group")
	m := &machine{"a", 100 * time.Second}
	st, err := Begin(path, m, Head{Term: 1, Word: "w", Key: "k"}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err := New(Options{Now: st.Now, Term: 1, Groups: []string{"one", "two"}, Keep: st.Keep})
	if err != nil {
		t.Fatal(err)
	}
	m.now += 5 * time.Second
	order(t, s, group.Command{Do: group.DoTarget, Group: "two", Cadence: 190})
	m.now += 31 * time.Second
	order(t, s, group.Command{Do: group.DoShift, Group: "two", By: 2})
	if s.Err() != nil {
		t.Fatal(s.Err())
	}
	if _, err := st.f.WriteString(`{"do":"sto`); err != nil {
		t.Fatal(err)
	}
	m.now += 60 * time.Second
	want := maps(t, s)
	st.Close()

	back, err := Resume(path, m)
	if err != nil || back == nil {
		t.Fatalf("%v, %v", back, err)
	}
	if got := back.Now(); got != 96 {
		t.Errorf("group time %v, want 96", got)
	}
	again, err := New(Options{Now: back.Now, Term: back.Head.Term + 1, Past: back.Past, Groups: []string{"one"}, Keep: back.Keep})
	if err != nil {
		t.Fatal(err)
	}
	if got := maps(t, again); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	order(t, again, group.Command{Do: group.DoStop, Group: "two"})
	data, err := os.ReadFile(path)
	if err != nil || strings.Contains(string(data), "sto{") || strings.Count(string(data), "\n") != 6 {
		t.Errorf("%v\n%s", err, data)
	}
	if err := back.Done(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("the file is still there")
	}
}

// TestOtherRun: after the machine was started anew its clock is another one.
func TestOtherRun(t *testing.T) {
	path := filepath.Join(t.TempDir(), "group")
	m := &machine{"a", 100 * time.Second}
	if s, err := Resume(path, m); s != nil || err != nil {
		t.Errorf("no file: %v, %v", s, err)
	}
	st, err := Begin(path, m, Head{Term: 1}, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	st.Close()
	for _, other := range []*machine{{"b", 200 * time.Second}, {"", 200 * time.Second}, {"a", time.Second}} {
		if s, err := Resume(path, other); s != nil || err != nil {
			t.Errorf("%+v: %v, %v", other, s, err)
		}
	}
	if err := os.WriteFile(path, []byte("[cadence]\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Resume(path, m); err == nil || !strings.Contains(err.Error(), "move it away") {
		t.Errorf("another file: %v", err)
	}
}

// slowMachine lets time pass each time it is asked, and now and then a lot.
type slowMachine struct {
	machine
	asked int
}

func (m *slowMachine) Now() time.Duration {
	if m.now += time.Microsecond; m.asked%5 == 0 {
		m.now += 3 * time.Millisecond
	}
	m.asked++
	return m.now
}

// TestTakesOver: a group is taken over on the clock that it had, whatever comes
// between two readings, and its maps are those of the moment, not of the last
// command. The file of before is there until the new one is whole.
func TestTakesOver(t *testing.T) {
	path := filepath.Join(t.TempDir(), "group")
	m := &slowMachine{machine: machine{"a", 100 * time.Second}}
	now := func() float64 { return m.now.Seconds() + 900 }
	past := []group.Command{{T: 900, Do: group.DoGroup, Group: "one"}, {T: 901, Do: group.DoSession, Group: "one", Session: twoReps}, {T: 902, Do: group.DoStart, Group: "one"}}
	st, err := Begin(path, m, Head{Term: 2}, now, past)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	if off := float64(int64(m.now)-st.Head.Epoch)/1e9 - now(); math.Abs(off) > 2e-6 {
		t.Errorf("the clock went on %g s off", off)
	}
	s, err := New(Options{Now: st.Now, Term: 2, Past: past, Keep: st.Keep})
	if err != nil {
		t.Fatal(err)
	}
	if got := s.Maps()[0]; got.Part.N != 3 || got.Beat[0].Start < 990 || got.Term != 2 {
		t.Errorf("after 97 s the map is %+v", got)
	}
	if _, err := os.Stat(path + ".new"); err == nil {
		t.Error("half a file is left")
	}
	if err := os.Mkdir(path+".new", 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := Begin(path, m, Head{Term: 3}, now, past); err == nil {
		t.Error("a file that cannot be written is")
	}
	if back, err := Resume(path, m); err != nil || back.Head.Term != 2 || len(back.Past) != 3 {
		t.Errorf("the file of before is gone: %+v, %v", back, err)
	}
}

const twoReps = `
name = "two"

[[set]]
after = "none"

[[set.rep]]
times = 2
for = "1:00"
target = "190 steps/min"
recovery = "0:30"
`

func TestGroups(t *testing.T) {
	now := 0.0
	s, err := New(Options{Now: func() float64 { return now }, Term: 1, Groups: []string{"one"}})
	if err != nil {
		t.Fatal(err)
	}
	for want, c := range map[string]group.Command{
		"already":           {Do: group.DoGroup, Group: " one"},
		"needs a name":      {Do: group.DoGroup, Group: "\u200b"},
		"no group":          {Do: group.DoStart, Group: "three"},
		"nothing to start":  {Do: group.DoStart},
		"where the walker":  {Do: group.DoMove, Group: "one"},
		"\"dance\" is not ": {Do: "dance"},
	} {
		if err := s.Command(context.Background(), c); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want %q", c, err, want)
		}
	}
	for i := range group.MaxGroups - 1 {
		order(t, s, group.Command{Do: group.DoGroup, Group: fmt.Sprint("group ", i)})
	}
	if err := s.Command(context.Background(), group.Command{Do: group.DoGroup, Group: "more"}); err == nil {
		t.Error("there is no end of groups")
	}
	if len(s.Maps()) != group.MaxGroups || s.Maps()[0].Group != "one" {
		t.Error("groups are missing or in disorder")
	}
	before := s.Changed()
	seq := s.Maps()[0].Seq
	s.SetSpares([]string{"10.0.0.2:8470"})
	select {
	case <-before:
	default:
		t.Error("a spare is no news")
	}
	if m := s.Maps()[0]; m.Seq <= seq || len(m.Spares) != 1 {
		t.Errorf("seq %d, spares %v", m.Seq, m.Spares)
	}
}

func FuzzResume(f *testing.F) {
	f.Add([]byte("{\"version\":1,\"boot\":\"a\",\"epoch\":0,\"term\":1}\n{\"do\":\"group\",\"group\":\"one\"}\n{\"do\":"))
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(t.TempDir(), "group")
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		m := &machine{"a", time.Hour}
		st, err := Resume(path, m)
		if st == nil || err != nil {
			return
		}
		defer st.Close()
		if s, err := New(Options{Now: st.Now, Term: 1, Past: st.Past}); err == nil && s.Now() < 0 {
			t.Error("the group time is before the group")
		}
	})
}
