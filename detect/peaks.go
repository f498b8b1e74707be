package detect

const peakReach = 3 // frames on each side over which a peak must be the highest

// peakPicker finds local maxima of the evidence. It answers peakReach frames
// late, because a maximum is only known when what follows is lower.
type peakPicker struct {
	last [2*peakReach + 1]float64 // oldest first
	seen int
}

// peak is the evidence of one frame: z is 0 where the frame is no maximum.
type peak struct {
	z      float64 // height
	offset float64 // of the true maximum from the frame's centre, frames, within ±0.5
	lost   bool    // the frame was not heard
}

// next takes the evidence of frame t and tells about frame t-peakReach.
func (p *peakPicker) next(e float64) peak {
	copy(p.last[:], p.last[1:])
	p.last[len(p.last)-1] = e
	if p.seen < len(p.last) {
		p.seen++
		return peak{}
	}
	c := p.last[peakReach]
	if c <= 0 {
		return peak{}
	}
	for i, v := range p.last {
		// The first of equals is the peak.
		if v > c || (v == c && i < peakReach) {
			return peak{}
		}
	}
	a, b := p.last[peakReach-1], p.last[peakReach+1]
	var off float64
	if d := a - 2*c + b; d < 0 {
		off = 0.5 * (a - b) / d
	}
	return peak{z: c, offset: off}
}
