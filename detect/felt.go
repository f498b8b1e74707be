package detect

import "math"

const (
	feltPeaks   = 64   // bumps of the sway that are kept
	feltFrames  = 512  // frames of the sensor that are kept, 10 s
	feltFull    = 0.9  // weight of a sensor that is sure of a walk: it is never trusted wholly
	feltHalf    = 0.5  // most weight of one that is not
	feltLow     = 0.35 // regularity from which that one counts
	feltHigh    = 0.75 // and at which it has its most
	feltMissed  = 0.1  // share of steps without a bump
	feltGain    = 3.0  // by which a bump of a sensor that is sure makes a walk likelier than none
	feltUnsure  = 3.0  // most that a step is made likelier by a sensor that is not sure
	feltMissing = 1.3  // periods without a bump, after which the sensor says nothing
	feltSame    = 0.5  // of a period: a nearer bump is the same one
	tinyS       = 1.0  // s of next to nothing beside what was taken for gravity: that was wrong
)

// felt is what an accelerometer that is worn beside a microphone says of steps.
// Its rows go through the parts of a Motion; of the gear that fits the strongest
// rate the bumps are kept, and at each frame how much they count.
type felt struct {
	motion  *Motion
	scratch []Event

	bumps [feltPeaks]float64 // ring of the body's pushes, as far as they are any, s
	count int
	says  [feltFrames]feltFrame // ring
	n     int                   // frames told
	tiny  int                   // frames far below gravity
}

// feltFrame is how much the sensor counts at a frame.
type feltFrame struct {
	weight float64 // 0 to 1
	period float64 // of the bumps, s
	gain   float64 // by which a bump makes a walk likelier than none
	most   float64 // highest likelihood ratio
}

func newFelt() *felt {
	m, _ := NewMotion(MotionConfig{}) // only a configuration could be wrong
	f := &felt{motion: m, scratch: make([]Event, 0, 256)}
	m.Lose(nil, 0)   // times are those of the session
	m.grid.t = -1e-9 // and a row at 0 is one
	m.each = f.next
	return f
}

// feed takes a row. Errors are those of Motion.Feed.
func (f *felt) feed(t, x, y, z float64) (err error) {
	f.scratch, err = f.motion.Feed(f.scratch[:0], t, x, y, z)
	return err
}

// lose tells that no row from before time t is to come.
func (f *felt) lose(t float64) { f.scratch = f.motion.Lose(f.scratch[:0], t) }

// frameTime is the middle of what the gears tell about with frame n, s.
func (f *felt) frameTime(n int) float64 {
	return (float64(n-f.motion.sway.delay-peakReach) + 0.5) / motionRate
}

// known is the time up to which all has been told, s.
func (f *felt) known() float64 { return f.frameTime(f.n - 1) }

// next takes in what the motion made of a frame.
func (f *felt) next(v float64) {
	m := f.motion
	f.mendGravity(v)
	t := f.frameTime(f.n)
	s := feltFrame{gain: 1, most: feltUnsure}
	if rate, share := m.pulse.strongest(); m.away <= awayS*motionRate {
		g := f.gear(rate)
		k := g.track
		at := (k.filter.t - 1) % len(k.peaks)
		if p := k.peaks[at]; p.z > 0 {
			// Taking out the drift brings a bump forward by its phase.
			lead := math.Atan(g.driftHz/rate) / (2 * math.Pi * rate)
			f.keep(t+p.offset/motionRate+lead, feltSame/rate)
		}
		if !m.sway.blind() && f.count > 0 && t-f.last() < feltMissing/rate {
			sure := m.walk.walking() && m.gears[m.walk.lead] == g
			if s.weight = f.weight(rate, share); sure {
				s.weight, s.gain, s.most = feltFull, feltGain, math.Inf(1)
			}
			s.period = 1 / rate
		}
	}
	f.says[f.n%feltFrames] = s
	f.n++
}

// at is what counts at time t, s: nothing where that is not known.
func (f *felt) at(t float64) feltFrame {
	n := int(math.Floor((t-f.frameTime(0))*motionRate + 0.5))
	if n < 0 || n >= f.n || n < f.n-feltFrames {
		return feltFrame{}
	}
	return f.says[n%feltFrames]
}

func (f *felt) last() float64 { return f.bumps[(f.count-1)%feltPeaks] }

// keep takes in a bump, unless it is the last one as another gear has it.
func (f *felt) keep(t, apart float64) {
	if f.count > 0 && t < f.last()+apart {
		return
	}
	f.bumps[f.count%feltPeaks] = t
	f.count++
}

// gear is the one in the middle of whose range a rate lies best.
func (f *felt) gear(rate float64) *gear {
	i := 0
	for i+1 < len(gearRanges) && rate*60 > math.Sqrt(gearRanges[i][1]*gearRanges[i+1][0]) {
		i++
	}
	return f.motion.gears[i]
}

// weight is what a sensor counts that is not sure of a walk, by how regular
// steps and strides of the strongest rate are and how strong it is.
func (f *felt) weight(rate, share float64) float64 {
	e := &f.motion.pulse.echo
	regular := math.Max(e.regularity(motionRate/rate), e.regularity(2*motionRate/rate))
	x := (regular - feltLow) / (feltHigh - feltLow)
	return feltHalf * math.Max(0, math.Min(1, x)) * math.Min(1, share/startShare)
}

// mendGravity starts gravity anew where a faulty row was taken for it.
func (f *felt) mendGravity(v float64) {
	s := f.motion.sway
	if f.tiny++; v*mostG > s.gravity {
		f.tiny = 0
	}
	if f.tiny > tinyS*motionRate {
		s.gravity, s.seen, f.tiny = 0, 0, 0
	}
}
