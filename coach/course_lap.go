package coach

import (
	"fmt"
	"math"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// line is what the lap marks are measured from.
type line struct {
	mark  *origin // the last mark that was taken
	start *origin // where the present rep began; nil once a mark was taken since
	odd   *origin // the last mark that fitted nothing
	ratio float64 // estimate over distance there; 0 when there is none
}

const (
	// fastest is quicker than anyone walks, m/s: national and international
	// walkers reached 4.6 to 5 (Pavei and La Torre).
	fastest = 6.0
	// atLine is how near, as a share of a lap and in m, the end of a part must be
	// to the line to be ended by a mark there.
	atLine, atLineMost = 0.02, 10.0
	// graceLap is how much longer, likewise, a part that ends at the line waits
	// for the mark.
	graceLap, graceMost = 0.03, 30.0
	// off is how far a lap may be from the estimate once a lap was measured, as
	// a ratio; before, leastFactor and mostFactor hold.
	off = 1.18
	// oddPrice is how much better a mark must fit one that was left out to be
	// measured from there, as a ratio.
	oddPrice = 1.03
)

// fit is what a mark would mean, measured from an origin.
type fit struct {
	from     *origin
	distance float64 // m
	ratio    float64 // estimate over distance; 0 when there is no estimate
}

// miss is how far off the estimate is, as a ratio of at least 1.
func (f fit) miss() float64 { return max(f.ratio, 1/f.ratio) }

// lapMark takes a mark at the line. It is believed where the way since the last
// one, or since the rep began, is near a whole number of laps by the estimate; so
// a missed mark makes one lap of two. What fits nothing is left out: a key pressed
// twice, or somewhere else. The next one may fit from there, for a walker who did
// not begin at the line; or it is as far off as that one, and then the step length
// was wrong and both are believed.
//
// It is told now, at session time now, and was made at t, at most a moment before.
func (c *course) lapMark(t, now float64, out *orders) {
	here := c.odo.past(t, now)
	if c.lap == 0 {
		c.plainLap(here, now, out)
		return
	}
	f, ok := c.fit(here)
	if !ok {
		return
	}
	from := *f.from
	steps := here.sum.steps - from.sum.steps
	length := c.odo.measure(from, here, f.distance)
	here = c.odo.past(t, now)
	c.line.mark, c.line.start, c.line.odd = &here, nil, nil
	lap := event.Lap{T: t + c.behind, Distance: f.distance, Time: t - from.t, Steps: int(math.Round(steps)), StepLength: length}
	out.events = append(out.events, lap)
	c.before, c.passed = spot{t, here.pos}, spot{}
	p := c.part()
	if end := c.from + p.Length; p.Length > 0 && here.pos >= end-c.atLine() {
		c.next(spot{t, here.pos}, out)
		return
	}
	c.retarget(now, fmt.Sprintf("step length %.3f m by the last lap", c.odo.length(c.odo.cadence)), out)
	c.wish(out, event.Cue{Name: event.CueLap, Reason: lapWords(lap)}, now, 5)
}

// plainLap takes a mark that tells no distance: it is timed.
func (c *course) plainLap(here origin, now float64, out *orders) {
	from := origin{}
	if c.line.mark != nil {
		from = *c.line.mark
	}
	if here.t-from.t < 5 {
		return // pressed twice
	}
	c.line.mark = &here
	lap := event.Lap{
		T: here.t + c.behind, Distance: here.pos - from.pos, Time: here.t - from.t,
		Steps: int(math.Round(here.sum.steps - from.sum.steps)),
	}
	out.events = append(out.events, lap)
	c.wish(out, event.Cue{Name: event.CueLap, Reason: lapWords(lap)}, now, 5)
}

func lapWords(l event.Lap) string {
	text := fmt.Sprintf("%.1f m in %.1f s", l.Distance, l.Time)
	if l.StepLength > 0 {
		text += fmt.Sprintf(", %d steps of %.3f m", l.Steps, l.StepLength)
	}
	return text
}

// fit finds what a mark made here means, if anything.
func (c *course) fit(here origin) (best fit, ok bool) {
	if !c.odo.known() {
		return c.fitSteps(here)
	}
	price := math.Inf(1)
	for _, o := range []*origin{c.line.start, c.line.mark, c.line.odd} {
		f, near := c.nearest(o, here)
		if !near || !c.credible(f) {
			continue
		}
		p := f.miss()
		if o == c.line.odd {
			p *= oddPrice
		}
		if p < price {
			best, ok, price = f, true, p
		}
	}
	if ok {
		return best, true
	}
	return c.fitOdd(here)
}

// nearest is the distance from an origin to here that is nearest to the estimate,
// and can have been walked in so many steps. It is not ok where there is none, as for a
// key pressed twice.
func (c *course) nearest(o *origin, here origin) (best fit, ok bool) {
	if o == nil {
		return fit{}, false
	}
	estimate := here.pos - o.pos
	for _, d := range c.distances(o, estimate) {
		f := fit{from: o, distance: d, ratio: estimate / d}
		if d > mostStep*(here.sum.steps-o.sum.steps) {
			continue // nobody has such steps
		}
		if !ok || f.miss() < best.miss() {
			best, ok = f, true
		}
	}
	return best, ok
}

// distances are what a mark can stand for, up to about twice the estimate: whole
// laps, or what is missing to the end of this part or of the one before, whole
// laps less: a rep of 1000 m either starts at the line or ends there.
func (c *course) distances(o *origin, estimate float64) []float64 {
	var out []float64
	most := 2*estimate + c.lap
	for d := c.lap; d <= most; d += c.lap {
		out = append(out, d)
	}
	if c.shared() {
		return out // parts begin and end wherever the walker is
	}
	for _, end := range []float64{c.from, c.from + c.part().Length} {
		for d := end - o.pos; d > 0.1*c.lap; d -= c.lap {
			if d <= most {
				out = append(out, d)
			}
		}
	}
	return out
}

// credible tells whether the step length can be so far off.
func (c *course) credible(f fit) bool {
	if c.odo.laps > 0 {
		return f.miss() <= off
	}
	return within(1/f.ratio, leastFactor, mostFactor)
}

// fitOdd believes a mark that is off by the same as the one before it, which was
// left out; otherwise it leaves this one out too, and keeps it.
func (c *course) fitOdd(here origin) (fit, bool) {
	if f, ok := c.nearest(c.line.odd, here); ok && within(f.ratio/c.line.ratio, 0.95, 1.05) {
		if steps := here.sum.steps - f.from.sum.steps; f.distance/steps >= leastStep {
			return f, true
		}
	}
	f, _ := c.nearest(c.last(), here)
	c.line.odd, c.line.ratio = &here, f.ratio
	return fit{}, false
}

// last is the latest place that is known for sure: there is always one.
func (c *course) last() *origin {
	if c.line.start != nil {
		return c.line.start
	}
	return c.line.mark
}

// fitSteps finds what a mark means where no step length is known: the least
// distance that makes a step a walker can take. Where most steps were missing,
// the least that can have been walked in the time.
func (c *course) fitSteps(here origin) (fit, bool) {
	o := c.last()
	steps, time := here.sum.steps-o.sum.steps, here.t-o.t
	deaf := steps < 0.8*detect.Slowest/60*time
	var best fit
	for _, d := range c.distances(o, mostStep*max(steps, 2*time)) {
		if d > fastest*time || !deaf && !within(d/steps, leastStep, mostStep) {
			continue
		}
		if best.from == nil || d < best.distance {
			best = fit{from: o, distance: d}
		}
	}
	return best, best.from != nil
}

// grace is how far beyond its end a part waits for a mark, m: only where it ends
// at the line and the walker has marked laps before.
func (c *course) grace() float64 {
	p := c.part()
	if p.Length == 0 || !p.Works() || c.lap == 0 || c.odo.laps == 0 {
		return 0
	}
	from := c.from
	if c.line.start == nil && c.line.mark != nil {
		from = c.line.mark.pos
	}
	laps := (c.from + p.Length - from) / c.lap
	if n := math.Round(laps); n < 1 || math.Abs(laps-n)*c.lap > c.atLine() {
		return 0
	}
	return min(graceLap*c.lap, graceMost)
}

// atLine is how near to the line the end of a part must be to be ended there, m.
func (c *course) atLine() float64 { return min(atLine*c.lap, atLineMost) }
