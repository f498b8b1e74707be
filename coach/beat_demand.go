package coach

const (
	// demandStep is by how much the beat becomes softer at once, dB, every
	// demandEvery s. Below demandLeast dB it is silent.
	demandStep  = 6.0
	demandEvery = 4.0
	demandLeast = -18.0
	// demandStay is how long the beat stays at full level once the walker is
	// settled, s, the first time. Each time the walker did without it for
	// demandLearned s it stays half as long, but not less than demandLess; who
	// needed it again before that has not learned it yet, and has it twice as
	// long, but not more than demandMore.
	demandStay    = 16.0
	demandLess    = 2.0
	demandMore    = 64.0
	demandLearned = 60.0
)

// demand keeps the beat silent while the walker is right, lets it come when the
// band is left, and fade out again once the walker is settled.
type demand struct {
	on      bool
	level   float64 // dB
	stay    float64 // s at full level; 0: it has not come yet
	ended   float64 // when it was last heard, s
	since   float64 // when it last became softer or the walker settled, s
	settled bool
}

// silent tells whether there is no beat.
func (d *demand) silent() bool { return !d.on }

// still silences it: nobody walks.
func (d *demand) still() { d.on = false }

// tick takes in where the walker is.
func (d *demand) tick(now float64, w *watch) {
	out := w.place.what == TooSlow || w.place.what == TooQuick
	switch {
	case out && w.place.held() >= w.policy.Leave && w.ready():
		if !d.on {
			d.come(now)
		}
		d.on, d.level, d.settled = true, 0, false
	case !d.on || !w.settled():
	case !d.settled:
		d.settled, d.since = true, now
	default:
		d.fade(now)
	}
}

// come works out how long the beat is to stay this time.
func (d *demand) come(now float64) {
	switch {
	case d.stay == 0:
		d.stay = demandStay
	case now < d.ended+demandLearned:
		d.stay = min(2*d.stay, demandMore)
	default:
		d.stay = max(d.stay/2, demandLess)
	}
}

// fade makes it softer when it is time for it.
func (d *demand) fade(now float64) {
	wait := demandEvery
	if d.level == 0 {
		wait = d.stay
	}
	if now < d.since+wait {
		return
	}
	d.since = now
	if d.level -= demandStep; d.level < demandLeast {
		d.on, d.ended = false, now
	}
}
