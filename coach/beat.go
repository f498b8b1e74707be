package coach

import (
	"math"
	"sort"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// Beat is one beat, on one step.
type Beat struct {
	T      float64     // s
	Index  int         // number within its piece, from 0; steps are counted, with or without a beat
	Side   detect.Side // foot it belongs to
	Level  float64     // dB against the chosen volume, 0 or less
	Accent bool        // it is to stand out
}

// BeatMap is the beat of a session: pieces of (start, period) as [event.Beat]
// has them. A piece lasts from its Start to the Start of the next one; a piece
// with Period 0 is silence. Beats count steps, so the foot changes from beat to
// beat.
//
// The time of beat k is Start + k·Period, computed and never added up. Adding
// up periods that were rounded to samples would be 107.5 ms late after an hour
// at 202 steps/min and 48 kHz.
//
// The zero BeatMap is silent and gives a beat for every step.
type BeatMap struct {
	// Only is the foot whose beats are given, Unknown for both.
	Only detect.Side
	// Every gives only the steps whose number is a multiple of it; 0 and 1
	// give all. Steps are counted from piece to piece, by [event.Beat]'s N.
	Every int
	// Accent makes every so many-th of the beats that are given stand out; 0
	// none.
	Accent int
	pieces []event.Beat // by Start, rising
}

// Add puts a piece in place. It takes the place of whatever was planned from
// its Start on. Pieces that are no beat, with a Start or Period that is
// negative or not a number, are ignored.
func (m *BeatMap) Add(p event.Beat) {
	if !(p.Start >= 0 && p.Start <= lastTime && (p.Period == 0 || p.Period >= shortestPeriod && p.Period <= lastTime)) {
		return
	}
	n := sort.Search(len(m.pieces), func(i int) bool { return m.pieces[i].Start >= p.Start })
	m.pieces = append(m.pieces[:n], p)
}

// shortestPeriod bounds the number of beats in a stretch of time, s. It is a
// tenth of the fastest step that is followed.
const shortestPeriod = 60 / detect.Fastest / 10

// Pieces returns a copy of the pieces, by Start.
func (m *BeatMap) Pieces() []event.Beat {
	return append([]event.Beat(nil), m.pieces...)
}

// Between calls yield for every beat with from <= T < to, in order. Stretches
// that meet give each beat exactly once.
func (m *BeatMap) Between(from, to float64, yield func(Beat)) {
	n := sort.Search(len(m.pieces), func(i int) bool { return m.pieces[i].Start > from })
	for i := max(n-1, 0); i < len(m.pieces) && m.pieces[i].Start < to; i++ {
		end := to
		if i+1 < len(m.pieces) {
			end = min(end, m.pieces[i+1].Start)
		}
		m.piece(m.pieces[i], max(from, m.pieces[i].Start), end, yield)
	}
}

func (m *BeatMap) piece(p event.Beat, from, to float64, yield func(Beat)) {
	if p.Period == 0 || !(from < to) {
		return
	}
	for k := firstBeat(p, from); ; k++ {
		b := Beat{T: p.Start + float64(k)*p.Period, Index: k, Side: sideOf(p, k), Level: p.Level}
		if b.T >= to {
			return
		}
		if m.gives(p.N+k, b.Side) {
			b.Accent = m.accented(p.N + k)
			yield(b)
		}
	}
}

// sideOf is the foot of beat k of a piece.
func sideOf(p event.Beat, k int) detect.Side {
	if k%2 == 1 {
		return p.Side.Other()
	}
	return p.Side
}

// gives tells whether step n has a beat.
func (m *BeatMap) gives(n int, side detect.Side) bool {
	return (m.Only == detect.Unknown || side == m.Only) && (m.Every <= 1 || n%m.Every == 0)
}

// accented tells whether the beat of step n stands out.
func (m *BeatMap) accented(n int) bool {
	if m.Accent <= 1 {
		return false
	}
	apart := max(m.Every, 1)
	if m.Only != detect.Unknown {
		apart = 2
	}
	return n/apart%m.Accent == 0
}

// firstBeat is the first k with Start + k·Period >= t, 0 for t before Start. The
// division may be off by one; the comparison must be the one that piece makes.
func firstBeat(p event.Beat, t float64) int {
	k := max(int(math.Ceil((t-p.Start)/p.Period)), 0)
	for k > 0 && p.Start+float64(k-1)*p.Period >= t {
		k--
	}
	for p.Start+float64(k)*p.Period < t {
		k++
	}
	return k
}
