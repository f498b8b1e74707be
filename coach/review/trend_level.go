package review

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Level is a mean with its standard error over N walks; N is 0 where there is
// none. The error is NaN where too few walks tell how much they scatter.
type Level struct {
	Value, SE float64
	N         int
}

// Drift is the straight line through the values of walks over time.
type Drift struct {
	Known     bool    // there are walks enough, on different days
	Slope     float64 // per day
	Low, High float64 // its 95 % interval, by Student's t with n − 2 degrees of freedom
	Scatter   float64 // SD of walks around the line
	N         int
	at, mean  float64 // day and value of its middle
}

// At is the line on a day.
func (d Drift) At(day float64) float64 { return d.mean + d.Slope*(day-d.at) }

// Shown tells whether the interval of the slope leaves out 0.
func (d Drift) Shown() bool { return d.Known && (d.Low > 0 || d.High < 0) }

// leastWalks is the fewest walks whose scatter is told.
const leastWalks = 5

// value is what one walk has to say of a measure.
type value struct {
	day float64 // since 1970
	y   float64
	off float64 // how far its laps were from the reference, in the unit of that
}

// drift fits the line by least squares, every walk counted alike.
func drift(values []value) Drift {
	d := Drift{N: len(values)}
	if d.N < leastWalks {
		return d
	}
	for _, v := range values {
		d.at += v.day / float64(d.N)
		d.mean += v.y / float64(d.N)
	}
	var sxx, sxy, syy float64
	for _, v := range values {
		x, y := v.day-d.at, v.y-d.mean
		sxx, sxy, syy = sxx+x*x, sxy+x*y, syy+y*y
	}
	if sxx < 1 { // all on one day
		return d
	}
	free := float64(d.N - 2)
	d.Slope = sxy / sxx
	d.Scatter = math.Sqrt(max(0, syy-d.Slope*sxy) / free)
	half := distuv.StudentsT{Sigma: 1, Nu: free}.Quantile(0.975) * d.Scatter / math.Sqrt(sxx)
	d.Low, d.High, d.Known = d.Slope-half, d.Slope+half, true
	return d
}

// level is the mean of the walks of a period. Its error comes from how walks
// scatter around the line over time, and from the slope that brought their laps to
// the reference, of which slopeSE is the standard error.
func level(values []value, d Drift, slopeSE float64) Level {
	l := Level{N: len(values), SE: math.NaN()}
	if l.N == 0 {
		return l
	}
	off := 0.0
	for _, v := range values {
		l.Value += v.y / float64(l.N)
		off += v.off / float64(l.N)
	}
	if d.Known {
		l.SE = math.Hypot(d.Scatter/math.Sqrt(float64(l.N)), off*slopeSE)
	}
	return l
}

// pair is one lap: what it is brought to a reference by, and what is measured.
type pair struct{ x, y float64 }

// Limits of bringing laps to a reference.
const (
	nearRef   = 0.08 // laps further from the reference than this share are left out
	leastFree = 4    // degrees of freedom for the slope within walks
)

// atReference gives for every walk the mean of y over its laps at x = ref. What x
// does to y is taken from laps of the same walk only, all walks together (the slope
// of an analysis of covariance with the walk as its factor): what a walker changes
// from month to month is not taken for what cadence does to a step. Without laps
// enough the slope is 0 and known is false: the laps then stand as they are.
func atReference(walks [][]pair, ref float64) (means []value, has []bool, slopeSE float64, known bool) {
	var sxx, sxy, syy float64
	free := -1
	mid := make([]pair, len(walks))
	has = make([]bool, len(walks))
	for i, laps := range walks {
		var near []pair
		for _, p := range laps {
			if math.Abs(p.x/ref-1) <= nearRef {
				near = append(near, p)
			}
		}
		if len(near) == 0 {
			continue
		}
		has[i] = true
		for _, p := range near {
			mid[i].x += p.x / float64(len(near))
			mid[i].y += p.y / float64(len(near))
		}
		for _, p := range near {
			x, y := p.x-mid[i].x, p.y-mid[i].y
			sxx, sxy, syy = sxx+x*x, sxy+x*y, syy+y*y
		}
		free += len(near) - 1
	}
	slope := 0.0
	if known = free >= leastFree && sxx > 0; known {
		slope = sxy / sxx
		slopeSE = math.Sqrt(max(0, syy-slope*sxy) / float64(free) / sxx)
	}
	means = make([]value, len(walks))
	for i, m := range mid {
		means[i] = value{y: m.y - slope*(m.x-ref), off: m.x - ref}
	}
	return means, has, slopeSE, known
}
