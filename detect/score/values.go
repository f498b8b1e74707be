package score

import (
	"math"
	"slices"
)

// Values are what a measure gave on several occasions, in the measure's unit;
// the smaller the better.
type Values struct {
	Got  []float64
	None int // occasions on which what was measured never came
}

// Note adds one occasion; ok is false when there is no value.
func (v *Values) Note(value float64, ok bool) {
	if !ok {
		v.None++
		return
	}
	v.Got = append(v.Got, value)
}

// Add joins the values of another recording to v.
func (v *Values) Add(o Values) {
	v.Got = append(v.Got, o.Got...)
	v.None += o.None
}

// N is how many occasions there were, those without a value too.
func (v Values) N() int { return len(v.Got) + v.None }

// Mean is the mean of the values that there are; NaN when there is none.
func (v Values) Mean() float64 {
	var sum float64
	for _, x := range v.Got {
		sum += x
	}
	return sum / float64(len(v.Got))
}

// Quantile is the least value that a share q of all occasions, from 0 to 1, did
// not exceed: +Inf when too few have one, NaN when there were no occasions.
func (v Values) Quantile(q float64) float64 {
	if v.N() == 0 {
		return math.NaN()
	}
	i := max(0, int(math.Ceil(q*float64(v.N())-1e-9))-1)
	if i >= len(v.Got) {
		return math.Inf(1)
	}
	return slices.Sorted(slices.Values(v.Got))[i]
}

// Worst is the greatest value; +Inf when there was none on some occasion, NaN
// when there were no occasions.
func (v Values) Worst() float64 { return v.Quantile(1) }
