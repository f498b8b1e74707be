package detect

// Inside is what a detector believes at one frame of its input, for pictures and
// for looking at what went wrong. Nothing in it is a result: how evidence is
// scaled, and where beliefs settle, changes as detection gets better.
type Inside struct {
	T        float64 // end of the frame, s
	Evidence float64 // how much the frame looks like the start of a step, in usual rises; 0 or more
	Walking  float64 // probability that somebody walks
	State    State   // what is told: it follows Walking, but not at once

	filters []*filter
	shares  []float64 // what each of them counts
	scratch []float64 // a value for each of their periods
}

func insideOf(filters ...*filter) Inside {
	i := Inside{filters: filters, shares: make([]float64, len(filters))}
	for k, f := range filters {
		i.shares[k] = 1
		i.scratch = append(i.scratch, make([]float64, max(0, len(f.periods)-len(i.scratch)))...)
	}
	return i
}

// Watch has look called for every frame from now on, in the middle of Feed and
// Skip; nil ends that. look must not feed the detector. A frame is 5 ms, or
// a few per cent more or less as the sample rate wants.
func (s *Sound) Watch(look func(Inside)) {
	s.look, s.inside = look, insideOf(s.track.filter)
}

// show calls look for the frame that ended at t.
func (s *Sound) show(t float64, state State) {
	i := &s.inside
	i.T, i.State = t, state
	if s.joint != nil { // the frames that wait are not yet looked at
		i.T -= s.joint.delay()
	}
	i.Evidence, i.Walking = s.track.picker.newest(), s.track.filter.belief()
	s.look(*i)
}

// Watch has look called for every frame from now on, in the middle of Feed; nil
// ends that. look must not feed the detector. A frame is 20 ms. While a walk is
// followed, Inside is that of the gear that is believed; else it is that of all
// three.
func (m *Motion) Watch(look func(Inside)) {
	var filters []*filter
	for _, g := range m.gears {
		filters = append(filters, g.track.filter)
	}
	m.look, m.inside = look, insideOf(filters...)
}

// show calls look for the frame that ended at t.
func (m *Motion) show(t float64, state State) {
	i := &m.inside
	i.T, i.State, i.Evidence, i.Walking = t, state, 0, 0
	for k, g := range m.gears {
		i.shares[k] = 1 / float64(len(m.gears))
		if lead := m.walk.lead; lead >= 0 {
			i.shares[k] = 0
			if k == lead {
				i.shares[k] = 1
			}
		}
		i.Evidence += i.shares[k] * g.track.picker.newest()
		i.Walking += i.shares[k] * g.track.filter.belief()
	}
	m.look(*i)
}

// newest is the evidence that came last.
func (p *peakPicker) newest() float64 { return max(0, p.last[len(p.last)-1]) }

// Cadences adds to dst how probable each cadence is: dst[i] grows by the
// probability that somebody walks at a cadence from edges[i] to edges[i+1]
// steps/min; edges rise, and have one value more than dst. The sum over all
// cadences is Walking. It holds for the frame that look was called for, until
// look returns, and looks through the whole memory of the filter: call it for
// some frames only.
func (i Inside) Cadences(dst, edges []float64) {
	for k, f := range i.filters {
		if i.shares[k] > 0 {
			f.cadences(dst, edges, i.shares[k], i.scratch)
		}
	}
}

// cadences adds the share of the belief about the cadence to dst. The mass of
// the walks lies where the next step is due, and for a while after a step still
// with the step.
func (f *filter) cadences(dst, edges []float64, share float64, looked []float64) {
	looked = looked[:len(f.periods)]
	clear(looked)
	for _, row := range f.future {
		f.gather(looked, row)
	}
	for t := max(0, f.t-f.after); t < f.t; t++ {
		if f.total[t%len(f.total)] > 0 {
			f.gather(looked, f.past[t%len(f.past)])
		}
	}
	share /= f.walking + f.idle
	for p, mass := range looked {
		// A period stands for those half a class up and down.
		middle := 60 * f.rate / f.periods[p]
		spread(dst, edges, middle*(1-periodStep/2), middle*(1+periodStep/2), mass*share)
	}
}

// gather adds the mass of each period to looked.
func (f *filter) gather(looked, row []float64) {
	nu := len(f.uneven)
	for p := range looked {
		var mass float64
		for _, m := range row[p*nu : (p+1)*nu] {
			mass += m
		}
		looked[p] += mass
	}
}

// spread adds mass evenly over the cadences from lo to hi.
func spread(dst, edges []float64, lo, hi, mass float64) {
	for k := range dst {
		if both := min(hi, edges[k+1]) - max(lo, edges[k]); both > 0 {
			dst[k] += mass * both / (hi - lo)
		}
	}
}
