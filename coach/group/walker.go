package group

// walker is somebody who is exactly on the beat.
type walker struct {
	next    float64 // when the next step falls, s on the coach's clock
	cadence float64 // steps/min
	begun   bool    // the plan has begun
	news    bool    // the coach has answered since the map was renewed
}

// strolling is the cadence where the group is free, steps/min: nobody asks for it.
const strolling = 120

func newWalker(at float64) walker { return walker{next: at, cadence: strolling, news: true} }

// to walks until t at a cadence, 0 for as one likes.
func (w *walker) to(t, cadence float64, step func(t float64)) {
	if w.cadence = cadence; cadence == 0 {
		w.cadence = strolling
	}
	for ; w.next < t; w.next += 60 / w.cadence {
		step(w.next)
	}
}
