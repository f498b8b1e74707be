package detect

import "fmt"

// Obstacle is something about the sound that keeps steps from being heard and
// that the walker can mend.
type Obstacle uint8

// Muted: every sample is the same. TooQuiet: hardly anything but the noise of
// the converter. Clipped: the peaks are cut off at full scale. Windy: rumble
// that flutters, much stronger than what is above it.
const (
	NoObstacle Obstacle = iota
	Muted
	TooQuiet
	Clipped
	Windy
)

// String returns the obstacle in words.
func (o Obstacle) String() string {
	switch o {
	case Muted:
		return "muted"
	case TooQuiet:
		return "too quiet"
	case Clipped:
		return "clipped"
	case Windy:
		return "wind"
	}
	return "none"
}

// The bounds are chosen on made walks and noises (package detect/made): wind
// flutters by 3.2 to 4 dB from frame to frame and is 5 to 18 dB stronger than
// what is above 1 kHz where it drowns steps; traffic, as strong, flutters by 1.2
// to 1.4 dB.
const (
	mutedS    = 1.5   // s of equal samples
	lastsS    = 4.0   // s of an obstacle, and without heard steps, until it is one
	firstS    = 8.0   // s without heard steps where none ever were: a walk in noise takes some to be found
	clearS    = 2.0   // s without it, or with heard steps, until it is gone
	mostQuiet = -76.0 // dB re full scale, above 150 Hz, at the loudest: 5 steps of 16 bits
	quieter   = 10.0  // dB, than the quietest moments of a walk that was heard
	leastCut  = -20.0 // dB: a hundredth of the samples
	moreCut   = 3.0   // dB, than a walk was heard with
	windOver  = 3.0   // dB, over what is above 1 kHz
	windShake = 2.2   // dB
	windLeast = -25.0 // dB re full scale, in gusts: they come close to the most a microphone takes
	windHeard = -40.0 // the same where a walk was heard in less wind
	moreWind  = 6.0   // dB, than that
	slack     = 2.0   // dB by which an obstacle that is there may weaken
)

// Obstacles tells why steps are not heard, where the sound shows it. Make it with
// NewObstacles, feed it what the detector is fed, and show it the detector's
// rhythms. It allocates nothing.
//
// As long as steps are heard there is no obstacle, however poor the sound. What a
// walk was heard in is none later on either, when the walker may only stand.
type Obstacles struct {
	level    soundLevel
	now      Obstacle
	seen     [Windy + 1]float64 // s for which each seems to be there
	clear    float64            // s since the present one was
	heard    bool               // steps are, by the last rhythm
	deaf     float64            // s without heard steps, less those with
	quietest float64            // level of a frame since the last rhythm, dB
	walk     heardIn
}

// heardIn is what a walk was heard in, all in dB. It follows slowly: what drowns
// the steps is there for some seconds before the detector gives up.
type heardIn struct {
	any              bool
	quiet, wind, cut float64
}

const (
	heardAtLeast = 0.3  // share of steps heard with which the coach goes by a walk
	heardWell    = 0.8  // and from which it is learned what a walk is heard in
	learnStep    = 0.5  // dB a rhythm
	forgetStep   = 0.02 // dB a rhythm
)

// NewObstacles is for sound of a rate in Hz, from 2000 to 400 000.
func NewObstacles(rate float64) (*Obstacles, error) {
	if !(rate >= 2000 && rate <= 400000) {
		return nil, fmt.Errorf("sample rate %g Hz: steps can be heard from 2000 to 400000 Hz", rate)
	}
	return &Obstacles{level: newSoundLevel(rate)}, nil
}

// Now returns the obstacle that is there.
func (o *Obstacles) Now() Obstacle { return o.now }

// Feed takes the next samples, full scale ±1.
func (o *Obstacles) Feed(samples []float32) {
	for len(samples) > 0 {
		n, full := o.level.feed(samples)
		samples = samples[n:]
		if full {
			o.frame()
		}
	}
}

// See takes a rhythm of the detector that was fed the same.
func (o *Obstacles) See(r Rhythm) {
	o.heard = r.State == Walking && r.Heard >= heardAtLeast
	if o.heard && r.Heard >= heardWell {
		o.walk.learn(o.quietest, o.level.gust, decibels(o.level.share))
	}
	o.quietest = 0
}

func (h *heardIn) learn(quiet, wind, cut float64) {
	if !h.any {
		*h = heardIn{true, quiet, wind, cut}
		return
	}
	follow := func(at *float64, to, up, down float64) { *at += min(up, max(-down, to-*at)) }
	follow(&h.quiet, quiet, forgetStep, learnStep)
	follow(&h.wind, wind, learnStep, forgetStep)
	follow(&h.cut, cut, learnStep, forgetStep)
}

// frame looks at the means after a frame.
func (o *Obstacles) frame() {
	if o.heard {
		o.deaf = max(o.deaf-obstacleFrameS, 0)
	} else {
		o.deaf = min(o.deaf+obstacleFrameS, firstS)
	}
	o.quietest = min(o.quietest, o.level.frames[bandMiddle])
	for k := Muted; k <= Windy; k++ {
		if o.seems(k) {
			o.seen[k] = min(o.seen[k]+obstacleFrameS, lastsS)
		} else {
			o.seen[k] = max(o.seen[k]-obstacleFrameS, 0)
		}
	}
	if o.seems(o.now) && (o.now == Muted || !o.heard) {
		o.clear = 0
	} else if o.clear += obstacleFrameS; o.clear >= clearS {
		o.now = NoObstacle
	}
	if next := o.first(); next != NoObstacle && (o.now == NoObstacle || next == Muted) {
		o.now, o.clear = next, 0
	}
}

// first is the obstacle that matters most, of those that are there for sure.
func (o *Obstacles) first() Obstacle {
	if o.seems(Muted) {
		return Muted
	}
	least := firstS
	if o.walk.any {
		least = lastsS
	}
	for _, k := range [...]Obstacle{Windy, Clipped, TooQuiet} { // wind may clip
		if o.seen[k] >= lastsS && o.deaf >= least {
			return k
		}
	}
	return NoObstacle
}

// seems tells whether the means are those of an obstacle.
func (o *Obstacles) seems(k Obstacle) bool {
	l, easier := &o.level, 0.0
	if k == o.now {
		easier = slack
	}
	switch k {
	case Muted:
		return l.equal >= mutedS*l.rate
	case TooQuiet:
		most := mostQuiet
		if o.walk.any {
			most = min(most, o.walk.quiet-quieter)
		}
		return max(l.loud[0], l.loud[1]) < most+easier
	case Clipped:
		least := leastCut
		if o.walk.any {
			least = max(least, o.walk.cut+moreCut)
		}
		return decibels(l.share) > least-easier
	case Windy:
		least := windLeast
		if o.walk.any {
			least = max(windHeard, o.walk.wind+moreWind)
		}
		return l.gust > least-easier && l.mean[bandLow]-l.mean[bandHigh] > windOver-easier && l.flutter > windShake-easier/4
	}
	return false
}
