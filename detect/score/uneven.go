package score

import "math"

// Unevenness is the symmetry index of sorted steps over [from, to], in %:
// 100·(R-L)/((R+L)/2), where R is the mean time from a step with side a to the
// next with another, and L that from the others to one with side a (Robinson,
// Herzog and Nigg 1987). Intervals over a second, and between two steps of one
// side, are left out. ok is false when no interval of one foot is left.
func Unevenness(times []float64, sides []uint8, a uint8, from, to float64) (index float64, ok bool) {
	var sum [2]float64
	var n [2]int
	for i := 1; i < len(times); i++ {
		d := times[i] - times[i-1]
		if times[i-1] < from || times[i] > to || d > longest || sides[i] == sides[i-1] {
			continue
		}
		foot := 0
		if sides[i] == a {
			foot = 1
		}
		sum[foot] += d
		n[foot]++
	}
	if n[0] == 0 || n[1] == 0 {
		return 0, false
	}
	right, left := sum[0]/float64(n[0]), sum[1]/float64(n[1])
	return 100 * (right - left) / ((right + left) / 2), true
}

// UnevennessError is how far off the unevenness of the found steps is in the
// first length seconds of the true ones, in percentage points. Which foot is
// called left is free, as long as it stays so: the names that fit most pairs are
// taken. ok is false when the truth is shorter, or too little was found.
func UnevennessError(found, truth []float64, foundSides, trueSides []uint8, length, window float64) (points float64, ok bool) {
	if len(truth) == 0 || truth[len(truth)-1]-truth[0] < length {
		return 0, false
	}
	agree := 0
	all := pairs(found, truth, window)
	for _, c := range all {
		if foundSides[c.found] == trueSides[c.truth] {
			agree++
		}
	}
	from, to := truth[0]-window, truth[0]+length+window
	want, ok := Unevenness(truth, trueSides, trueSides[0], from, to)
	if !ok || len(all) == 0 {
		return 0, false
	}
	got, ok := Unevenness(found, foundSides, trueSides[0], from, to)
	if 2*agree < len(all) {
		got = -got
	}
	return math.Abs(got - want), ok
}
