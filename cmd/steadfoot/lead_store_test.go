package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/group/hub"
	"steadfoot/coach/group/local"
	"steadfoot/coach/group/member"
	"steadfoot/coach/logbook"
	"steadfoot/coach/review"
	"steadfoot/detect"
)

// conducted is a source of one group on a clock that is set.
type conducted struct {
	now  float64
	lead *group.Conductor
}

func (c *conducted) Now() float64                                 { return c.now }
func (c *conducted) Spread() float64                              { return 0 }
func (c *conducted) Leads() bool                                  { return true }
func (c *conducted) Maps() []group.Map                            { c.lead.Tick(c.now); return []group.Map{c.lead.Map()} }
func (c *conducted) Changed() <-chan struct{}                     { return nil }
func (c *conducted) Command(context.Context, group.Command) error { return nil }
func (c *conducted) Past() (int, []group.Command)                 { return 1, nil }
func (c *conducted) Report([]group.Walker)                        {}
func (c *conducted) Others() []group.Walker                       { return nil }

// stage is a leader's store on that clock, and a walker who tells like a member.
type stage struct {
	t     *testing.T
	src   *conducted
	store *walkStore
	path  string
	said  []string
	beats []float64 // of the group, group time
}

func newStage(t *testing.T) *stage {
	g := &stage{t: t, src: &conducted{now: 700, lead: group.NewConductor("seniors")}, path: filepath.Join(t.TempDir(), "log.db")}
	g.store = newWalkStore(g.path, leadOptions{length: 1.1}, g.src, func(line string) { g.said = append(g.said, line) })
	return g
}

func (g *stage) do(c group.Command) {
	g.t.Helper()
	c.T = g.src.now
	if err := g.src.lead.Handle(c); err != nil {
		g.t.Fatal(err)
	}
}

// toldWalker tells of one walker.
type toldWalker struct {
	row     group.Walker
	hears   string
	cadence float64
	next    float64      // step, s
	kept    []event.Step // while away
	away    bool
}

func walkerNamed(id, name string) *toldWalker {
	return &toldWalker{row: group.Walker{ID: id, Name: name, Group: "seniors", Agreed: true, Way: "program"}, hears: group.HearsStill}
}

// until lets the time go on; each walker tells once a second, the steps late.
func (g *stage) until(to float64, all ...*toldWalker) {
	for ; g.src.now < to; g.src.now += 0.25 {
		now := g.src.now
		for _, w := range all {
			for w.next = max(w.next, now-0.25); w.hears == group.HearsWalking && w.next < now; w.next += 60 / w.cadence {
				w.kept = append(w.kept, event.Step{Step: detect.Step{T: w.next, Side: detect.Left + detect.Side(len(w.kept)%2), Confidence: 1, Heard: true}})
			}
			if math.Mod(now, 1) != 0 || w.away {
				continue
			}
			state := map[string]detect.State{group.HearsWalking: detect.Walking, group.HearsStill: detect.NotWalking, group.HearsDeaf: detect.CannotHear, group.HearsNothing: detect.CannotHear}[w.hears]
			r := event.Rhythm{Rhythm: detect.Rhythm{T: now - 0.1, State: state}}
			if state == detect.Walking {
				r.Cadence, r.CadenceSD, r.Rhythm.T = w.cadence, 0.4, now-0.1
			}
			w.row.Last = group.Status{Hears: w.hears}
			g.store.told(w.row, []event.Event{r})
			for len(w.kept) > 0 {
				n := min(len(w.kept), group.MaxSteps)
				var some []event.Event
				for _, s := range w.kept[:n] {
					some = append(some, s)
				}
				w.kept = w.kept[n:]
				g.store.told(w.row, some)
			}
		}
		g.store.tick()
		g.src.lead.Map().Beats().Between(now+1, now+1.25, func(b coach.Beat) { g.beats = append(g.beats, b.T) })
	}
}

// stored ends the store and returns the walks of it, oldest first.
func (g *stage) stored() (all []storedSession) {
	g.t.Helper()
	g.store.end()
	return sessionsIn(g.t, g.path)
}

type storedSession struct {
	logbook.Info
	head   logbook.Header
	events []event.Event
}

// sessionsIn reads a store, and replays all in it.
func sessionsIn(t *testing.T, path string) (all []storedSession) {
	t.Helper()
	if _, err := os.Stat(path); err != nil {
		return nil
	}
	s, err := logbook.OpenReadOnly(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	list, err := s.Sessions()
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range list {
		h, _, events, err := wholeWalk(s, i.ID)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, storedSession{i, h, events})
		var set coach.Settings
		if err := json.Unmarshal(h.Settings, &set); err != nil {
			t.Fatal(err)
		}
		if set.Beat.Mode != coach.Shared {
			t.Errorf("walk %d has mode %q", i.ID, set.Beat.Mode)
		}
		for _, d := range coach.Replay(set, slices.Values(events)) {
			t.Errorf("walk %d: replay differs at %.2f s: %s", i.ID, d.T, d.What)
		}
	}
	slices.SortFunc(all, func(a, b storedSession) int { return int(a.ID - b.ID) })
	return all
}

// beatsOf are the times of the beats of a walk.
func beatsOf(events []event.Event) (all []float64) {
	var m coach.BeatMap
	for _, e := range events {
		m.Take(e)
	}
	m.Between(0, events[len(events)-1].At(), func(b coach.Beat) { all = append(all, b.T) })
	return all
}

const storedReps = `
name = "two halves"
[[set]]
[[set.rep]]
times = 2
for = "1:05"
target = "190 steps/min"
recovery = "0:30"
`

// TestStoredWalk: the walk of one who agreed has what was told, and the leader's plan
// as it came to the walker; its replay is the same, and the commands that look back
// at walks read it.
func TestStoredWalk(t *testing.T) {
	g := newStage(t)
	mira := walkerNamed("a1", "Mira Tal")
	g.until(703, mira)
	g.do(group.Command{Do: group.DoSession, Session: storedReps})
	g.do(group.Command{Do: group.DoStart})
	g.until(706, mira)
	mira.hears, mira.cadence = group.HearsWalking, 190
	g.until(900, mira) // 2 x (65 + 30) s from 704.65
	zero := g.store.walks["a1"].zero
	all := g.stored()
	if len(all) != 1 {
		t.Fatalf("%d walks\n%s", len(all), g.said)
	}
	w := all[0]
	if w.Athlete != "Mira Tal" || w.Label != "group seniors" || w.head.Input != "group, by a program" || !w.Complete {
		t.Errorf("%+v", w.Info)
	}
	var roles []string
	var starts []float64
	targets := map[float64]bool{}
	for _, e := range w.events {
		switch e := e.(type) {
		case event.Part:
			roles, starts = append(roles, e.Role), append(starts, e.T)
		case event.Target:
			targets[e.Cadence] = true
		case event.Cue:
			if e.Name == event.CueQuicken || e.Name == event.CueEase || e.Name == event.CueFade {
				t.Errorf("the leader's program advised: %+v", e)
			}
		}
	}
	if want := []string{event.RoleFree, event.RoleRep, event.RoleRecovery, event.RoleRep, event.RoleRecovery}; !slices.Equal(roles[:min(5, len(roles))], want) || math.Abs(starts[3]-starts[1]-95) > 0.01 || !targets[190] || !targets[0] {
		t.Errorf("parts %v at %v, targets %v", roles, starts, targets)
	}
	beats := beatsOf(w.events)
	if n := len(beats); n != len(g.beats) || n < 2*200 {
		t.Fatalf("%d beats are stored, the group had %d", n, len(g.beats))
	}
	for i, at := range g.beats {
		if math.Abs(beats[i]+zero-at) > 1e-6 {
			t.Fatalf("beat %d of the group at %v is stored at %v", i, at, beats[i]+zero)
		}
	}
	s := review.Analyse(w.head, w.events)
	if s.Steps < 540 || s.Band == nil || s.Band.In < 0.99 || math.Abs(s.CadenceMean-190) > 0.1 || math.Abs(s.Walking-194) > 3 || len(s.Parts) != 4 || s.Distance == 0 {
		t.Errorf("%+v", s)
	}
	for _, args := range [][]string{{"1"}, {"last", "--replay"}, {"--trend"}, {"1", "--report", filepath.Join(t.TempDir(), "walk.html")}} {
		var out bytes.Buffer
		std := stdio{in: strings.NewReader(""), out: &out, err: &out}
		if status := run(t.Context(), std, append(append([]string{"review"}, args...), "--store", g.path)); status != exitDone {
			t.Errorf("review %v: status %d\n%s", args, status, &out)
		}
	}
	if last := g.said[len(g.said)-1]; !strings.Contains(last, "number 1 in "+g.path) {
		t.Errorf("the leader is told %q", last)
	}
}

// TestStoredLateAndTwice: a walker who lost the network goes on in the same walk with
// the steps that were kept; what comes twice or out of order breaks nothing.
func TestStoredLateAndTwice(t *testing.T) {
	g := newStage(t)
	g.do(group.Command{Do: group.DoTarget, Cadence: 192})
	mira := walkerNamed("a1", "Mira Tal")
	mira.hears, mira.cadence = group.HearsWalking, 192
	g.until(720, mira)
	mira.away = true
	g.until(900, mira) // three minutes
	mira.away = false
	g.until(920, mira)
	step := func(at float64) []event.Event {
		return []event.Event{event.Step{Step: detect.Step{T: at, Heard: true}}}
	}
	for _, at := range []float64{918, 900, 100, 690, 924, 917} {
		g.store.told(mira.row, step(at))
		g.store.told(mira.row, []event.Event{event.Rhythm{Rhythm: detect.Rhythm{T: at, State: detect.Walking, Cadence: 192}}})
	}
	g.until(930, mira)
	mira.hears = group.HearsDeaf
	g.until(950, mira)
	mira.hears = group.HearsWalking
	g.until(960, mira)
	all := g.stored()
	if len(all) != 1 {
		t.Fatalf("%d walks", len(all))
	}
	var last, gap float64
	for _, e := range all[0].events {
		switch e := e.(type) {
		case event.Step:
			if e.T <= last {
				t.Errorf("a step at %v after one at %v", e.T, last)
			}
			last = e.T
		case event.Gap:
			gap += e.Length
			if e.Reason != detect.GapDeaf {
				t.Errorf("%+v", e)
			}
		}
	}
	s := review.Analyse(all[0].head, all[0].events)
	if math.Abs(float64(s.Steps)-240*3.2) > 30 || math.Abs(gap-20) > 2 {
		t.Errorf("%d steps, %.1f s without any", s.Steps, gap)
	}
	if s.Walking > 65 { // told: 60 s; the three minutes away have steps and no rhythm
		t.Errorf("%.1f s of walking", s.Walking)
	}
}

// TestStoredOnlyAgreed: one who withdraws is not stored from then on, which is told;
// one who only plays the beat has no walk; one who is away for long, or comes under
// another name, begins another one.
func TestStoredOnlyAgreed(t *testing.T) {
	g := newStage(t)
	g.do(group.Command{Do: group.DoTarget, Cadence: 192})
	mira, jon, ilse := walkerNamed("a1", "Mira Tal"), walkerNamed("b2", "Jon Ash"), walkerNamed("c3", "Ilse Oduya")
	mira.hears, mira.cadence, jon.hears = group.HearsWalking, 192, group.HearsNothing
	ilse.hears, ilse.cadence = group.HearsWalking, 190
	g.until(720, mira, jon, ilse)
	mira.row.Agreed = false
	g.store.told(mira.row, nil)
	g.until(721)
	if n := len(g.said); n != 1 || !strings.Contains(g.said[0], "Mira Tal no longer agrees") || !strings.Contains(g.said[0], "log delete 1'") {
		t.Errorf("told: %q", g.said)
	}
	ilse.away = true
	g.until(740, jon)
	ilse.away, ilse.row.Name = false, "Ilse Brandt"
	g.until(750, jon, ilse)
	g.until(1380, jon)
	ilse.kept = nil
	g.until(1390, jon, ilse)
	all := g.stored()
	var names []string
	for _, w := range all {
		names = append(names, fmt.Sprintf("%s %v", w.Athlete, w.Complete))
	}
	if want := []string{"Mira Tal true", "Ilse Oduya true", "Ilse Brandt true", "Ilse Brandt true"}; !slices.Equal(names, want) {
		t.Fatalf("walks %q", names)
	}
	if d := all[0].Duration; d < 19 || d > 20.1 || all[0].Steps < 60 {
		t.Errorf("stored are %.1f s of one who withdrew after 20, %d steps", d, all[0].Steps)
	}
	noted := slices.ContainsFunc(all[0].events, func(e event.Event) bool {
		m, ok := e.(event.Mark)
		return ok && strings.Contains(m.Note, "no longer agrees")
	})
	if !noted {
		t.Error("the walk does not tell why it ends")
	}
}

// TestStoreBounds: nobody fills the disk, and a store that cannot be written is told
// once and does not hold up the group.
func TestStoreBounds(t *testing.T) {
	g := newStage(t)
	path := g.path
	g.store.path = filepath.Join(filepath.Dir(path), "none", "log.db")
	mira := walkerNamed("a1", "Mira Tal")
	mira.hears, mira.cadence = group.HearsWalking, 192
	g.until(720, mira)
	g.until(760, mira)
	if n := len(g.said); n != 1 || !strings.Contains(g.said[0], "cannot be stored") || !strings.Contains(g.said[0], "none/log.db") {
		t.Errorf("told: %q", g.said)
	}
	g.store.path = path
	g.until(800, mira) // it is tried again
	w := g.store.walks["a1"]
	if w == nil {
		t.Fatal("it is not tried again")
	}
	for range 100 { // a member that tells of standing and walking as quickly as it may
		g.store.told(mira.row, []event.Event{event.Rhythm{Rhythm: detect.Rhythm{T: g.src.now + 1e-3, State: detect.Walking}}})
	}
	before := w.events
	g.store.tick()
	if n := w.events - before; n > 3 {
		t.Errorf("%d events of a hundred told at once", n)
	}
	g.store.begun = walksPerPlace * g.store.places
	late := walkerNamed("d4", "Tom Reed")
	late.hears, late.cadence = group.HearsWalking, 192
	g.until(803, mira, late)
	if g.store.walks["d4"] != nil || !strings.Contains(g.said[len(g.said)-1], "no other is begun") {
		t.Errorf("one walk too many; told: %q", g.said)
	}
	g.store.begun = 1
	w.events = mostOfWalk
	g.until(805, mira)
	if n := w.events - mostOfWalk; n > 40 || !strings.Contains(g.said[len(g.said)-1], "as long as a walk may be") {
		t.Errorf("%d events more than there may be, told: %q", n, g.said)
	}
	g.store.events = mostOfLead
	jon := walkerNamed("b2", "Jon Ash")
	jon.hears, jon.cadence = group.HearsWalking, 192
	g.until(810, mira, jon)
	g.until(820, mira, jon)
	if n := len(g.said); n != 4 || !strings.Contains(g.said[3], "no more of it is stored; the group goes on") {
		t.Errorf("told: %q", g.said)
	}
	g.store.mu.Lock()
	g.store.untold = mostUntaken
	g.store.mu.Unlock()
	g.until(822, mira)
	if n := len(g.said); n != 5 || !strings.Contains(g.said[4], "does not keep up") {
		t.Errorf("told: %q", g.said)
	}
	all := g.stored()
	if len(all) != 1 || !all[0].Complete {
		t.Errorf("%d walks", len(all))
	}
}

// TestStoreByHub: by the hub itself the walk of one who agreed is stored, of another
// not the name; joining anew without agreeing ends it at once.
func TestStoreByHub(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "log.db")
	begin := time.Now()
	src, err := local.New(local.Options{Now: func() float64 { return time.Since(begin).Seconds() }, Term: 1, Groups: []string{"seniors"}})
	if err != nil {
		t.Fatal(err)
	}
	go src.Run(t.Context())
	var said shared
	store := newWalkStore(path, leadOptions{}, src, func(line string) { fmt.Fprintln(&said, line) })
	h, err := hub.New(hub.Options{Source: src, Word: "bagitoru42", Stored: store.told})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(h)
	defer server.Close()
	quit, done := make(chan struct{}), make(chan struct{})
	go store.run(quit, done)
	join := func(name, seat string, agree bool) *member.Member {
		m, err := member.Join(t.Context(), member.Options{Addresses: []string{server.URL}, Name: name, Word: "bagitoru42", Seat: seat, Agree: agree, Way: "program"})
		if err != nil {
			t.Fatal(err)
		}
		if err := m.Ready(t.Context()); err != nil {
			t.Fatal(err)
		}
		return m
	}
	walks := func(all ...*member.Member) {
		for range 8 {
			for _, m := range all {
				m.Report(group.Status{Hears: group.HearsWalking, Cadence: 240})
				m.Steps([]event.Step{{Step: detect.Step{T: m.Now(), Heard: true}}})
			}
			time.Sleep(250 * time.Millisecond)
		}
	}
	mira, jon := join("Mira Tal", "", true), join("Jon Ashcroft", "", false)
	walks(mira, jon)
	seat := mira.Welcome().Seat
	mira.Close()
	mira = join("Mira Tal", seat, false)
	said.waitFor(t, "Mira Tal no longer agrees")
	walks(mira, jon)
	mira.Close()
	jon.Close()
	h.Close()
	close(quit)
	<-done
	all := sessionsIn(t, path)
	if len(all) != 1 || all[0].Athlete != "Mira Tal" || all[0].Steps < 4 || all[0].Steps > 8 {
		t.Errorf("%+v\n%s", all, &said)
	}
	noTraceOf(t, dir, "Ashcroft", "Mira Tal")
}

// noTraceOf looks for a name in all files of a folder, byte by byte, and that another
// would be found so.
func noTraceOf(t *testing.T, dir, name, other string) {
	t.Helper()
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, f := range files {
		b, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(bytes.ToLower(b), []byte(strings.ToLower(name))) {
			t.Errorf("%s is in %s", name, f.Name())
		}
		found = found || bytes.Contains(b, []byte(other))
	}
	if !found {
		t.Errorf("%s, who agreed, is not found either", other)
	}
}

// BenchmarkStoreWalks is what it costs to store a second of the walks of many, beside
// the disk.
func BenchmarkStoreWalks(b *testing.B) {
	for _, n := range []int{200, 2000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			src := &conducted{now: 700, lead: group.NewConductor("seniors")}
			if err := src.lead.Handle(group.Command{T: 700, Do: group.DoTarget, Cadence: 192}); err != nil {
				b.Fatal(err)
			}
			g := &stage{src: src, store: newWalkStore(filepath.Join(b.TempDir(), "log.db"), leadOptions{}, src, func(line string) { b.Error(line) })}
			all := make([]*toldWalker, n)
			for i := range all {
				all[i] = walkerNamed(fmt.Sprint(i), fmt.Sprint("walker ", i))
				all[i].hears, all[i].cadence = group.HearsWalking, 192
			}
			g.until(702, all...)
			for b.Loop() {
				g.until(src.now+1, all...)
			}
			b.StopTimer()
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "µs/walker/s")
			g.store.say = func(string) {}
			g.store.end()
			st, err := os.Stat(g.store.path)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(st.Size())/float64(g.store.events), "bytes/event")
		})
	}
}
