package compare

import "fmt"

// Order is the order in which to walk n reps of each of two conditions, false
// for the first and true for the second: ABBA, then BAAB, in turn. The walker
// tires, warms to it, or the wind rises; whatever changes evenly over the
// session falls on both alike. n must be even, 2 to 40.
func Order(n int) ([]bool, error) {
	if n < 2 || n > 40 || n%2 != 0 {
		return nil, fmt.Errorf("%d reps of each: an order that is fair to both needs an even number, 2 to 40", n)
	}
	var out []bool
	for block := range n / 2 {
		b := block%2 == 1
		out = append(out, b, !b, !b, b)
	}
	return out, nil
}
