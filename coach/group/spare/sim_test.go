package spare

import (
	"math"
	"math/rand/v2"
	"testing"

	"steadfoot/coach/group/clock"
)

// machine is one in simulated time: its clock, and what it knows of the group's.
type machine struct {
	rate     float64 // by which its clock runs faster, s/s
	offset   float64 // s
	f        clock.Follower
	has      bool                    // the group's time is its own from `from` on
	from     [2]float64              // own clock and group time
	straight func(t float64) float64 // the group's time where it began; nil: by f
}

func (m *machine) local(t float64) float64 { return m.offset + t*(1+m.rate) }

// group is the group time at a true time.
func (m *machine) group(t float64) float64 {
	switch l := m.local(t); {
	case m.straight != nil:
		return m.straight(t)
	case m.has:
		return m.from[1] + l - m.from[0]
	default:
		return m.f.Group(l)
	}
}

// ask is one exchange at a true time, over ways of base ± jitter, s.
func (m *machine) ask(hub *machine, t, base, jitter float64, r *rand.Rand) {
	way := func() float64 { return base + jitter*(2*r.Float64()-1) }
	there, back := way(), way()
	spread := 0.0
	if !hub.has && hub.straight == nil {
		spread = hub.f.Spread(hub.local(t)).Bound
	}
	m.f.Add(clock.Exchange{
		T1: m.local(t), T2: hub.group(t + there), T3: hub.group(t + there + 30e-6), T4: m.local(t + there + 30e-6 + back), Spread: spread,
	})
}

// TestNoJump: in simulated time, with clocks that run up to 100 ppm apart. The leader
// dies after minutes or after seconds; a spare goes on by what it knew of its time,
// and the member learns that time from there on. Where the member has the beats stays
// within 2 ms of where the leader had them for a minute (over networks that are not
// quiet within 10 ms, the bar for those), its time never steps, and it never runs back.
func TestNoJump(t *testing.T) {
	for _, c := range []struct {
		name         string
		base, jitter float64 // s
		dies         float64 // s
		bar          float64 // s
	}{
		{"a quiet network", 0.001, 0.0005, 300, 2e-3},
		{"a quiet network, soon", 0.001, 0.0005, 15, 2e-3},
		{"a busy network", 0.005, 0.004, 300, 10e-3},
		{"far away", 0.040, 0.020, 300, 10e-3},
	} {
		worst, step := 0.0, 0.0
		for seed := range uint64(50) {
			r := rand.New(rand.NewPCG(seed, 3))
			ppm := func() float64 { return 100e-6 * (2*r.Float64() - 1) }
			leader := &machine{straight: func(t float64) float64 { return t + 1000 }}
			spare := &machine{rate: ppm(), offset: 5000}
			member := &machine{rate: ppm(), offset: 70}
			for t := 0.0; t < c.dies; {
				spare.ask(leader, t, c.base, c.jitter, r)
				member.ask(leader, t+0.02, c.base, c.jitter, r)
				if spare.f.Known() && member.f.Known() {
					spare.f.Hold()
					member.f.Hold()
				}
				if t += 1; t < 2 { // many at first
					t -= 0.9
				}
			}
			from := c.dies + 1 // when the member has lost the leader, and comes to the spare
			member.f.Moved()
			last := member.group(from)
			for at := from; at < from+60; at += 0.05 {
				if at >= c.dies+5 && !spare.has { // its turn
					spare.from = [2]float64{spare.local(at), spare.group(at)}
					spare.has = true
					member.f.Moved()
				}
				if n := int(math.Round((at - from) / 0.05)); n < 8 || n%20 == 0 {
					member.ask(spare, at, c.base, c.jitter, r)
				}
				now := member.group(at)
				// The spare's clock is the group's from now on: what it runs faster by
				// is no error of the member's.
				drift := 0.0
				if spare.has {
					drift = spare.rate * (at - c.dies - 5)
				}
				worst = max(worst, math.Abs(now-leader.group(at)-drift))
				if at > from {
					step = max(step, math.Abs(now-last-0.05))
				}
				if at > from && now <= last {
					t.Fatalf("%s: the member's time runs back", c.name)
				}
				last = now
			}
		}
		t.Logf("%s: at most %.2f ms from the leader's beat, %.0f ppm", c.name, 1e3*worst, 1e6*step/0.05)
		if worst > c.bar {
			t.Errorf("%s: beats are up to %.2f ms from where the leader had them, not %.0f", c.name, 1e3*worst, 1e3*c.bar)
		}
		// 500 ppm of slewing, and by what a drift of 300 ppm at most, the most that is
		// believed, and two clocks of 100 differ.
		if step > 0.05*1000e-6 {
			t.Errorf("%s: group time steps by %.3f ms in 50 ms", c.name, 1e3*step)
		}
	}
}
