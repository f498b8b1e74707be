package rsc

import "fmt"

// Totals is what the packets of a stream come to.
type Totals struct {
	Packets  int
	Duration float64 // from the first packet to the last, s
	Walking  float64 // the part of it with a cadence, s
	Cadence  float64 // mean over the packets with a cadence, 1/min of the sensor's unit; 0 when there are none
	Speed    float64 // mean over the same packets, m/s
	// Distance is in m: as the sensor counted it where Counted is set, else
	// speed times time. What lies in a hole is only known to the sensor.
	Distance float64
	Counted  bool
}

// tally counts a stream.
type tally struct {
	packets     int // given
	late        int // left out
	cut         bool
	full        int // packets with the largest cadence there is
	holes       int
	longest, at float64 // of the holes, s

	first, last Record
	moving      int     // packets with a cadence
	cadence     float64 // their sum, 1/min
	speed       float64 // their sum, m/s
	walking     float64 // s
	integral    float64 // of the speed, m
	counted     float64 // by the sensor, m
	counts      int     // packets with a distance
	lastCount   float64 // of these, m
}

// add counts a packet, or leaves it out when it is late.
func (c *tally) add(r Record) bool {
	if c.packets == 0 {
		c.first = r
	} else if r.T <= c.last.T {
		c.late++
		return false
	} else {
		c.span(r.T - c.last.T)
	}
	c.packets++
	c.last = r
	if r.Cadence > 0 {
		c.moving++
		c.cadence += float64(r.Cadence)
		c.speed += r.Speed
	}
	if r.Cadence == MaxCadence {
		c.full++
	}
	if r.HasDistance {
		if c.counts++; c.counts > 1 {
			c.counted += max(0, r.Distance-c.lastCount) // it falls when the sensor is reset
		}
		c.lastCount = r.Distance
	}
	return true
}

// span books the time d from the last packet to the next.
func (c *tally) span(d float64) {
	if d > Hold {
		c.holes++
		if d > c.longest {
			c.longest, c.at = d, c.last.T
		}
		d = Hold
	}
	if c.last.Cadence > 0 {
		c.walking += d
	}
	c.integral += d * c.last.Speed
}

func (c *tally) totals() Totals {
	t := Totals{Packets: c.packets, Duration: c.last.T - c.first.T, Walking: c.walking, Distance: c.integral}
	if t.Counted = c.counts > 1; t.Counted {
		t.Distance = c.counted
	}
	if c.moving > 0 {
		t.Cadence = c.cadence / float64(c.moving)
		t.Speed = c.speed / float64(c.moving)
	}
	return t
}

// warnings puts the findings into words.
func (c *tally) warnings() (all []string) {
	add := func(format string, a ...any) { all = append(all, fmt.Sprintf(format, a...)) }
	if c.late > 0 {
		add("packets not later than the one before: %d, left out", c.late)
	}
	if c.cut {
		add("the last packet is cut off and was left out")
	}
	if c.full > 0 {
		add("packets with a cadence of %d/min, the most they can hold: %d; the walk may have been quicker", MaxCadence, c.full)
	}
	if c.holes > 0 {
		add("holes: %d, the longest of %.1f s after %.1f s", c.holes, c.longest, c.at)
	}
	return all
}
