package hub

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/detect"
)

func TestMember(t *testing.T) {
	pl := open(t, nil)
	c, w := pl.join(joining("Mira Tal"))
	if w.Name != "Mira Tal" || w.Map.Group != "Seniors" || len(w.Seat) != 32 || len(w.Groups) != 2 {
		t.Errorf("welcome %+v", w)
	}
	c.send(group.Ping{Kind: group.KindPing, N: 7, T1: 12.5})
	if p := next[group.Pong](c); p.N != 7 || p.T1 != 12.5 || p.T2 != 1000 || p.T3 != 1000 || p.Spread != 0.001 {
		t.Errorf("pong %+v", p)
	}
	pl.src.do(func() { pl.src.maps[0].Seq, pl.src.maps[0].State = 5, group.Walking })
	if m := next[group.Changed](c).Map; m.Seq != 5 || m.State != group.Walking {
		t.Errorf("map %+v", m)
	}
	c.send(group.Status{Kind: group.KindStatus, At: 999.5, Hears: group.HearsWalking, Cadence: 181.5, Off: 12, R: 0.9, N: 20, Clock: 1.5})
	c.send(group.Steps{Kind: group.KindSteps, Steps: []event.Step{{Step: detect.Step{T: 999, Side: detect.Left, Confidence: 1, Heard: true}}, {Step: detect.Step{T: 999.4}}}})
	c.send(group.Steps{Kind: group.KindSteps, Steps: []event.Step{{Step: detect.Step{T: 999.4}}, {Step: detect.Step{T: 999.8}}}}) // one was told before
	pl.until("three steps and a rhythm", func() bool {
		pl.mu.Lock()
		defer pl.mu.Unlock()
		return len(pl.stored) == 4
	})
	row := pl.row(w.ID)
	if !row.Here || !row.Agreed || row.Last.Cadence != 181.5 || row.Last.Off != 12 || row.Last.Kind != "" || row.Group != "Seniors" {
		t.Errorf("row %+v", row)
	}
	c.send(group.Leave{Kind: group.KindLeave})
	c.ends()
	pl.until("away", func() bool { return !pl.row(w.ID).Here })
}

// TestNotAgreed: what a walker did not agree to is not stored.
func TestNotAgreed(t *testing.T) {
	pl := open(t, nil)
	j := joining("Jon Ash")
	j.Agree = false
	c, w := pl.join(j)
	c.send(group.Steps{Kind: group.KindSteps, Steps: []event.Step{{Step: detect.Step{T: 999}}}})
	c.send(group.Status{Kind: group.KindStatus, At: 1000, Hears: group.HearsWalking, Cadence: 180})
	pl.until("status", func() bool { return pl.row(w.ID).Last.Cadence == 180 })
	if pl.mu.Lock(); len(pl.stored) > 0 {
		t.Errorf("stored %v", pl.stored)
	}
	pl.mu.Unlock()
}

// TestWithdrawn: who joins anew without agreeing is told of, once.
func TestWithdrawn(t *testing.T) {
	told := make(chan group.Walker, 8)
	pl := open(t, func(o *Options) {
		o.Stored = func(w group.Walker, e []event.Event) {
			if len(e) == 0 {
				told <- w
			}
		}
	})
	j := joining("Mira Tal")
	_, first := pl.join(j)
	j.Seat = first.Seat
	for _, agree := range []bool{true, false, false} {
		j.Agree = agree
		pl.join(j)
	}
	if n := len(told); n != 1 {
		t.Fatalf("told %d times", n)
	}
	if w := <-told; w.ID != first.ID || w.Agreed {
		t.Errorf("%+v", w)
	}
}

// TestSeat: a walker comes back as the same one, and the older connection ends.
func TestSeat(t *testing.T) {
	pl := open(t, nil)
	old, first := pl.join(joining("Mira Tal"))
	j := joining("Mira Tal")
	j.Seat = first.Seat
	_, again := pl.join(j)
	if again.ID != first.ID || again.Seat != first.Seat || again.Name != "Mira Tal" {
		t.Errorf("%+v came back as %+v", first, again)
	}
	old.refused(group.SorryElsewhere)
	if !pl.row(first.ID).Here {
		t.Error("the end of the old connection sent the walker away")
	}
	j.Seat = strings.Repeat("0", 32) // guessed
	if _, other := pl.join(j); other.ID == first.ID || other.Name != "Mira Tal 2" {
		t.Errorf("a guessed seat gave %+v", other)
	}
}

func TestRefused(t *testing.T) {
	pl := open(t, nil)
	with := func(change func(*group.Join)) group.Join {
		j := joining("Mira Tal")
		change(&j)
		return j
	}
	for _, c := range []struct {
		what string
		send any
		code string
	}{
		{"wrong word", with(func(j *group.Join) { j.Word = "hero" }), group.SorryWord},
		{"no word", with(func(j *group.Join) { j.Word = "" }), group.SorryWord},
		{"the key", with(func(j *group.Join) { j.Word = key }), group.SorryWord},
		{"version", with(func(j *group.Join) { j.Version = 99 }), group.SorryVersion},
		{"no name", with(func(j *group.Join) { j.Name = " \u202e\u200b\n" }), group.SorryBad},
		{"no such group", with(func(j *group.Join) { j.Group = "Masters" }), group.SorryBad},
		{"ping first", group.Ping{Kind: group.KindPing}, group.SorryBad},
		{"a board's key", group.Key{Kind: group.KindKey, Version: group.Version, Key: key}, group.SorryBad},
		{"no JSON", "hello", group.SorryBad},
		{"an array", `[{"kind":"join"}]`, group.SorryBad},
	} {
		t.Run(c.what, func(t *testing.T) {
			m := pl.dial("/member")
			m.t = t
			m.send(c.send)
			m.refused(c.code)
		})
	}
	if n := len(pl.Walkers()); n != 0 {
		t.Errorf("%d walkers have got in", n)
	}
}

// TestMalformed: a member that sends nonsense is sent away and changes nothing.
func TestMalformed(t *testing.T) {
	pl := open(t, nil)
	steps := func(n int, at float64) string {
		return `{"kind":"steps","steps":[` + strings.TrimSuffix(strings.Repeat(fmt.Sprintf(`{"t":%g},`, at), n), ",") + `]}`
	}
	for what, b := range map[string]string{
		"twice":              string(encode(joining("Mira Tal"))),
		"a command":          `{"kind":"command","do":"stop","group":"Seniors"}`,
		"a map":              `{"kind":"map","map":{"group":"Seniors","term":9,"seq":9}}`,
		"beyond a number":    `{"kind":"status","hears":"walking","cadence":1e999}`,
		"huge cadence":       `{"kind":"status","hears":"walking","cadence":1e9,"at":1000}`,
		"negative pace":      `{"kind":"status","hears":"walking","pace":-1,"at":1000}`,
		"R beyond 1":         `{"kind":"status","hears":"walking","r":1.01,"at":1000}`,
		"far future":         `{"kind":"status","hears":"walking","at":1100,"clock":1}`,
		"far past":           `{"kind":"status","hears":"walking","at":-1e6,"clock":1}`,
		"no state":           `{"kind":"status","hears":"<script>","at":1000}`,
		"step far away":      steps(1, 2000),
		"too many steps":     steps(group.MaxSteps+1, 999),
		"steps run back":     `{"kind":"steps","steps":[{"t":999},{"t":998}]}`,
		"no side":            `{"kind":"steps","steps":[{"t":999,"side":"up"}]}`,
		"absurd ping":        `{"kind":"ping","t1":1e300}`,
		"text for a number":  `{"kind":"ping","n":"1"}`,
		"nothing":            ``,
		"half":               `{"kind":"status"`,
		"two":                `{"kind":"leave"}{"kind":"leave"}`,
		"nested":             `{"kind":"ping","x":` + strings.Repeat("[", 2000) + strings.Repeat("]", 2000) + `,"n":"x"}`,
		"kind is an object":  `{"kind":{}}`,
		"null":               `null`,
		"invalid characters": "{\"kind\":\"\xff\xfe\"}",
	} {
		t.Run(what, func(t *testing.T) {
			c, w := pl.join(joining("Jon Ash"))
			c.t = t
			c.send(b)
			c.refused(group.SorryBad)
			if row := pl.row(w.ID); row.Last != (group.Status{}) {
				t.Errorf("left %+v", row.Last)
			}
		})
	}
	if len(pl.src.past) > 0 || pl.src.Maps()[0].Seq != 1 {
		t.Error("a member moved the beat")
	}
	pl.mu.Lock()
	defer pl.mu.Unlock()
	if len(pl.stored) > 0 {
		t.Errorf("stored %v", pl.stored)
	}
}

// TestClockUnknown: a member that does not know the group's time yet cannot know
// where it is against the beat.
func TestClockUnknown(t *testing.T) {
	pl := open(t, nil)
	c, w := pl.join(joining("Mira Tal"))
	c.send(group.Status{Kind: group.KindStatus, At: 3, Hears: group.HearsWalking, Cadence: 170, Off: 99, R: 1, N: 9})
	pl.until("status", func() bool { return pl.row(w.ID).Last.Cadence == 170 })
	if l := pl.row(w.ID).Last; l.At != 1000 || l.Off != 0 || l.N != 0 || l.R != 0 {
		t.Errorf("status %+v", l)
	}
}

// TestJoinsAtOnce: 200 walkers of one name join in the same moment.
func TestJoinsAtOnce(t *testing.T) {
	pl := open(t, nil)
	const n = 200
	var wg sync.WaitGroup
	for range n {
		c := pl.dial("/member")
		wg.Add(1)
		go func() {
			defer wg.Done()
			c.send(joining("Mira Tal"))
		}()
	}
	wg.Wait()
	pl.until("200 walkers", func() bool { return len(pl.Walkers()) == n })
	names, ids := map[string]bool{}, map[string]bool{}
	for _, w := range pl.Walkers() {
		names[strings.ToLower(w.Name)], ids[w.ID] = true, true
	}
	if len(names) != n || len(ids) != n {
		t.Errorf("%d names, %d IDs", len(names), len(ids))
	}
}

func TestFull(t *testing.T) {
	pl := open(t, func(o *Options) { o.MaxMembers = 2 })
	a, first := pl.join(joining("A"))
	pl.join(joining("B"))
	c := pl.dial("/member")
	c.send(joining("C"))
	c.refused(group.SorryFull)
	a.conn.CloseNow()
	pl.until("A is away", func() bool { return !pl.row(first.ID).Here })
	pl.join(joining("C")) // in A's place
	if rows := pl.Walkers(); len(rows) != 2 || rows[0].Name != "B" || rows[1].Name != "C" {
		t.Errorf("rows %+v", rows)
	}
}

func TestFaded(t *testing.T) {
	m := group.Map{State: group.Walking}
	m.Target.Cadence, m.Target.Low = 180, 176
	at := 0.0
	is := 0.0
	for i, c := range []struct {
		cadence float64
		fading  bool
		hears   string
		want    float64
	}{
		{178, false, group.HearsWalking, 0},
		{175, false, group.HearsWalking, 2},
		{174, true, group.HearsWalking, 2},
		{177, true, group.HearsWalking, 2},
		{177, false, group.HearsWalking, 0},
		{0, false, group.HearsWalking, 0}, // not known
		{170, false, group.HearsWalking, 7},
		{170, false, group.HearsStill, 0},
	} {
		at++
		is = faded(is, group.Status{At: at, Cadence: c.cadence, Fading: c.fading, Hears: c.hears}, m)
		if is != c.want {
			t.Errorf("%d: %g, want %g", i, is, c.want)
		}
	}
	m.Target.Cadence = 0
	if faded(0, group.Status{At: 1, Cadence: 100, Hears: group.HearsWalking}, m) != 0 {
		t.Error("faded without a target")
	}
}
