package made

// Curve is a quantity over time: a cadence in steps/min, a level in dB.
type Curve func(t float64) float64

// Steady is the same at all times.
func Steady(v float64) Curve { return func(float64) float64 { return v } }

// Point is a value at a time.
type Point struct{ T, V float64 }

// Points runs in straight lines from point to point, and level before the
// first and after the last. Two points at one time make a jump.
func Points(p ...Point) Curve {
	return func(t float64) float64 {
		i := 0
		for i < len(p) && p[i].T <= t {
			i++
		}
		switch i {
		case 0:
			return p[0].V
		case len(p):
			return p[len(p)-1].V
		}
		a, b := p[i-1], p[i]
		return a.V + (b.V-a.V)*(t-a.T)/(b.T-a.T)
	}
}

// Ramp goes in a straight line from one value at t0 to another at t1.
func Ramp(from, to, t0, t1 float64) Curve {
	return Points(Point{t0, from}, Point{t1, to})
}

// Jumps starts with first and takes the value of each point from its time on.
func Jumps(first float64, p ...Point) Curve {
	return func(t float64) float64 {
		v := first
		for _, q := range p {
			if t >= q.T {
				v = q.V
			}
		}
		return v
	}
}
