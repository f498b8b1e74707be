package detect

import "math"

const (
	riseSkip    = 2   // frames: the rise is against frames t-riseSkip and before
	riseSpan    = 32  // how many of them, 165 ms: shorter than any step, longer than its tail
	scaleS      = 4.0 // s, memory of a band's usual rise
	scaleFloor  = 1.0 // dB, least usual rise
	riseCeiling = 9.0 // most that one band may say, in usual rises
	usualClip   = 3.0 // most that one frame counts in the usual rise: steps are no part of it
	fadeAfter   = 7   // frames after which a level of the past begins to fade
	fadeDB      = 0.2 // dB a frame
	floorAbove  = 18  // dB: noise seldom rises so far above its lowest, so no past fades below that
	floorRise   = 16  // dB a second by which the floor may rise
	floorFall   = 0.3 // share of the way that it falls in a frame
)

// evidence turns band levels into one number a frame: the mean over the bands
// of the rise in level above everything in the last 165 ms, each in units of
// what is usual in that band, or dB where less than 1 dB is usual. So long a
// past keeps noise low, which seldom exceeds its own recent maximum in many
// bands at once, and gives the heel precedence over the forefoot.
type evidence struct {
	past    [][]float64 // ring of the last levels, newest at head
	head    int
	seen    int
	usual   []float64 // running mean of the rise, dB
	keep    float64   // memory factor a frame
	rise    []float64 // of the last frame, in usual rises
	highest []float64 // level of the past that a rise is against
	floor   []float64 // running minimum of the level, dB
	climb   float64   // dB a frame by which it may rise
}

func newEvidence(count int, frameRate float64) *evidence {
	e := &evidence{
		past:    make([][]float64, riseSkip+riseSpan),
		usual:   make([]float64, count),
		keep:    math.Exp(-1 / (scaleS * frameRate)),
		rise:    make([]float64, count),
		highest: make([]float64, count),
		floor:   make([]float64, count),
		climb:   floorRise / frameRate,
	}
	for i := range e.past {
		e.past[i] = make([]float64, count)
	}
	for i := range e.usual {
		e.usual[i] = 1.5
	}
	return e
}

// next takes the levels of one frame, in dB, and returns its evidence.
func (e *evidence) next(level []float64) float64 {
	n := len(e.past)
	if e.seen < n {
		// Nothing rises against a past that was not heard.
		copy(e.past[e.head], level)
		copy(e.floor, level)
		e.seen++
		e.head = (e.head + 1) % n
		return 0
	}
	e.lookBack(n)
	var sum float64
	for b, l := range level {
		r := math.Max(0, l-e.highest[b])
		u := math.Max(e.usual[b], scaleFloor)
		e.rise[b] = math.Min(r/u, riseCeiling)
		sum += e.rise[b]
		if d := l - e.floor[b]; d < 0 {
			e.floor[b] += floorFall * d
		} else {
			e.floor[b] += math.Min(d, e.climb)
		}
		e.usual[b] = e.keep*e.usual[b] + (1-e.keep)*math.Min(r, usualClip*u)
	}
	copy(e.past[e.head], level)
	e.head = (e.head + 1) % n
	return sum / float64(len(level))
}

// lookBack finds the level that each band's rise is against.
func (e *evidence) lookBack(n int) {
	copy(e.highest, e.past[(e.head-riseSkip+n)%n])
	highest := e.highest
	floor := e.floor[:len(highest)]
	for k := riseSkip + 1; k < riseSkip+riseSpan; k++ {
		fade := fadeDB * float64(max(0, k-fadeAfter))
		for b, v := range e.past[(e.head-k+n)%n][:len(highest)] {
			if v <= highest[b] {
				continue
			}
			faded := v - fade
			if low := floor[b] + floorAbove; faded < low { // no past fades below that
				faded = min(v, low)
			}
			if faded > highest[b] {
				highest[b] = faded
			}
		}
	}
}

// forget drops the past levels, after which the next frames are no rise.
func (e *evidence) forget() { e.seen = 0 }
