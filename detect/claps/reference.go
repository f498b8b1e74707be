package claps

const (
	pieceFrames = 20 // 0.1 s
	pastPieces  = 30 // 3 s
	rank        = 3  // pieces louder than the reference: one clap and its echo
)

// reference is how loud it was of late: the loudest moments of the tenths of a
// second in the last three, but for the three loudest. The steps are in it, a clap
// is not.
type reference struct {
	piece [pastPieces]float64 // loudest frame of each, dB
	n     int                 // pieces there were
	most  float64             // of the present one
	fill  int                 // frames of it
	now   float64             // dB
}

// known tells whether enough was heard.
func (r *reference) known() bool { return r.n >= pastPieces }

// take takes the level of a frame.
func (r *reference) take(level float64) {
	if r.fill == 0 {
		r.most = level
	}
	r.most = max(r.most, level)
	if r.fill++; r.fill < pieceFrames {
		return
	}
	r.fill = 0
	r.piece[r.n%pastPieces] = r.most
	r.n++
	var top [rank + 1]float64
	for i := range top {
		top[i] = silent
	}
	for _, p := range r.piece[:min(r.n, pastPieces)] {
		for i := range top {
			if p > top[i] {
				p, top[i] = top[i], p
			}
		}
	}
	r.now = top[rank]
}
