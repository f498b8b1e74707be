package profiles

import (
	"fmt"
	"math"
)

// The standard 400 m track: two straights and two semicircles. A lane is
// measured 0.30 m out from the kerb, and from lane 2 on 0.20 m out from the line
// inside it.
const (
	trackStraight = 84.39 // m
	trackRadius   = 36.50 // m, to the kerb
	trackLane     = 1.22  // m, width of a lane
	fromKerb      = 0.30  // m
	fromLine      = 0.20  // m
)

// LapLength returns the length of one lap in m in a lane, 1 to 9, of a standard
// 400 m track.
func LapLength(lane int) (float64, error) {
	if lane < 1 || lane > 9 {
		return 0, fmt.Errorf("lane %d: a track has lanes 1 to 9", lane)
	}
	r := trackRadius + fromKerb
	if lane > 1 {
		r = trackRadius + float64(lane-1)*trackLane + fromLine
	}
	return 2*trackStraight + 2*math.Pi*r, nil
}
