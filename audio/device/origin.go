package device

import (
	"math"
	"time"

	"steadfoot/audio"
)

// origin knows at what time of the clock the session's sample 0 was, from when
// blocks arrive. A block can only be late, so the earliest of the last few
// seconds counts.
type origin struct {
	old, young float64 // least of a past and of this stretch, in seconds
	notes      int
}

const originNotes = 512 // blocks a stretch, some 3 s

// note takes the arrival of a block whose last sample is before index end.
func (o *origin) note(arrival time.Duration, end int64) {
	at := arrival.Seconds() - float64(end)/audio.Rate
	switch {
	case o.notes == 0:
		o.old, o.young = at, at
	case o.notes%originNotes == 0:
		o.old, o.young = o.young, at
	default:
		o.young = min(o.young, at)
	}
	o.notes++
}

// index is the session index that is due at that time.
func (o *origin) index(now time.Duration) int64 {
	if o.notes == 0 {
		return 0
	}
	return int64(math.Round((now.Seconds() - min(o.old, o.young)) * audio.Rate))
}
