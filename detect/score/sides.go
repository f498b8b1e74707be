package score

// Swaps counts how often left and right change their names: along the pairs
// that Match would make of sorted times, how often a step agrees with the truth
// about its side when the one before did not, or the other way round. Sides are
// any two values that differ. After a pause of the truth longer than a second
// the names may start anew.
func Swaps(found, truth []float64, foundSides, trueSides []uint8, window float64) int {
	swaps, agreed, last := 0, false, -1
	for _, c := range pairs(found, truth, window) {
		agree := foundSides[c.found] == trueSides[c.truth]
		if last >= 0 && agree != agreed && !gap(truth[last:c.truth+1]) {
			swaps++
		}
		agreed, last = agree, c.truth
	}
	return swaps
}

// gap tells whether two neighbours are more than a second apart.
func gap(times []float64) bool {
	for i := 1; i < len(times); i++ {
		if times[i]-times[i-1] > 1 {
			return true
		}
	}
	return false
}
