package detect

const (
	feetSteps = 8    // steps of a foot whose heights count
	feetLeast = 2    // so many must have been heard
	feetRatio = 0.15 // of the other's: a foot 12 dB quieter still has 0.3 and more
)

// feet compares the heights of the peaks that two feet make in turn. Where one
// makes next to nothing of what the other makes, it is no foot: the rustle of
// one step, half way to the next one of a slow walk, has been taken for a step.
type feet struct {
	height [2]float64 // running mean of the peaks that were heard
	heard  [2]float64 // how many
	last   int        // whose turn it was
}

// next takes in the height of the next step's peak, 0 where none was heard.
func (f *feet) next(z float64) {
	f.last ^= 1
	if z > 0 {
		f.heard[f.last] = min(f.heard[f.last]+1, feetSteps)
		f.height[f.last] += (z - f.height[f.last]) / f.heard[f.last]
	}
}

// none tells whether the last step was none.
func (f *feet) none() bool {
	return f.single() && f.height[f.last] < f.height[f.last^1]
}

// single tells whether only every other step is one.
func (f *feet) single() bool {
	if min(f.heard[0], f.heard[1]) < feetLeast {
		return false
	}
	low, high := min(f.height[0], f.height[1]), max(f.height[0], f.height[1])
	return low < feetRatio*high
}
