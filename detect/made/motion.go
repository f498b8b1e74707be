package made

import (
	"math"
	"math/rand/v2"
)

// Place is where a sensor is worn.
type Place uint8

// Waist is a belt at the back, where both feet count alike. In a front Pocket
// the own leg's strike is stronger and the swing adds a stride-long wave. At
// the Wrist the arm's swing outweighs the strikes. Armband lies between.
const (
	Waist Place = iota
	Pocket
	Wrist
	Armband
)

// MotionSpec says how a walk feels to an accelerometer. The zero value of every
// field is sensible.
type MotionSpec struct {
	Seed     uint64  //
	Rate     float64 // rows a second; 0 is 100
	Duration float64 // s; 0 is 30
	Gait             // without a Cadence nobody walks
	Place    Place   //

	TimeJitter float64      // SD of the time stamps about the even grid, s
	Dropped    float64      // share of rows missing at random, 0 to 1
	Holes      [][2]float64 // stretches without rows, from and to, s
	Noise      float64      // SD on each axis, m/s²; 0 is 0.15
	Turning    float64      // how far the sensor turns in its holder over the walk, rad
	Gestures   float64      // share of the time in which the hand moves for other reasons, 0 to 0.9
	Repeats    float64      // share of these movements that go to and fro many times; 0 is 1 in 12
}

// Row is one reading of an accelerometer, gravity included.
type Row struct {
	T       float64 // s
	X, Y, Z float64 // m/s²
}

// Motion is what a MotionSpec makes.
type Motion struct {
	Rows  []Row   // in order of time
	Steps []Truth // every step
}

const gravity = 9.81 // m/s²

// worn says how strongly a step is felt at a place, all in m/s².
type worn struct {
	bounce float64 // up and down, once a step
	strike float64 // the shock of the contact
	other  float64 // share of the shock that arrives from the other leg
	swing  float64 // fore and aft, once a stride
	sway   float64 // sideways, once a stride
}

func (p Place) worn() worn {
	switch p {
	case Pocket:
		return worn{bounce: 2.5, strike: 6, other: 0.5, swing: 2.5, sway: 0.8}
	case Wrist:
		return worn{bounce: 1.5, strike: 1.5, other: 0.8, swing: 4, sway: 1.5}
	case Armband:
		return worn{bounce: 2.5, strike: 3, other: 0.8, swing: 2, sway: 0.8}
	}
	return worn{bounce: 3, strike: 3, other: 1, swing: 0.6, sway: 0.8}
}

// Motion makes the signal.
func (m MotionSpec) Motion() Motion {
	m = m.withDefaults()
	steps := m.Gait.Steps(m.Seed, m.Duration)
	rng := stream(m.Seed, 5)
	hold := randomTurn(rng)
	out := Motion{Steps: steps}
	hands := gestures(m.Seed, m.Duration, m.Gestures, m.Repeats)
	last, at := math.Inf(-1), 0
	for i := range int(m.Duration * m.Rate) {
		t := float64(i) / m.Rate
		stamp := max(t+m.TimeJitter*rng.NormFloat64(), last+1e-4, 0)
		noise := [3]float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
		dropped := rng.Float64() < m.Dropped
		for at < len(steps) && steps[at].T <= stamp {
			at++
		}
		if dropped || m.inHole(stamp) {
			continue
		}
		a := turn(hold, m.Turning*t/m.Duration, m.felt(steps, at-1, stamp))
		for len(hands) > 0 && hands[0].from+hands[0].length < stamp {
			hands = hands[1:]
		}
		if len(hands) > 0 {
			push := hands[0].at(stamp)
			a[0], a[1], a[2] = a[0]+push[0], a[1]+push[1], a[2]+push[2]
		}
		out.Rows = append(out.Rows, Row{stamp, a[0] + m.Noise*noise[0], a[1] + m.Noise*noise[1], a[2] + m.Noise*noise[2]})
		last = stamp
	}
	return out
}

func (m MotionSpec) withDefaults() MotionSpec {
	if m.Rate == 0 {
		m.Rate = 100
	}
	if m.Duration == 0 {
		m.Duration = 30
	}
	if m.Noise == 0 {
		m.Noise = 0.15
	}
	if m.Repeats == 0 {
		m.Repeats = usualRepeats
	}
	return m
}

func (m MotionSpec) inHole(t float64) bool {
	for _, h := range m.Holes {
		if t >= h[0] && t < h[1] {
			return true
		}
	}
	return false
}

// felt is the acceleration at t in the body's axes (forward, left, up), when
// the last contact was step i.
func (m MotionSpec) felt(steps []Truth, i int, t float64) [3]float64 {
	if i < 0 {
		return [3]float64{0, 0, gravity}
	}
	w := m.Place.worn()
	strike, stride := w.strike, 0.0
	if steps[i].Side == Left {
		strike, stride = strike*w.other, 1
	}
	if steps[i].Silent {
		strike *= 0.1
	}
	since := t - steps[i].T
	shock := strike * math.Exp(-since/0.035) * math.Cos(2*math.Pi*14*since)
	if i+1 == len(steps) || steps[i+1].T-steps[i].T > 1.2 {
		return [3]float64{-0.4 * shock, 0, gravity + shock} // the last step before standing
	}
	whole := steps[i+1].T - steps[i].T
	u := since / whole
	size := min(0.36/whole, 1.5) // quick steps are felt harder
	up := w.bounce*math.Cos(2*math.Pi*(u-0.2)) + 0.35*w.bounce*math.Cos(4*math.Pi*(u-0.1)) + shock
	forward := w.swing*math.Cos(math.Pi*(stride+u)) + 0.3*w.bounce*math.Sin(2*math.Pi*u) - 0.4*shock
	left := w.sway * math.Sin(math.Pi*(stride+u))
	return [3]float64{size * forward, size * left, gravity + size*up}
}

// randomTurn is how the sensor happens to lie in its holder.
func randomTurn(rng *rand.Rand) [3]float64 {
	return [3]float64{2 * math.Pi * rng.Float64(), math.Pi * (rng.Float64() - 0.5), 2 * math.Pi * rng.Float64()}
}

// turn goes from the body's axes to the sensor's: by the three angles of hold
// about up, left and forward, the last turned further by more.
func turn(hold [3]float64, more float64, a [3]float64) [3]float64 {
	a[0], a[1] = rotate(a[0], a[1], hold[0])
	a[0], a[2] = rotate(a[0], a[2], hold[1])
	a[1], a[2] = rotate(a[1], a[2], hold[2]+more)
	return a
}

func rotate(x, y, by float64) (float64, float64) {
	sin, cos := math.Sincos(by)
	return cos*x - sin*y, sin*x + cos*y
}
