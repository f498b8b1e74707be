package clock

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"
)

// numbers reads floats out of fuzzed bytes: wild ones and such as occur.
type numbers struct{ b []byte }

func (n *numbers) more() bool { return len(n.b) >= 8 }

func (n *numbers) next(around float64) float64 {
	if !n.more() {
		return around
	}
	u := binary.LittleEndian.Uint64(n.b)
	n.b = n.b[8:]
	switch u % 8 {
	case 0:
		return math.Float64frombits(u)
	case 1:
		return around + float64(int32(u>>32))
	default:
		return around + float64(int32(u>>32))/(1<<31)
	}
}

// FuzzFollower: whatever a hub answers, group time never runs back once the beat
// plays, but for a jump that is told, and is always a number; the way back is
// one.
func FuzzFollower(f *testing.F) {
	f.Add([]byte{})
	r := rand.New(rand.NewPCG(1, 2))
	for range 8 {
		b := make([]byte, 40*60)
		for i := range b {
			b[i] = byte(r.Uint32())
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		n := numbers{b}
		var c Follower
		now, last := 100.0, math.Inf(-1)
		for i := 0; n.more() && i < 500; i++ {
			if d := math.Mod(math.Abs(n.next(0)), 4); d > 0 {
				now += d // it may be no number
			}
			t2 := n.next(now + 50)
			first := len(c.path) == 0
			jumped := c.Add(Exchange{T1: n.next(now - 0.5), T2: t2, T3: n.next(t2), T4: now, Spread: math.Abs(n.next(0))})
			if i == 10 {
				c.Hold()
			}
			if i%50 == 49 {
				c.Moved()
			}
			g := c.Group(now)
			if math.IsNaN(g) || math.IsInf(g, 0) {
				t.Fatalf("group time %g", g)
			}
			if i > 10 && !first && !jumped && g < last {
				t.Fatalf("runs back from %.9f to %.9f", last, g)
			}
			last = g
			for _, ahead := range []float64{1e-3, 0.1, 1, 100} {
				next := c.Group(now + ahead)
				if next < last {
					t.Fatalf("falls from %.9f to %.9f", last, next)
				}
				last = next
			}
			last = g
			if l := c.Local(g); math.Abs(c.Group(l)-g) > 1e-5 {
				t.Fatalf("the way back of %.9f is %.9f, which is %.9f", g, l, c.Group(l))
			}
			if s := c.Spread(now); !(s.Guess >= 0 && s.Bound >= s.Guess) {
				t.Fatalf("uncertainty %+v", s)
			}
		}
	})
}

// TestUnknown: a Follower without exchanges says so.
func TestUnknown(t *testing.T) {
	var f Follower
	f.Moved()
	f.Hold()
	if f.Known() || f.Group(5) != 0 || f.Local(5) != 0 || !math.IsInf(f.Spread(1).Guess, 1) {
		t.Error("it knows something")
	}
}

// TestAddAllocs: thousands of members ask every second.
func TestAddAllocs(t *testing.T) {
	var f Follower
	now := 0.0
	add := func() {
		now++
		f.Add(Exchange{T1: now, T2: now + 5.001, T3: now + 5.001, T4: now + 0.002})
	}
	for range 2 * window {
		add()
	}
	f.Hold()
	if n := testing.AllocsPerRun(100, add); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func BenchmarkAdd(b *testing.B) {
	b.ReportAllocs()
	var f Follower
	now := 0.0
	for b.Loop() {
		now++
		f.Add(Exchange{T1: now, T2: now + 5.001, T3: now + 5.001, T4: now + 0.002 + 0.001*math.Mod(now*0.618, 1)})
	}
}
