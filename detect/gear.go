package detect

import "math"

// gearRanges are the cadences of the gears, steps/min. Each is less than an
// octave, so that none can take a stride or half a step for a step, and they
// overlap, so that a change of cadence finds the next one ready.
var gearRanges = [...][2]float64{{68, 114}, {99, 171}, {148, 246}}

const (
	gearWindow  = 0.78 // length of the smoothing window, middle periods: half a step is smoothed away
	gearDrift   = 0.5  // what is slower than this share of the middle rate is taken out
	usualRiseS  = 1.0  // memory of the usual sway while it grows
	usualFallS  = 5.0  // and while it fades: after a walk, handling the sensor is no walk
	gearScale   = 3.0  // evidence of a usual sway
	gearKept    = 64   // steps
	gearHeights = 512  // frames
)

// gear follows a rhythm of one range of cadences. Its evidence is the sway,
// smoothed so far that a step of that range is one bump whatever the heel, the
// forefoot and the sensor's holder do within it.
type gear struct {
	window      []float64
	driftHz     float64
	keep, drift float64
	usual, seen float64
	heights     [gearHeights]float64 // ring
	n           int
	passed      int // frames of long holes, which the tracker does not know of
	track       *tracker
	kept        []candidate // steps not yet taken
}

// candidate is a step that a gear has found.
type candidate struct {
	placed
	t      float64 // s
	height float64 // of the body's swing at the rate of the steps, share of gravity
	period float64 // of the steps around it, s
}

func newGear(slowest, fastest float64) *gear {
	middle := math.Sqrt(slowest*fastest) / 60
	return &gear{
		window:  hann(math.Min(gearWindow/middle, longestS)),
		driftHz: gearDrift * middle,
		keep:    math.Exp(-2 * math.Pi * gearDrift * middle / motionRate),
		// So far smoothed there are few bumps but steps, of about usual height;
		// they lie up to 40 ms off where the foot's rhythm has them.
		track: newTracker(tuning{frameRate: motionRate, others: 0.5, jitter: 2, height: -1, spread: 1, slowest: slowest, fastest: fastest}),
		kept:  make([]candidate, 0, gearKept),
	}
}

// next takes the frame that just went into s.
func (g *gear) next(s *sway) {
	x := s.smooth(g.window, s.delay)
	g.drift = g.keep*g.drift + (1-g.keep)*x
	d := x - g.drift
	g.heights[g.n%gearHeights] = d
	g.n++
	e := gearScale * d / g.norm(d)
	blind := s.blind()
	if blind || e < 0 {
		e = 0
	}
	for _, p := range g.track.next(e, !blind) {
		if len(g.kept) == gearKept {
			g.kept = g.kept[:copy(g.kept, g.kept[1:])]
		}
		g.kept = append(g.kept, g.candidate(p, s.delay))
	}
	if !g.track.locked {
		g.kept = g.kept[:0]
	}
}

// norm takes in d and returns the usual sway, share of gravity.
func (g *gear) norm(d float64) float64 {
	root := math.Sqrt(math.Abs(d)) // the mean of the roots gives a gesture less weight
	memory := usualFallS * motionRate
	if root > g.usual {
		memory = usualRiseS * motionRate
	}
	g.seen++
	g.usual += (root - g.usual) / math.Min(memory, g.seen)
	return math.Max(1.35*g.usual*g.usual, leastSway)
}

func (g *gear) candidate(p placed, delay int) candidate {
	c := candidate{placed: p, period: g.period()}
	at := p.frame - peakReach // the picker answers that much later
	f := 1 / c.period
	c.height = g.heights[max(0, at)%gearHeights] / g.gain(f)
	// Taking out the drift brings a bump forward by its phase.
	lead := math.Atan(g.driftHz/f) / (2 * math.Pi * f)
	c.t = (float64(at+g.passed-delay)+0.5+p.offset)/motionRate + lead
	return c
}

// gain is what smoothing and taking out the drift leave of a wave of f Hz.
func (g *gear) gain(f float64) float64 {
	var sum float64
	for i, w := range g.window {
		sum += w * math.Cos(2*math.Pi*f/motionRate*float64(i-len(g.window)/2))
	}
	return sum / math.Hypot(1, g.driftHz/f)
}

// take returns the steps found since the last call, valid until the next frame.
func (g *gear) take() []candidate {
	k := g.kept
	g.kept = g.kept[:0]
	return k
}

// drop forgets the rhythm that was followed.
func (g *gear) drop() {
	g.track.locked = false
	g.kept = g.kept[:0]
}

// period is the time of a step, s.
func (g *gear) period() float64 { return g.track.period / motionRate }
