package compare

import (
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// resamples is how many times the reps are drawn again.
const resamples = 4000

// bootstrap returns the 95 % intervals of the difference of means, b less a: reps
// are drawn again from each set, with replacement, and the percentiles of the
// differences taken.
//
// With few reps plain percentiles are too narrow, by sqrt((n-1)/n) and by normal
// instead of t quantiles; the level is widened for both (Hesterberg, "What
// teachers should know about the bootstrap", 2015, the expanded percentile
// interval; from memory). That it then covers what it says is tested by
// simulation.
func bootstrap(a, b []triple, seed uint64) (low, high triple) {
	r := rand.New(rand.NewPCG(seed, uint64(len(a))<<32|uint64(len(b))))
	var diffs [3][]float64
	for range resamples {
		ma, mb := resampled(r, a), resampled(r, b)
		for i := range diffs {
			diffs[i] = append(diffs[i], mb[i]-ma[i])
		}
	}
	for i := range diffs {
		sort.Float64s(diffs[i])
		tail := widened(spread(a, i), spread(b, i), len(a), len(b))
		low[i], high[i] = at(diffs[i], tail), at(diffs[i], 1-tail)
	}
	return low, high
}

func resampled(r *rand.Rand, x []triple) (m triple) {
	n := float64(len(x))
	for range x {
		t := x[r.IntN(len(x))]
		for i := range m {
			m[i] += t[i] / n
		}
	}
	return m
}

// widened is the share of the resamples to leave out at either end: so that the
// interval is as wide as Welch's t would have it.
func widened(va, vb float64, na, nb int) float64 {
	a, b := float64(na), float64(nb)
	se2 := va/a + vb/b // of the difference
	if !(se2 > 0) {
		return 0.025
	}
	dof := se2 * se2 / (va*va/(a*a*(a-1)) + vb*vb/(b*b*(b-1)))
	boot := va*(a-1)/(a*a) + vb*(b-1)/(b*b) // variance that resampling gives the difference
	t := distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(0.975) * math.Sqrt(se2/boot)
	return distuv.UnitNormal.CDF(-t)
}

// spread is the variance of one part, with n - 1.
func spread(x []triple, i int) float64 {
	m := mean(x)[i]
	sum := 0.0
	for _, t := range x {
		sum += (t[i] - m) * (t[i] - m)
	}
	return sum / float64(len(x)-1)
}

// at is the quantile p of a sorted list, between neighbours by a straight line.
func at(sorted []float64, p float64) float64 {
	x := p * float64(len(sorted)-1)
	i := int(x)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (x-float64(i))*(sorted[i+1]-sorted[i])
}
