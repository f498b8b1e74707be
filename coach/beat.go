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
// has them. A piece lasts from its Start to the Start of the next one, and has no
// beat whose number the next one counts from: where that was moved a little, no
// beat comes twice. A piece with Period 0 is silence. Beats count steps, so the
// foot changes from beat to beat.
//
// The time of beat k is Start + k·Period, computed and never added up. Adding
// up periods that were rounded to samples would be 107.5 ms late after an hour
// at 202 steps/min and 48 kHz.
//
// The zero BeatMap is silent and gives a beat for every step. Its fields hold for
// the pieces that are added after they were set.
type BeatMap struct {
	// Only is the foot whose beats are given, Unknown for both.
	Only detect.Side
	// Every gives only the steps whose number is a multiple of it; 0 and 1
	// give all. Steps are counted from piece to piece, by [event.Beat]'s N.
	Every int
	// Accent makes every so many-th of the beats that are given stand out; 0
	// none.
	Accent int
	pieces []piece // by Start, rising
}

// piece is a piece of a map with the choice of beats that holds for it.
type piece struct {
	event.Beat
	only          detect.Side
	every, accent int
}

// Add puts a piece in place. It takes the place of whatever was planned from
// its Start on. Pieces that are no beat, with a Start or Period that is
// negative or not a number, are ignored.
func (m *BeatMap) Add(p event.Beat) {
	if !(p.Start >= 0 && p.Start <= lastTime && (p.Period == 0 || p.Period >= shortestPeriod && p.Period <= lastTime)) {
		return
	}
	n := sort.Search(len(m.pieces), func(i int) bool { return m.pieces[i].Start >= p.Start })
	m.pieces = append(m.pieces[:n], piece{p, m.Only, m.Every, m.Accent})
}

// Take adds an event of a stored session, where it is one that a beat map is made
// of: a Beat, or a Shared, which says which beats are given. Others are ignored.
func (m *BeatMap) Take(e event.Event) {
	switch e := e.(type) {
	case event.Shared:
		m.Only, m.Every, m.Accent = e.Foot, e.Every, e.Accent
	case event.Beat:
		m.Add(e)
	}
}

// shortestPeriod bounds the number of beats in a stretch of time, s. It is a
// tenth of the fastest step that is followed.
const shortestPeriod = 60 / detect.Fastest / 10

// Pieces returns a copy of the pieces, by Start.
func (m *BeatMap) Pieces() []event.Beat {
	all := make([]event.Beat, len(m.pieces))
	for i, p := range m.pieces {
		all[i] = p.Beat
	}
	return all
}

// At returns the piece that holds at time t; it is not ok before the first one.
func (m *BeatMap) At(t float64) (p event.Beat, ok bool) {
	n := sort.Search(len(m.pieces), func(i int) bool { return m.pieces[i].Start > t })
	if n == 0 {
		return event.Beat{}, false
	}
	return m.pieces[n-1].Beat, true
}

// soundsFrom tells whether there is a piece that is no silence at t or later.
func (m *BeatMap) soundsFrom(t float64) bool {
	for i := len(m.pieces) - 1; i >= 0; i-- {
		if m.pieces[i].Period > 0 {
			return true
		}
		if m.pieces[i].Start <= t {
			break
		}
	}
	return false
}

// Between calls yield for every beat with from <= T < to, in order. Stretches
// that meet give each beat exactly once.
func (m *BeatMap) Between(from, to float64, yield func(Beat)) {
	n := sort.Search(len(m.pieces), func(i int) bool { return m.pieces[i].Start > from })
	for i := max(n-1, 0); i < len(m.pieces) && m.pieces[i].Start < to; i++ {
		end, most := to, math.MaxInt
		if i+1 < len(m.pieces) {
			next := m.pieces[i+1]
			end, most = min(end, next.Start), m.pieces[i].left(next.Beat)
		}
		m.pieces[i].between(max(from, m.pieces[i].Start), end, most, yield)
	}
}

// left is how many beats the piece has when next follows, by their numbers. In what
// version 1 of the log stored all numbers are 0; there the times decide.
func (p piece) left(next event.Beat) int {
	switch {
	case next.Period == 0:
	case next.N > p.N:
		return next.N - p.N
	case next.N == p.N && next.Start < p.Start+p.Period/2:
		return 0
	}
	return math.MaxInt
}

// between yields the beats of a stretch, of the first most ones of the piece.
func (p piece) between(from, to float64, most int, yield func(Beat)) {
	if p.Period == 0 || !(from < to) {
		return
	}
	for k := firstBeat(p.Beat, from); k < most; k++ {
		b := Beat{T: p.Start + float64(k)*p.Period, Index: k, Side: sideOf(p.Beat, k), Level: p.Level}
		if b.T >= to {
			return
		}
		if p.gives(p.N+k, b.Side) {
			b.Accent = p.accented(p.N + k)
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
func (p piece) gives(n int, side detect.Side) bool {
	return (p.only == detect.Unknown || side == p.only) && (p.every <= 1 || n%p.every == 0)
}

// accented tells whether the beat of step n stands out.
func (p piece) accented(n int) bool {
	if p.accent <= 1 {
		return false
	}
	apart := max(p.every, 1)
	if p.only != detect.Unknown {
		apart = 2
	}
	return n/apart%p.accent == 0
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
