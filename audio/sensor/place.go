package sensor

import "math"

const (
	leapS     = 2.0  // s that stamps and arrival may differ in what passed between two rows
	staleS    = 2.0  // s: rows late for so long are those of a new count
	lateMostS = 0.5  // s for which every row was left out as late: the count is a new one
	jumpsMost = 5    // that often
	jumpsIn   = 50   // rows: these are no times in seconds
	usualS    = 30.0 // memory of how late rows come
	pieceS    = 0.5  // s without a row: the pace of rows without times starts anew
	pullShare = 0.02 // of the way that a row without a time is drawn to when it came
)

// placer finds the time of rows. The sensor's stamps are what counts, on from
// where its first row came; where they leap, when rows come says how much time
// passed.
type placer struct {
	any     bool
	stamp   float64 // of the last row that was given
	at      float64 // when it came
	t       float64 // time it was given
	offset  float64 // of time against stamps
	usual   float64 // time by which rows come late, against offset
	stale   float64 // since when they have been much later, or 0
	late    int     // rows left out
	lateAt  float64 // since when all were
	lateRow bool
	jump    float64 // s, of the stamps, to be told; 0 for none
	jumps   float64 // fading count of them
	given   bool    // the stamps are given up
	pace    float64 // s between rows without times
}

// stamped finds the time of a row with a stamp, and whether it is to be given.
func (p *placer) stamped(stamp, now float64) (float64, bool) {
	if p.given {
		return p.timeless(now), true
	}
	if !p.any {
		p.any, p.offset = true, now-stamp
		return p.take(stamp, now), true
	}
	p.jumps *= 1 - 1.0/jumpsIn
	d, passed := stamp-p.stamp, now-p.at
	switch {
	case d <= 0 && d > -leapS && !p.lateFor(now):
		p.late++
		return 0, false
	case d <= 0 || d > passed+leapS || p.behind(stamp, now):
		p.jump = d - passed
		if p.jump == 0 {
			p.jump = d
		}
		if p.jumps++; p.jumps > jumpsMost {
			p.given = true
			return p.timeless(now), true
		}
		p.offset = math.Max(p.t+math.Max(passed, 1e-3), now-p.usual) - stamp
		p.stale = 0
	}
	p.lateRow = false
	return p.take(stamp, now), true
}

func (p *placer) take(stamp, now float64) float64 {
	p.stamp, p.at = stamp, now
	p.t = math.Max(stamp+p.offset, p.t+1e-6)
	return p.t
}

// lateFor tells whether every row has been left out for long.
func (p *placer) lateFor(now float64) bool {
	if !p.lateRow {
		p.lateRow, p.lateAt = true, now
	}
	return now-p.lateAt > lateMostS
}

// behind tells whether the rows have long come later than they used to: a
// sensor's clock that stood still. After a jam of the network they come late for
// a moment only.
func (p *placer) behind(stamp, now float64) bool {
	skew := now - stamp - p.offset
	if skew-p.usual < leapS {
		p.usual += (skew - p.usual) * math.Min(1, math.Max(0, now-p.at)/usualS)
		p.stale = 0
		return false
	}
	if p.stale == 0 {
		p.stale = now
	}
	return now-p.stale > staleS
}

// timeless finds the time of a row without a stamp. Rows often come in bursts,
// so they are spread evenly at the pace they are found to have.
func (p *placer) timeless(now float64) float64 {
	if !p.any || now-p.t > pieceS || now < p.t-pieceS {
		p.any, p.pace = true, math.Max(p.pace, 0)
		p.t = math.Max(now, p.t+1e-3)
		p.at = now
		return p.t
	}
	if p.pace == 0 {
		p.pace = 0.01
	}
	miss := now - (p.t + p.pace)
	p.pace = math.Min(0.2, math.Max(5e-4, p.pace+pullShare*pullShare*miss))
	p.t = math.Max(p.t+p.pace+pullShare*miss, p.t+1e-4)
	p.at = now
	return p.t
}
