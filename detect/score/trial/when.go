package trial

import (
	"slices"

	"steadfoot/detect/score"
)

// When is how soon a detector told things, and how well what it says of a whole
// walk holds.
type When struct {
	Lock     score.Values // s from the first step until locked, see score.Told.Lock
	Change   score.Values // s from a jump of the cadence until locked on what follows
	Resume   score.Values // s from the first step after a pause until locked
	Delay    score.Values // s from first contact until told, of the right steps after a lock
	Invented score.Values // steps invented in each pause
	Stop     score.Values // s from the last step before a pause until no rhythm says walking
	Uneven   score.Values // error of the unevenness over unevenSpan, percentage points
	InBand   int          // reported cadences whose 95 % band holds the true mean
	Bands    int          // all reported cadences with a band
}

// window is how far a right step may be off, s.
const window = 0.050

// unevenSpan is the length over which the unevenness is compared, s.
const unevenSpan = 60

func judgeWhen(h Heard, truth Truth) When {
	var w When
	told := score.Told{Times: h.Times, Given: h.Given}
	stretches := score.Stretches(truth.Times)
	for i, s := range stretches {
		until := truth.Seconds
		if i+1 < len(stretches) {
			until = stretches[i+1][0]
			w.pause(h, s[len(s)-1], until)
		}
		w.stretch(told.Before(until), s, i == 0)
		for _, at := range truth.Changes {
			if rest := after(s, at); len(rest) > 0 && len(rest) < len(s) {
				locked, ok := told.Before(until).Lock(rest, window)
				w.Change.Note(locked-at, ok)
			}
		}
	}
	if n := len(truth.Times); truth.Sides != nil && n > 0 && truth.Times[n-1]-truth.Times[0] >= unevenSpan {
		w.Uneven.Note(score.UnevennessError(h.Times, truth.Times, h.Sides, truth.Sides, unevenSpan, window))
	}
	w.InBand, w.Bands = score.Band(h.Readings, truth.Times, window)
	return w
}

// stretch judges how an unbroken stretch of walking was found.
func (w *When) stretch(told score.Told, steps []float64, first bool) {
	if len(steps) < score.LockSteps {
		return
	}
	locked, ok := told.Lock(steps, window)
	if first {
		w.Lock.Note(locked-steps[0], ok)
	} else {
		w.Resume.Note(locked-steps[0], ok)
	}
	if ok {
		w.Delay.Got = append(w.Delay.Got, told.Delays(steps, locked, window)...)
	}
}

// pause judges what was told in the pause after the step at last, up to the next.
func (w *When) pause(h Heard, last, next float64) {
	w.Invented.Note(float64(score.Within(h.Times, last+window, next-window)), true)
	i, _ := slices.BinarySearch(h.Quiet, last)
	if i < len(h.Quiet) && h.Quiet[i] < next {
		w.Stop.Note(h.Quiet[i]-last, true)
	} else {
		w.Stop.Note(0, false)
	}
}

// after returns the times from at on.
func after(times []float64, at float64) []float64 {
	i, _ := slices.BinarySearch(times, at)
	return times[i:]
}

// Add joins what was measured on another recording to w.
func (w *When) Add(o When) {
	w.Lock.Add(o.Lock)
	w.Change.Add(o.Change)
	w.Resume.Add(o.Resume)
	w.Delay.Add(o.Delay)
	w.Invented.Add(o.Invented)
	w.Stop.Add(o.Stop)
	w.Uneven.Add(o.Uneven)
	w.InBand += o.InBand
	w.Bands += o.Bands
}

// Coverage is the share of reported cadences whose 95 % band holds the truth.
func (w When) Coverage() float64 { return float64(w.InBand) / float64(w.Bands) }
