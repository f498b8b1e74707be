// Package score compares found steps with true ones.
package score

import (
	"math"
	"slices"
)

// Result is how well found times fit true ones.
type Result struct {
	TP, FP, FN int       // hits, inventions, misses
	Errors     []float64 // found minus true of each hit, s, in order of time
}

// Match pairs found with true times as the MIREX onset task does: a pair is at
// most window seconds apart (0.050 there) and no time is in two pairs, so a
// doubled detection costs one false positive and a merged one a false negative.
// The pairing has the most pairs there can be and, of those, the least sum of
// absolute errors. The slices need not be sorted and are not changed.
//
// Source: music-ir.org/mirex/wiki/2016:Audio_Onset_Detection.
func Match(found, truth []float64, window float64) Result {
	found, truth = slices.Sorted(slices.Values(found)), slices.Sorted(slices.Values(truth))
	var r Result
	for _, c := range pairs(found, truth, window) {
		r.Errors = append(r.Errors, found[c.found]-truth[c.truth])
	}
	r.TP = len(r.Errors)
	r.FP, r.FN = len(found)-r.TP, len(truth)-r.TP
	return r
}

// Add joins the counts of another recording to r.
func (r *Result) Add(o Result) {
	r.TP, r.FP, r.FN = r.TP+o.TP, r.FP+o.FP, r.FN+o.FN
	r.Errors = append(r.Errors, o.Errors...)
}

// Precision is TP/(TP+FP); 1 when nothing was found.
func (r Result) Precision() float64 { return ratio(r.TP, r.TP+r.FP) }

// Recall is TP/(TP+FN); 1 when nothing was there.
func (r Result) Recall() float64 { return ratio(r.TP, r.TP+r.FN) }

// F is the harmonic mean of precision and recall, 2TP/(2TP+FP+FN); 1 when
// nothing was there and nothing found.
func (r Result) F() float64 { return ratio(2*r.TP, 2*r.TP+r.FP+r.FN) }

// Bias is the mean signed error of the hits, s: above 0 is late.
func (r Result) Bias() float64 {
	var sum float64
	for _, e := range r.Errors {
		sum += e
	}
	return sum / float64(max(len(r.Errors), 1))
}

// Spread is the standard deviation of the errors of the hits (n-1), s.
func (r Result) Spread() float64 {
	if len(r.Errors) < 2 {
		return 0
	}
	bias, sum := r.Bias(), 0.0
	for _, e := range r.Errors {
		sum += (e - bias) * (e - bias)
	}
	return math.Sqrt(sum / float64(len(r.Errors)-1))
}

func ratio(a, b int) float64 {
	if b == 0 {
		return 1
	}
	return float64(a) / float64(b)
}
