package coach

import (
	"math"
	"slices"
)

// SymmetryIndex compares a measure of the right and the left foot, in %:
// (right − left) / (½ (right + left)) · 100 (Robinson, Herzog and Nigg 1987).
// 0 is even; it is positive when the right one is larger. It is NaN when both
// are 0.
func SymmetryIndex(right, left float64) float64 {
	return (right - left) / (0.5 * (right + left)) * 100
}

// SymmetryAngle compares a measure of the right and the left foot, in %:
// (45° − atan(left/right)) / 90° · 100 (Zifchock et al. 2008). 0 is even; it is
// positive when the right one is larger. Both must be positive.
func SymmetryAngle(right, left float64) float64 {
	return (math.Pi/4 - math.Atan(left/right)) / (math.Pi / 2) * 100
}

// CV is the coefficient of variation of xs in %: the standard deviation, with
// n − 1, over the mean. It is NaN for fewer than two values.
func CV(xs []float64) float64 {
	if len(xs) < 2 {
		return math.NaN()
	}
	n := float64(len(xs))
	var sum, squares float64
	for _, x := range xs {
		sum += x
	}
	mean := sum / n
	for _, x := range xs {
		squares += (x - mean) * (x - mean)
	}
	return math.Sqrt(squares/(n-1)) / mean * 100
}

// Median is the middle of xs, or the mean of the two in the middle. It is NaN
// for no values. It leaves xs as it is.
func Median(xs []float64) float64 {
	if len(xs) == 0 {
		return math.NaN()
	}
	s := slices.Clone(xs)
	slices.Sort(s)
	m := len(s) / 2
	if len(s)%2 == 1 {
		return s[m]
	}
	return (s[m-1] + s[m]) / 2
}

// MAD is the median of the distances of xs from their median, in the unit of
// xs. It is NaN for no values.
func MAD(xs []float64) float64 {
	m := Median(xs)
	away := make([]float64, len(xs))
	for i, x := range xs {
		away[i] = math.Abs(x - m)
	}
	return Median(away)
}

// WithoutMissed appends to dst the intervals between steps, or strides, that
// are one interval each, and returns it. A missed step joins two intervals to
// one of about twice the length and an invented one splits an interval: what is
// more than 1.5 times or less than half the median is left out, so that it does
// not count as variability.
func WithoutMissed(dst, intervals []float64) []float64 {
	m := Median(intervals)
	for _, x := range intervals {
		if x >= 0.5*m && x <= 1.5*m {
			dst = append(dst, x)
		}
	}
	return dst
}
