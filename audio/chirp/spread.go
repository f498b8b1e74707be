package chirp

import (
	"math"
	"slices"
)

// Spread is what several tries come to, in the unit they were given in.
type Spread struct {
	Median   float64
	MAD      float64 // median absolute deviation from the median
	Min, Max float64
	Near     int // tries within the tolerance of the median
}

// Summarise takes the results of tries, at least one; tolerance is how far from
// the median one may be to count as near.
func Summarise(tries []float64, tolerance float64) Spread {
	sorted := slices.Sorted(slices.Values(tries))
	s := Spread{Median: median(sorted), Min: sorted[0], Max: sorted[len(sorted)-1]}
	off := make([]float64, len(sorted))
	for i, v := range sorted {
		off[i] = math.Abs(v - s.Median)
		if off[i] <= tolerance {
			s.Near++
		}
	}
	slices.Sort(off)
	s.MAD = median(off)
	return s
}

func median(sorted []float64) float64 {
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}
