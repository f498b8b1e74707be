package coach

import "steadfoot/profiles"

// LapLength returns the length of one lap in m in a lane, 1 to 9, of a standard
// 400 m track.
func LapLength(lane int) (float64, error) { return profiles.LapLength(lane) }
