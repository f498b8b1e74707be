package group

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"steadfoot/coach"
	"steadfoot/coach/event"
)

// beatsOf collects the beats that a member hears who always has the newest map,
// asking for each quarter second of beat when it is a second away.
type beatsOf struct {
	all  []coach.Beat
	upto float64
}

func (b *beatsOf) see(m Map, now float64) {
	to := now + 1
	m.Beats().Between(b.upto, to, func(x coach.Beat) { b.all = append(b.all, x) })
	b.upto = to
}

func run(t *testing.T, c *Conductor, from, to float64, b *beatsOf) {
	t.Helper()
	for now := from; now < to; now += 0.05 {
		c.Tick(now)
		if b != nil {
			b.see(c.Map(), now)
		}
	}
}

func do(t *testing.T, c *Conductor, cmd Command) {
	t.Helper()
	if err := c.Handle(cmd); err != nil {
		t.Fatalf("%s: %v", cmd.Do, err)
	}
}

// TestTargetByHand: the beat comes at the target, a change takes over from a beat
// no nearer than a second away, and the intervals are the two periods and nothing
// else.
func TestTargetByHand(t *testing.T) {
	c := NewConductor("juniors")
	var b beatsOf
	run(t, c, 0, 10, &b)
	if len(b.all) != 0 || c.Map().State != Waiting {
		t.Fatalf("%d beats before anything was started, %s", len(b.all), c.Map().State)
	}
	do(t, c, Command{T: 10, Do: DoTarget, Cadence: 180})
	run(t, c, 10, 40, &b)
	do(t, c, Command{T: 40, Do: DoTarget, Cadence: 192})
	if m := c.Map(); m.Beat[len(m.Beat)-1].Start < 40+1 {
		t.Errorf("the change is only %.2f s away", m.Beat[len(m.Beat)-1].Start-40)
	}
	run(t, c, 40, 70, &b)
	do(t, c, Command{T: 70, Do: DoStop})
	run(t, c, 70, 80, &b)
	var slow, quick int
	for i := 1; i < len(b.all); i++ {
		switch d := b.all[i].T - b.all[i-1].T; {
		case math.Abs(d-60.0/180) < 1e-9:
			slow++
		case math.Abs(d-60.0/192) < 1e-9:
			quick++
		default:
			t.Errorf("beat %d comes after %.4f s", i, d)
		}
		if b.all[i].Side == b.all[i-1].Side {
			t.Errorf("beat %d is on the same foot again", i)
		}
	}
	// 30 s at each, less the start signal's 2 s.
	if slow < 80 || slow > 90 || quick < 94 || quick > 97 {
		t.Errorf("%d intervals at 180, %d at 192", slow, quick)
	}
	if last := b.all[len(b.all)-1].T; last > 70+Ahead+0.2 {
		t.Errorf("a beat %.2f s after the end", last-70)
	}
	if m := c.Map(); m.State != Ended || m.Target.Cadence != 0 {
		t.Errorf("after the end: %s, target %v", m.State, m.Target.Cadence)
	}
}

const reps = `
name = "two minutes"

[warm_up]
for = "1:00"
target = "170 steps/min"

[[set]]
after = "none"

[[set.rep]]
times = 2
for = "1:00"
target = "190 steps/min"
recovery = "0:30"
`

// TestSession: parts, beats and announcements come when the plan says, and are
// known before.
func TestSession(t *testing.T) {
	c := NewConductor("juniors")
	do(t, c, Command{T: 5, Do: DoSession, Session: reps})
	if m := c.Map(); m.State != Waiting || m.Session != "two minutes" {
		t.Fatalf("%s %q", m.State, m.Session)
	}
	do(t, c, Command{T: 10, Do: DoStart})
	start := 10 + Ahead
	says := map[string]float64{}
	parts := map[int]float64{}
	seen := map[float64]float64{}
	var b beatsOf
	for now := 10.0; now < 260; now += 0.05 {
		c.Tick(now)
		m := c.Map()
		b.see(m, now)
		for _, s := range m.Says {
			if _, ok := seen[s.T]; !ok {
				seen[s.T] = now
				says[s.Name] = s.T
				if s.T-now < 0.5 {
					t.Errorf("%s is told %.2f s before it is said", s.Name, s.T-now)
				}
			}
		}
		if _, ok := parts[m.Part.N]; !ok {
			parts[m.Part.N] = m.Part.T
		}
		if m.Part.N == 2 && now > start+61 && now < start+100 && math.Abs(m.Ends-(start+120)) > 0.3 {
			t.Fatalf("at %.1f the rep ends at %.2f, want %.2f", now, m.Ends, start+120)
		}
	}
	for n, want := range map[int]float64{1: start, 2: start + 60, 3: start + 120, 4: start + 150, 0: start + 210} {
		if math.Abs(parts[n]-want) > 1e-6 {
			t.Errorf("part %d begins at %v, want %v", n, parts[n], want)
		}
	}
	if at := says[event.CueCountdown]; math.Abs(at-(start+147)) > 0.11 {
		t.Errorf("the last countdown is at %.2f, want %.2f", at, start+147)
	}
	if c.Map().State != Ended {
		t.Errorf("at the end the group is %s", c.Map().State)
	}
	n := 0
	for _, x := range b.all {
		if x.T > start+62 && x.T < start+118 {
			n++
		}
	}
	if want := 56 * 190 / 60; n < want-1 || n > want+1 {
		t.Errorf("%d beats in 56 s of a rep, want %d", n, want)
	}
}

// TestUnsaid: what was announced for later is taken back by a command that ends what
// it is about, and by no other.
func TestUnsaid(t *testing.T) {
	for do1, stays := range map[string]bool{DoSkip: false, DoPause: false, DoStop: false, DoShift: true, DoBeatOff: true} {
		c := NewConductor("juniors")
		do(t, c, Command{T: 5, Do: DoSession, Session: reps})
		do(t, c, Command{T: 10, Do: DoStart})
		half := func() float64 {
			for _, s := range c.Map().Says {
				if s.Name == event.CueHalfWay {
					return s.T
				}
			}
			return 0
		}
		now := 10.0
		for ; half() == 0 && now < 200; now += 0.05 {
			c.Tick(now)
		}
		at := half()
		if !(at > now+Ahead) {
			t.Fatalf("half way is told at %.2f for %.2f", now, at)
		}
		do(t, c, Command{T: now, Do: do1, By: 1})
		if (half() != 0) != stays {
			t.Errorf("%s at %.2f: half way at %.2f, want it to stay: %v", do1, now, at, stays)
		}
		run(t, c, now, now+3, nil)
		said := false
		for _, s := range c.Map().Says {
			said = said || s.T >= now+Ahead && s.Name != event.CueHalfWay
		}
		if said == stays {
			t.Errorf("%s: the announcements of the command itself: %+v", do1, c.Map().Says)
		}
	}
}

// TestDistance: a rep by distance ends when somebody on the beat has walked it.
func TestDistance(t *testing.T) {
	c := NewConductor("seniors")
	plan := "name = \"one lap\"\n[[set]]\n[[set.rep]]\nfor = \"400 m\"\ntarget = \"200 steps/min\"\n"
	do(t, c, Command{T: 0, Do: DoSession, Session: plan, Length: 1})
	do(t, c, Command{T: 0, Do: DoStart})
	run(t, c, 0, 100, nil)
	if m := c.Map(); math.Abs(m.Ends-(Ahead+120)) > 1 {
		t.Errorf("400 m at 200 steps/min of 1 m end at %.1f, want %.1f", m.Ends, Ahead+120)
	}
	run(t, c, 100, 130, nil)
	if s := c.Map().State; s != Ended {
		t.Errorf("after 130 s the group is %s", s)
	}
}

// TestReplica: the same commands give the same maps, however often and when the
// time is told.
func TestReplica(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	leader := NewConductor("all")
	leader.Tick(1)
	var past []Command
	now := 0.0
	for range 300 {
		now += rng.Float64() * 5
		leader.Tick(now)
		cmd := Command{T: now}
		switch rng.IntN(8) {
		case 0:
			cmd.Do, cmd.Cadence = DoTarget, 150+60*rng.Float64()
		case 1:
			cmd.Do, cmd.By = DoShift, float64(rng.IntN(9)-4)
		case 2:
			cmd.Do = DoPause
		case 3:
			cmd.Do = DoResume
		case 4:
			cmd.Do, cmd.Session = DoSession, reps
		case 5:
			cmd.Do = DoStart
		case 6:
			cmd.Do = DoSkip
		case 7:
			cmd.Do = DoStop
			if rng.IntN(3) > 0 {
				cmd.Do = DoBeatOn
			}
		}
		if leader.Handle(cmd) == nil {
			past = append(past, cmd)
		}
	}
	if len(past) < 100 {
		t.Fatalf("only %d commands were taken", len(past))
	}
	spare := NewConductor("all")
	for _, cmd := range past {
		if err := spare.Handle(cmd); err != nil {
			t.Fatalf("the spare refuses %s at %v: %v", cmd.Do, cmd.T, err)
		}
	}
	now += 3
	leader.Tick(now)
	spare.Tick(now)
	a, b := leader.Map(), spare.Map()
	a.Seq, b.Seq = 0, 0 // they count what was told, not what holds
	x, _ := json.Marshal(a)
	y, _ := json.Marshal(b)
	if string(x) != string(y) {
		t.Errorf("the leader has\n%s\nand the spare\n%s", x, y)
	}
}

// TestRefused: what cannot be done changes nothing, and is said in one line.
func TestRefused(t *testing.T) {
	c := NewConductor("all")
	for want, cmd := range map[string]Command{
		"nothing to start":     {Do: DoStart},
		"nothing was started":  {Do: DoStop},
		"nothing is being":     {Do: DoPause},
		"allowed: 90 to 240":   {Do: DoTarget, Cadence: 300},
		"needs a step length":  {Do: DoTarget, Pace: 300},
		"step length 9":        {Do: DoTarget, Cadence: 180, Length: 9},
		"the session":          {Do: DoSession, Session: "name = 3"},
		"a beat every 3 steps": {Do: DoBeat, Every: 3},
		"is not known":         {Do: "dance"},
		"a command at NaN":     {Do: DoStart, T: math.NaN()},
	} {
		before := c.Map()
		err := c.Handle(cmd)
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%+v: %v, want %q", cmd, err, want)
		}
		if after := c.Map(); after.State != before.State || after.Seq != before.Seq {
			t.Errorf("%+v changed the map", cmd)
		}
	}
}

// FuzzCommand: no command breaks a conductor, and its map can be sent.
func FuzzCommand(f *testing.F) {
	f.Add([]byte(`{"do":"target","cadence":180}`), 3.0)
	f.Add([]byte(`{"do":"shift","by":-3}`), 0.0)
	f.Fuzz(func(t *testing.T, in []byte, wait float64) {
		c := NewConductor("all")
		_ = c.Handle(Command{Do: DoTarget, Cadence: 170})
		var cmd Command
		if json.Unmarshal(in, &cmd) != nil {
			return
		}
		_ = c.Handle(cmd)
		c.Tick(min(max(wait, 0), 30))
		if _, err := json.Marshal(c.Map()); err != nil {
			t.Errorf("%s: %v", in, err)
		}
	})
}
