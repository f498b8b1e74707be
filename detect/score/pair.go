package score

import (
	"math"
	"slices"
)

// pairs returns the best pairing of two sorted lists of any length.
func pairs(found, truth []float64, window float64) []couple {
	var all []couple
	for f, t := 0, 0; f < len(found) && t < len(truth); {
		nf, nt := cluster(found[f:], truth[t:], window)
		for _, c := range pair(found[f:f+nf], truth[t:t+nt], window) {
			all = append(all, couple{f + c.found, t + c.truth})
		}
		f, t = f+nf, t+nt
	}
	return all
}

// cluster counts the leading found and true times that hang together: no two
// neighbours in it are further apart than window, so nothing in it can pair
// with anything after it.
func cluster(found, truth []float64, window float64) (nf, nt int) {
	last := min(found[0], truth[0])
	for {
		switch {
		case nf < len(found) && found[nf]-last <= window:
			last = max(last, found[nf])
			nf++
		case nt < len(truth) && truth[nt]-last <= window:
			last = max(last, truth[nt])
			nt++
		default:
			return nf, nt
		}
	}
}

// best is a pairing of the first times of both lists.
type best struct {
	pairs int
	cost  float64 // sum of absolute errors
}

func (b best) worse(o best) bool {
	return b.pairs < o.pairs || b.pairs == o.pairs && b.cost > o.cost
}

// couple is the places of a found and a true time that belong together.
type couple struct{ found, truth int }

// pair returns the best pairing of two sorted lists. A best pairing of points
// on a line never crosses, so it is found prefix by prefix.
func pair(found, truth []float64, window float64) []couple {
	width := len(truth) + 1
	table := make([]best, (len(found)+1)*width)
	for i := 1; i <= len(found); i++ {
		for j := 1; j <= len(truth); j++ {
			b := table[(i-1)*width+j]
			if o := table[i*width+j-1]; b.worse(o) {
				b = o
			}
			if e := math.Abs(found[i-1] - truth[j-1]); e <= window {
				o := table[(i-1)*width+j-1]
				if o = (best{o.pairs + 1, o.cost + e}); b.worse(o) {
					b = o
				}
			}
			table[i*width+j] = b
		}
	}
	return trace(table, width)
}

// trace reads the pairs back out of the table, from its end.
func trace(table []best, width int) []couple {
	var pairs []couple
	for i, j := len(table)/width-1, width-1; i > 0 && j > 0; {
		switch b := table[i*width+j]; b {
		case table[(i-1)*width+j]:
			i--
		case table[i*width+j-1]:
			j--
		default:
			i, j = i-1, j-1
			pairs = append(pairs, couple{i, j})
		}
	}
	slices.Reverse(pairs)
	return pairs
}
