package spare

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestClaims: of any hubs that lead, whoever hears of whom and in whatever order, one
// is left in the end, and no hub ever leads by a lower term than before.
func TestClaims(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 500 {
		hubs := make([]claim, 2+rng.IntN(4))
		for i := range hubs {
			hubs[i] = claim{1 + rng.IntN(3), string(rune('a' + i))}
		}
		leads := slices.Repeat([]bool{true}, len(hubs))
		top := 0
		for _, h := range hubs {
			top = max(top, h.term)
		}
		for meetings := 0; count(leads) > 1; meetings++ {
			if meetings > 1000 {
				t.Fatalf("they do not agree: %+v, %v lead", hubs, leads)
			}
			i, k := rng.IntN(len(hubs)), rng.IntN(len(hubs))
			if !leads[i] || !leads[k] {
				continue
			}
			switch hubs[i].against(hubs[k]) {
			case follows:
				leads[i] = false
			case raises:
				hubs[i].term++
			}
		}
		for i, h := range hubs {
			if leads[i] && (h.term < top || h.term > top+len(hubs)) { // a rise is for good reason: it ends the lead of another
				t.Errorf("%+v leads in the end, the highest term was %d", h, top)
			}
		}
	}
	for _, c := range []struct {
		mine, other claim
		want        verdict
	}{
		{claim{1, "b"}, claim{2, "c"}, follows},
		{claim{2, "b"}, claim{1, "a"}, stays},
		{claim{2, "a"}, claim{2, "b"}, raises},
		{claim{2, "b"}, claim{2, "a"}, stays},
		{claim{1, "a"}, claim{2, "a"}, stays}, // its own word, come back
	} {
		if got := c.mine.against(c.other); got != c.want {
			t.Errorf("%+v against %+v: %v, want %v", c.mine, c.other, got, c.want)
		}
	}
}

func count(all []bool) (n int) {
	for _, b := range all {
		if b {
			n++
		}
	}
	return n
}

func TestTurns(t *testing.T) {
	spares := []string{"a", "b", "c"}
	for address, want := range map[string]float64{"a": 5, "b": 8, "c": 11, "x": 14} {
		if got := turn(5, address, spares); got != want {
			t.Errorf("the turn of %s is after %v s, want %v", address, got, want)
		}
	}
	if got := turn(5, "a", nil); got != 5 {
		t.Errorf("one spare that is not named yet waits %v s", got)
	}
}
