package coach

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestLeader plays walkers of all kinds to a leader, one rhythm every half
// second, and checks each change of the beat.
func TestLeader(t *testing.T) {
	tests := []struct {
		name          string
		start, target float64
		walker        func(now, beat float64) float64 // next cadence
		end           float64                         // the beat after 5 min
		away          bool                            // the beat may go back
		within        float64                         // s until the target; 0: never
	}{
		{"comes along", 182, 192, func(_, beat float64) float64 { return beat }, 192, false, 30},
		{"comes along, down", 205, 192, func(_, beat float64) float64 { return beat }, 192, false, 30},
		{"does not answer", 182, 192, func(_, _ float64) float64 { return 182 }, 182 * 1.015, false, 0},
		{"does not answer, down", 202, 192, func(_, _ float64) float64 { return 202 }, 202 * 0.985, false, 0},
		{"is there already", 191, 192, func(_, _ float64) float64 { return 191 }, 192, false, 10},
		{"runs past", 182, 192, func(now, _ float64) float64 { return 182 + 0.2*now }, 192, true, 60},
		{"tires", 191, 192, func(now, _ float64) float64 { return 191 - 0.05*now }, 176 * 1.015, true, 10},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := leader{reach: leadReach, slack: leadSlack}
			walker, reached, changed := tt.start, math.Inf(1), math.Inf(-1)
			for now := 0.0; now < 300; now += 0.5 {
				was := l.cadence
				l.tick(now, walker, tt.target)
				if was != 0 && l.cadence != was {
					if math.Abs(l.cadence/was-1) > 0.01+1e-9 || now < changed+leadEvery {
						t.Fatalf("from %v to %v at %v s, the change before at %v s", was, l.cadence, now, changed)
					}
					if (was-tt.target)*(l.cadence-tt.target) < -1e-9 {
						t.Fatalf("passes the target: from %v to %v", was, l.cadence)
					}
					if back := math.Abs(l.cadence-tt.target) > math.Abs(was-tt.target); back && !tt.away {
						t.Fatalf("goes back from %v to %v at %v s", was, l.cadence, now)
					}
					changed = now
				}
				if l.cadence == tt.target {
					reached = min(reached, now)
				}
				walker = tt.walker(now, l.cadence)
			}
			near(t, "beat at the end", l.cadence, tt.end, 0.03*tt.end*b2f(tt.name == "tires")+1e-9)
			if want := tt.within; want == 0 && !math.IsInf(reached, 1) || want > 0 && reached > want {
				t.Errorf("reached at %v s, want %v", reached, want)
			}
		})
	}
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// TestLeaderAny: whatever the walker and the target do, no change is larger than
// 1 %, and the beat is never far from the way between them.
func TestLeaderAny(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for range 200 {
		l := leader{reach: leadReach, slack: leadSlack}
		walker, target := 150+80*rng.Float64(), 150+80*rng.Float64()
		for now := 0.0; now < 200; now += 0.5 {
			was := l.cadence
			l.tick(now, walker, target)
			if was != 0 && math.Abs(l.cadence/was-1) > 0.01+1e-9 {
				t.Fatalf("from %v to %v", was, l.cadence)
			}
			if was != 0 && (was-target)*(l.cadence-target) < -1e-9 {
				t.Fatalf("passes %v: from %v to %v", target, was, l.cadence)
			}
			walker = min(max(walker+2*rng.NormFloat64(), 100), 230)
			if rng.IntN(200) == 0 {
				target = 150 + 80*rng.Float64()
			}
		}
	}
}
