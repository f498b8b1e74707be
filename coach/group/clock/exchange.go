package clock

import "math"

const (
	// precision is how well a time stamp is taken, s: reading a clock between
	// two system calls. What the system adds comes out as delay.
	precision = 50e-6
	// phi is by how much a clock may wander from what was learnt of it, in s/s
	// (PHI of RFC 5905, section 7.2).
	phi = 15e-6
	// furthest is the latest time that is believed, s: 30 years.
	furthest = 1e9
)

// Exchange is one question to the hub and its answer.
type Exchange struct {
	T1 float64 // the member's clock when the question went, s
	T2 float64 // group time when it came, s
	T3 float64 // group time when the answer went, s
	T4 float64 // the member's clock when it came, s
	// Spread is how far the hub's own group time may be off, s.
	Spread float64
}

// Offset is what the exchange alone says of group time less the member's clock,
// s: ½[(T2−T1)+(T3−T4)] (RFC 5905, section 8). It is off by half the difference
// between the delays of the two ways.
func (e Exchange) Offset() float64 { return ((e.T2 - e.T1) + (e.T3 - e.T4)) / 2 }

// Delay is how long question and answer were under way, s: (T4−T1)−(T3−T2) (RFC
// 5905, section 8). Clocks that run at different rates can make it negative; it
// is 0 then.
func (e Exchange) Delay() float64 { return max(e.rawDelay(), 0) }

func (e Exchange) rawDelay() float64 { return (e.T4 - e.T1) - (e.T3 - e.T2) }

// Error is the most by which Offset may be off, s: λ = δ/2 + ε (RFC 5905,
// section 10), where ε has the precision of the stamps and Spread. A delay below
// 0 tells of that much error, too.
func (e Exchange) Error() float64 { return math.Abs(e.rawDelay())/2 + precision + e.Spread }

// mid is the member's time which Offset belongs to, s.
func (e Exchange) mid() float64 { return (e.T1 + e.T4) / 2 }

// possible tells whether the stamps can be those of an exchange.
func (e Exchange) possible() bool {
	for _, t := range [...]float64{e.T1, e.T2, e.T3, e.T4, e.Spread} {
		if !(math.Abs(t) <= furthest) {
			return false
		}
	}
	return e.T1 <= e.T4 && e.T2 <= e.T3 && e.Spread >= 0
}
