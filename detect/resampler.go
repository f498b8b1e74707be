package detect

// resampler puts irregular rows on the frame grid: a frame is the mean, over
// its time, of the straight lines between the rows.
type resampler struct {
	started bool
	t0, t   float64 // of the first row, and of the last
	v       float64 // value of the last row
	area    float64 // under the lines since the last frame
	n       int     // frames given
}

func (r *resampler) begin(t, v float64) { r.started, r.t0, r.t, r.v = true, t, t, v }

// now is the time of the end of the last frame since the first row, s.
func (r *resampler) now() float64 { return float64(r.n) / motionRate }

// to gives the next frame that ends before the row (t, v); ok is false when
// there is none left.
func (r *resampler) to(t, v float64) (mean float64, ok bool) {
	at := r.t0 + float64(r.n+1)/motionRate
	if at > t {
		return 0, false
	}
	r.n++
	if t > r.t {
		v = r.v + (v-r.v)*(at-r.t)/(t-r.t)
	}
	r.arrive(at, v)
	mean = r.area * motionRate
	r.area = 0
	return mean, true
}

// arrive takes the row (t, v) once its frames are given.
func (r *resampler) arrive(t, v float64) {
	r.area += (0.5*v + 0.5*r.v) * (t - r.t)
	r.t, r.v = t, v
}
