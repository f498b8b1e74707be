package detect

import (
	"math"
	"testing"
)

// pick runs a picker over heights and returns the peaks by frame.
func pick(heights []float64) map[int]peak {
	var p peakPicker
	found := make(map[int]peak)
	for t := range len(heights) + peakReach {
		h := 0.0
		if t < len(heights) {
			h = heights[t]
		}
		if q := p.next(h); q.z > 0 {
			found[t-peakReach] = q
		}
	}
	return found
}

func TestPeaks(t *testing.T) {
	heights := make([]float64, 40)
	heights[9], heights[10], heights[11] = 1, 3, 2 // a parabola through them is highest at 10 + 1/6
	heights[20], heights[23] = 2, 5                // too near to a higher one
	heights[30], heights[31] = 4, 4                // the first of equals
	found := pick(heights)
	if len(found) != 3 || found[10].z != 3 || found[23].z != 5 || found[30].z != 4 {
		t.Fatalf("peaks %v, want 3 at frame 10, 5 at 23, 4 at 30", found)
	}
	if off := found[10].offset; math.Abs(off-1.0/6) > 1e-12 {
		t.Errorf("offset %g, want 1/6", off)
	}
}
