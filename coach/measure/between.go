package measure

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"steadfoot/detect"
)

// Between is the pass from a mark at one time to a mark at another (s), over a
// known distance, by the steps that were found. The part of a step at either end
// is counted as such: by where the mark lies between two steps. markSD is how
// well the marks hit the moment, in s (a person's key press: about 0.1 to 0.2 s,
// common practice, no source).
func Between(steps []detect.Step, from, to, distance, distanceSD, markSD float64) (Pass, error) {
	if !(to > from) {
		return Pass{}, errors.New("the second mark is not after the first")
	}
	from = setOff(steps, from)
	first, err := phase(steps, from)
	if err != nil {
		return Pass{}, fmt.Errorf("at the first mark: %w", err)
	}
	last, err := phase(steps, to)
	if err != nil {
		return Pass{}, fmt.Errorf("at the second mark: %w", err)
	}
	missing, bridged := holes(steps, from, to)
	if missing > 0 {
		return Pass{}, fmt.Errorf("the walk was not heard or stopped for %.1f s between the marks; measure over a stretch that was walked through", missing)
	}
	p := Pass{Distance: distance, DistanceSD: distanceSD, Steps: last - first, Time: to - from, TimeSD: math.Sqrt2 * markSD}
	// A bridged step is one that the rhythm says was there. It is as good as
	// heard when few are; a long run of them may hide one more or one less.
	atMarks := math.Sqrt2 * markSD * p.Steps / p.Time
	p.StepsSD = math.Hypot(atMarks, 0.1*math.Sqrt(float64(bridged)))
	return p, p.Check()
}

// setOffWithin is how long after a mark a walker who stood at it may set off, s.
const setOffWithin = 3.0

// setOff is when the walking from a mark began: at the mark, for a walker who
// passed it. One who stood there and set off on a signal began with the first
// step, one step's time before its contact; how long it took to set off is no
// part of how they walk.
func setOff(steps []detect.Step, from float64) float64 {
	i := sort.Search(len(steps), func(i int) bool { return steps[i].T > from })
	usual := usualInterval(steps)
	if i == len(steps) || steps[i].T-from > setOffWithin || i > 0 && steps[i].T-steps[i-1].T <= hole*usual {
		return from
	}
	return max(from, steps[i].T-usual)
}

// hole is how many usual steps apart two steps are that are no neighbours.
const hole = 1.75

// phase is the number of steps up to time t, with the part of the next one.
func phase(steps []detect.Step, t float64) (float64, error) {
	i := sort.Search(len(steps), func(i int) bool { return steps[i].T > t })
	usual := usualInterval(steps)
	switch {
	case i > 0 && i < len(steps) && steps[i].T-steps[i-1].T > hole*usual && steps[i].T-t <= usual*1.001: // setting off
		return float64(i) - (steps[i].T-t)/usual, nil
	case i > 0 && i < len(steps):
		return float64(i-1) + (t-steps[i-1].T)/(steps[i].T-steps[i-1].T), nil
	case len(steps) < 2:
		return 0, errors.New("no steps were found")
	case i == 0: // up to one step before the first one
		if f := (t - steps[0].T) / (steps[1].T - steps[0].T); f >= -1.5 {
			return f, nil
		}
	default:
		n := len(steps)
		if f := (t - steps[n-1].T) / (steps[n-1].T - steps[n-2].T); f <= 1.5 {
			return float64(n-1) + f, nil
		}
	}
	return 0, fmt.Errorf("nobody walks at %.1f s", t)
}

// holes returns how long nothing was found between from and to, in s, and how
// many steps there were bridged.
func holes(steps []detect.Step, from, to float64) (missing float64, bridged int) {
	usual := usualInterval(steps)
	for i, s := range steps {
		if s.T < from || s.T > to {
			continue
		}
		if !s.Heard {
			bridged++
		}
		if i > 0 && s.T-steps[i-1].T > hole*usual && s.T-from > usual*1.001 {
			missing += s.T - max(from, steps[i-1].T)
		}
	}
	return missing, bridged
}

// usualInterval is the median time between neighbours, s.
func usualInterval(steps []detect.Step) float64 {
	var d []float64
	for i := 1; i < len(steps); i++ {
		d = append(d, steps[i].T-steps[i-1].T)
	}
	return median(d)
}

// median sorts list and returns its middle, 0 for an empty one.
func median(list []float64) float64 {
	if len(list) == 0 {
		return 0
	}
	sort.Float64s(list)
	n := len(list)
	return (list[(n-1)/2] + list[n/2]) / 2
}
