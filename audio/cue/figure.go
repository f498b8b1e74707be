package cue

import (
	"math"
	"strconv"
)

// figure is a whole number told digit by digit: by the coach when all its digits
// are recorded and the layer is Lines, else by the formant voice.
func (v *Voice) figure(value float64) (*Clip, bool) {
	n := math.Round(value)
	if !(n >= 0 && n <= 999) {
		return nil, false
	}
	c := v.figures[int(n)]
	if c == nil {
		text := strconv.Itoa(int(n))
		c = join(v.digits(text))
		v.figures[int(n)] = c
	}
	return c, true
}

func (v *Voice) digits(text string) []*Clip {
	var own, parts []*Clip
	for i, d := range text {
		if t := v.lines.takes[string(d)]; t != nil {
			own = append(own, t.clips[0])
		}
		if i == len(text)-1 {
			parts = append(parts, speech().last[d-'0'])
		} else {
			parts = append(parts, speech().on[d-'0'])
		}
	}
	if v.layer == Lines && len(own) == len(text) {
		return own
	}
	return parts
}

// longestFigure is the length of the longest figure of three digits, s.
func (v *Voice) longestFigure() float64 {
	longest := 0.0
	for _, first := range "0123456789" {
		for _, last := range "0123456789" {
			parts := v.digits(string([]rune{first, first, last}))
			sum := 2 * gap
			for _, p := range parts {
				sum += p.Seconds()
			}
			longest = max(longest, sum)
		}
	}
	return longest
}
