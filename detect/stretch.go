package detect

import "math"

const (
	agreeLog   = 0.15 // a gear agrees with a rate this near, in log
	leadLog    = 0.05 // a gear not in the lead must be nearer than the leader by this
	agreeShare = 0.25 // that has this share of the power
	nearLog    = 0.25 // a change of gear at once goes this far, in log
	strayS     = 1.0  // the leader may disagree this long

	startRegular = 0.55 // stride regularity that starts a walk
	againRegular = 0.4  // the same for a walk that was there
	againS       = 20   // this long ago at most
	startStep    = 0.1  // and step regularity: at double tempo it is below 0
	startShare   = 0.35
	startS       = 0.6 // all that for this long
	keepRegular  = 0.4 // regularity, or share of the power, of a walk that goes on
	keepShare    = 0.4
	trustS       = 4.0 // without them steps are told this long
	doubtS       = 8.0 // and the walk is believed this long
)

// stretch decides which gear is believed, when a walk begins and ends, and
// which of the steps found are told. A rhythm alone is no walk: hands make one
// for a second or two. A walk is a rhythm whose stride is regular for four
// seconds and is the strongest thing in the sway.
type stretch struct {
	lead  int  // the gear believed, or -1
	fresh bool // it has not yet shown that it is a walk
	good  int  // frames for which it has looked like one
	stray int  // frames for which another gear was in the right
	wait  []candidate
	out   []candidate

	now    float64 // s
	told   bool
	last   float64 // time of the last step told
	ref    float64 // usual height of a step, share of gravity
	refAt  float64 // when it was last known
	period float64 // s, when the walk was sure
	sureAt float64
}

func newStretch() stretch {
	return stretch{lead: -1, wait: make([]candidate, 0, gearKept), out: make([]candidate, 0, gearKept)}
}

func (s *stretch) walking() bool { return s.lead >= 0 && !s.fresh }

// choose looks which gear is to be believed.
func (s *stretch) choose(gears []*gear, p *pulse) {
	s.now += 1 / motionRate
	if s.lead >= 0 && !gears[s.lead].track.locked {
		s.lead = -1
	}
	best, mine := -1, agreeLog
	rate, share := p.strongest()
	for i, g := range gears {
		if !g.track.locked || share < agreeShare {
			continue
		}
		// Where two gears agree, the one in the lead is heard first.
		off := math.Abs(math.Log(rate * g.period()))
		if i == s.lead {
			off -= leadLog
		}
		if off < mine {
			best, mine = i, off
		}
	}
	switch {
	case best < 0 || best == s.lead:
		s.stray = 0
	case s.lead < 0 || s.fresh:
		if s.lead < 0 || !s.fresh {
			s.good = 0
		}
		s.lead, s.fresh, s.stray = best, true, 0
	default:
		s.stray++
		jump := math.Abs(math.Log(gears[best].period() / gears[s.lead].period()))
		if jump < nearLog || float64(s.stray) > strayS*motionRate {
			s.lead, s.stray = best, 0
		}
	}
}

// pass lets a frame of a long hole go by, in which every rhythm has ended.
func (s *stretch) pass(gears []*gear) {
	s.now += 1 / motionRate
	s.lead = -1
	for _, g := range gears {
		g.drop()
		g.passed++
	}
}

// next returns the steps to tell; the slice is valid until the next call.
func (s *stretch) next(gears []*gear, p *pulse) []candidate {
	s.out = s.out[:0]
	if s.lead < 0 {
		return s.out
	}
	g := gears[s.lead]
	if len(g.kept) == 0 || !s.regular(g, p) || s.fresh && !s.begin(g) {
		return s.out
	}
	for _, c := range g.take() {
		if s.known(c) {
			continue
		}
		if len(s.wait) == cap(s.wait) {
			s.wait = s.wait[:copy(s.wait, s.wait[1:])]
		}
		s.wait = append(s.wait, c)
	}
	s.settle(g)
	return s.out
}

// regular tells whether what is felt is regular enough for a walk.
func (s *stretch) regular(g *gear, p *pulse) bool {
	_, share := p.strongest()
	step, stride := p.echo.regularity(g.track.period), p.echo.regularity(2*g.track.period)
	if s.fresh && !s.convincing(g, step, stride, share) {
		return false
	}
	if stride > startRegular { // sure of the tempo, too
		s.period = g.period()
	}
	if stride > keepRegular || step > keepRegular || share > keepShare {
		s.sureAt = s.now
	}
	if s.now-s.sureAt > doubtS {
		s.stop(g)
	}
	return s.now-s.sureAt < trustS
}

// convincing tells whether a rhythm is a walk: one that was there a while ago
// at once, a new one when it has looked so for a moment.
func (s *stretch) convincing(g *gear, step, stride, share float64) bool {
	if step < startStep || share < startShare {
		s.good = 0
		return false
	}
	if s.now-s.sureAt < againS && math.Abs(math.Log(g.period()/s.period)) < agreeLog {
		return stride > againRegular
	}
	s.good++
	if stride < startRegular {
		s.good = 0
	}
	return float64(s.good) >= startS*motionRate
}

func (s *stretch) stop(g *gear) {
	s.wait = s.wait[:0]
	s.lead = -1
	g.drop()
}
