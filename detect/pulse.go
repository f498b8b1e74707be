package detect

import "math"

const (
	slowestHz = 1.0 // rates that are looked for: strides of a slow walk
	fastestHz = 4.4 // to steps of a run
	rateStep  = 0.04
	pulseS    = 0.8 // of both memories in a row, so that the last 1.6 s count
	driftHz   = 0.7 // slower turns of the hand are taken out
	gestureS  = 2.0 // memory of the usual sway
	gesture   = 3.0 // usual sways; more is a gesture, and is cut off
)

// pulse measures which rates are in the recent sway, and whether they last.
// Of a walk the step's rate is stronger than the stride's and the double one,
// at every place on the body that was tried, so it tells half and double tempo
// apart from the tempo itself.
type pulse struct {
	rate         []float64    // Hz
	turn, spin   []complex128 // of a frame, and so far
	first, last  []complex128 // memories
	power, total float64      // the same of the power
	keep         float64
	n            int

	drift, usual float64
	echo         echo
}

func newPulse() *pulse {
	p := &pulse{keep: math.Exp(-1 / (pulseS * motionRate)), echo: newEcho()}
	for f := slowestHz; f < fastestHz; f *= math.Exp(rateStep) {
		p.rate = append(p.rate, f)
		sin, cos := math.Sincos(-2 * math.Pi * f / motionRate)
		p.turn = append(p.turn, complex(cos, sin))
		p.spin = append(p.spin, 1)
	}
	p.first = make([]complex128, len(p.rate))
	p.last = make([]complex128, len(p.rate))
	return p
}

// next takes the sway of a frame, share of gravity.
func (p *pulse) next(x float64) {
	p.drift += (x - p.drift) * 2 * math.Pi * driftHz / motionRate
	x -= p.drift
	// The mean of the roots gives a gesture less weight than the mean.
	p.usual += (math.Sqrt(math.Abs(x)) - p.usual) / (gestureS * motionRate)
	most := math.Max(gesture*p.usual*p.usual, leastSway)
	x = math.Max(-most, math.Min(most, x))
	p.echo.next(x)

	keep, in := complex(p.keep, 0), complex((1-p.keep)*x, 0)
	for i := range p.rate {
		p.spin[i] *= p.turn[i]
		p.first[i] = keep*p.first[i] + in*p.spin[i]
		p.last[i] = keep*p.last[i] + (1-keep)*p.first[i]
	}
	p.power = p.keep*p.power + (1-p.keep)*x*x
	p.total = p.keep*p.total + (1-p.keep)*p.power
	if p.n++; p.n%1024 == 0 { // rounding must not let the turns grow or fade
		for i, z := range p.spin {
			p.spin[i] = z / complex(math.Hypot(real(z), imag(z)), 0)
		}
	}
}

// strongest is the rate with the most power, Hz, and its share of all of it,
// about 0 to 1.
func (p *pulse) strongest() (rate, share float64) {
	at, most := 0, 0.0
	for i := range p.last {
		if e := p.strength(i); e > most {
			at, most = i, e
		}
	}
	rate = p.rate[at]
	if at > 0 && at+1 < len(p.rate) && most > 0 {
		// Between the rates that are looked at, by a parabola.
		a, b := p.strength(at-1), p.strength(at+1)
		if d := a - 2*most + b; d < 0 {
			rate *= math.Exp(rateStep * 0.5 * (a - b) / d)
		}
	}
	return rate, 2 * most / (p.total + 1e-9)
}

func (p *pulse) strength(i int) float64 {
	re, im := real(p.last[i]), imag(p.last[i])
	return re*re + im*im
}
