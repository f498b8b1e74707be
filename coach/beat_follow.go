package coach

import (
	"math"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

const (
	// followGain is the share of its distance from the feet that the beat makes
	// up with each step. The walker corrects too, by 0.2 to 0.8 of it (Repp
	// 2005, from memory); what both do together stays below 1, above which they
	// would overshoot each other.
	followGain = 0.18
	// followReach is the lead of its tempo. The phase goes with the feet, so
	// that a lead of the tempo shows as a beat that comes too early, by reach
	// over gain of an interval.
	followReach = 0.01
	// followSlack is how far the walker may fall behind its tempo: the phase
	// can be kept only while the tempo is near.
	followSlack = 0.015
	// followMost is the most by which an interval is bent, of its length: less
	// than the 2.5 % from which one shifted tone is heard (Friberg and Sundberg
	// 1995).
	followMost = 0.02
	// followTurn is how many steps in a row must come with the other foot
	// before the feet are changed over.
	followTurn = 8
	// followLearn is the share of the distance by which each step corrects what
	// is held of the walker's habit of coming before the beat, and followHabit
	// how far that may go from Settings.Ahead, s. A wrong Ahead would let the
	// beat run away from its tempo: steps that come early draw it forward, and
	// it them.
	followLearn = 0.01
	followHabit = 0.05
	// followUsual is the most of a distance that counts for the habit, s: a
	// stumble is none.
	followUsual = 0.01
	// followStale is how old a footfall may be to count, s. The first ones of a
	// walk are told late.
	followStale = 1.5
)

// phaser brings the beat to the feet: to Ahead and the walker's habit after the
// foot, so that the foot comes that much before the beat.
type phaser struct {
	shift float64 // s by which the next interval is to be longer
	turn  int     // steps in a row that came with the other foot
	habit float64 // s by which the walker comes earlier than Settings.Ahead
}

// step takes in a footfall. grid is the beat as it will be with all that was
// already corrected, so no distance is corrected twice, however late a step is
// told.
func (f *phaser) step(now float64, s detect.Step, ahead float64, grid event.Beat) {
	if !s.Heard || now-s.T > followStale {
		return
	}
	x := (s.T + ahead + f.habit - grid.Start) / grid.Period
	n := math.Round(x)
	late := (x - n) * grid.Period
	most := followMost * grid.Period
	f.shift = min(max(f.shift+followGain*late, -most), most)
	usual := min(max(late, -followUsual), followUsual)
	f.habit = min(max(f.habit-followLearn*usual, -followHabit, -ahead), followHabit)
	if s.Side == detect.Unknown || s.Side == sideOf(grid, int(math.Abs(n))) {
		f.turn = 0
	} else {
		f.turn++
	}
}

// turned tells whether the feet are the other way round.
func (f *phaser) turned() bool { return f.turn >= followTurn }
