package audio

import (
	"fmt"
	"math"
)

const (
	clipLevel = 0.999 // full scale of 16-bit and 8-bit sound lies above or close to it
	clipRun   = 4     // so many equal samples at full scale are a flattened peak
	clipShare = 1e-4  // of the samples; fewer do not matter
	deadTime  = 2     // s without any change, not even noise, are no recording
)

// health watches samples for signs of a bad recording.
type health struct {
	n       int64 // samples seen
	bad     int64 // NaN or infinite
	clipped int64 // in flattened peaks
	last    float32
	run     int64 // length of the present run of equal samples
	dead    int64 // samples in runs longer than deadTime, in whole runs
	rate    int64
}

// check notes the state of s and replaces what is not a finite number by 0.
func (h *health) check(s []float32) {
	for i, x := range s {
		if !(math.Abs(float64(x)) <= math.MaxFloat32) {
			x, s[i] = 0, 0
			h.bad++
		}
		if x == h.last && h.n > 0 {
			h.run++
		} else {
			h.close()
			h.last, h.run = x, 1
		}
		h.n++
	}
}

// close books the run of equal samples that has just ended.
func (h *health) close() {
	if h.run < clipRun {
		return
	}
	if h.last >= clipLevel || h.last <= -clipLevel {
		h.clipped += h.run
	}
	if h.run > deadTime*h.rate {
		h.dead += h.run
	}
}

// warnings puts the findings into words.
func (h *health) warnings() (all []string) {
	end := *h
	end.close()
	if end.bad > 0 {
		all = append(all, fmt.Sprintf("samples that are not numbers: %d, taken as silence", end.bad))
	}
	if float64(end.clipped) > clipShare*float64(end.n) {
		all = append(all, fmt.Sprintf("clipped: %.2g %% of the samples are cut off at full scale; record at a lower level",
			100*float64(end.clipped)/float64(end.n)))
	}
	switch {
	case end.run == end.n && end.n > 1:
		all = append(all, "silent throughout: every sample is the same; is the microphone connected?")
	case end.dead > 0:
		all = append(all, fmt.Sprintf("dead for %.1f s of %.1f s: digital silence, not even noise",
			float64(end.dead)/float64(end.rate), float64(end.n)/float64(end.rate)))
	}
	return all
}
