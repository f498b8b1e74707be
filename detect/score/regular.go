package score

// Regularity is how alike a walker's steps and strides are, from an acceleration
// along one axis or its magnitude: Step and Stride are the autocorrelation at
// the time of a step and of two, against that at 0, from -1 to 1. Symmetry is
// Step/Stride, 1 where both feet do the same.
//
// Source: R. Moe-Nilssen and J. L. Helbostad, "Estimation of gait cycle
// characteristics by trunk accelerometry", J Biomech 37 (2004) 121.
type Regularity struct{ Step, Stride, Symmetry float64 }

// RegularityOf takes samples at an even rate and the time of a step, in samples.
// Both lags are rounded to whole samples. ok is false when there are not two
// strides or x does not move.
func RegularityOf(x []float64, step float64) (r Regularity, ok bool) {
	one, two := int(step+0.5), int(2*step+0.5)
	if one < 1 || len(x) < 2*two {
		return r, false
	}
	power := Autocorrelation(x, 0)
	if power <= 0 {
		return r, false
	}
	r.Step, r.Stride = Autocorrelation(x, one)/power, Autocorrelation(x, two)/power
	r.Symmetry = r.Step / r.Stride
	return r, true
}

// Autocorrelation is the unbiased one of x without its mean, at a lag of fewer
// samples than x has: the mean product of those that far apart, in the unit of x
// squared.
func Autocorrelation(x []float64, lag int) float64 {
	var mean float64
	for _, v := range x {
		mean += v / float64(len(x))
	}
	var sum float64
	for i := range len(x) - lag {
		sum += (x[i] - mean) * (x[i+lag] - mean)
	}
	return sum / float64(len(x)-lag)
}
