package sensor

import (
	"fmt"
	"math"
)

const (
	holeTime  = 1.0 // s between rows that are certainly not the sensor's pace
	slowTime  = 0.2 // s between rows on average: too slow to see steps
	fewestRow = 10  // for an average
)

// tally counts what was odd in a stream.
type tally struct {
	rows        int // given
	bad, late   int // left out
	holes       int
	longest, at float64 // of the holes, s
	lost        float64 // in all holes, s
	first, last float64 // time of the rows given, s
	cut         bool
}

// add counts a row at time t after one at last.
func (c *tally) add(t, last float64) {
	if c.rows == 0 {
		c.first = t
	} else if d := t - last; d > holeTime {
		c.holes++
		c.lost += d
		if d > c.longest {
			c.longest, c.at = d, last
		}
	}
	c.rows++
	c.last = t
}

// pace is the mean time between rows, s. Holes are no part of it unless most
// rows are so far apart.
func (c *tally) pace() float64 {
	span, intervals := c.last-c.first, c.rows-1
	if 2*c.holes < intervals {
		span, intervals = span-c.lost, intervals-c.holes
	}
	return span / float64(intervals)
}

// warnings puts the findings into words.
func (c *tally) warnings() (all []string) {
	add := func(format string, a ...any) { all = append(all, fmt.Sprintf(format, a...)) }
	if c.bad > 0 {
		add("rows with a missing or infinite value: %d, left out", c.bad)
	}
	if c.late > 0 {
		add("rows not later than the one before: %d, left out", c.late)
	}
	if c.cut {
		add("the last row is cut off and was left out")
	}
	if pace := c.pace(); c.rows >= fewestRow && pace > slowTime {
		return append(all, fmt.Sprintf("rows are %.3g s apart, too far to see steps; times must be in seconds", pace))
	}
	if c.holes > 0 {
		add("holes: %d, the longest of %.1f s after %.1f s", c.holes, math.Round(c.longest*10)/10, c.at)
	}
	return all
}
