package score

import "slices"

// Told are steps as a detector told them. Both slices are as long and in order
// of time.
type Told struct {
	Times []float64 // when the steps were, s
	Given []float64 // how much of the input had come in when each was told, s
}

// Before returns the steps that lie before the time, s.
func (t Told) Before(end float64) Told {
	n, _ := slices.BinarySearch(t.Times, end)
	return Told{t.Times[:n], t.Given[:n]}
}

// LockSteps is how many right steps in a row count as being locked.
const LockSteps = 5

// Lock returns when, in s of input, the walk was being followed: LockSteps
// neighbours of the true steps had been told, all paired as by Match and with no
// invented step between them. ok is false when that never was.
func (t Told) Lock(truth []float64, window float64) (at float64, ok bool) {
	all := pairs(t.Times, truth, window)
	run := 0
	for i, c := range all {
		if i > 0 && c == (couple{all[i-1].found + 1, all[i-1].truth + 1}) {
			run++
		} else {
			run = 1
		}
		if run < LockSteps {
			continue
		}
		given := 0.0
		for k := range LockSteps {
			given = max(given, t.Given[c.found-k])
		}
		if !ok || given < at {
			at, ok = given, true
		}
	}
	return at, ok
}

// Delays returns how long after its first contact each right step was told, s,
// of the true steps from the time after on. The sound of a step goes on for some
// 100 ms after the contact; none of that is taken off.
func (t Told) Delays(truth []float64, after, window float64) []float64 {
	var delays []float64
	for _, c := range pairs(t.Times, truth, window) {
		if truth[c.truth] >= after {
			delays = append(delays, t.Given[c.found]-truth[c.truth])
		}
	}
	return delays
}

// Within counts the found times after from and before to, s.
func Within(found []float64, from, to float64) int {
	n := 0
	for _, f := range found {
		if f > from && f < to {
			n++
		}
	}
	return n
}

// longest is the time between two steps above which the walker stood still, s.
const longest = 1.0

// Stretches cuts sorted step times where the walker stood still.
func Stretches(truth []float64) [][]float64 {
	var all [][]float64
	start := 0
	for i := range truth {
		if i+1 == len(truth) || truth[i+1]-truth[i] > longest {
			all = append(all, truth[start:i+1])
			start = i + 1
		}
	}
	return all
}
