package score

import "math"

// Reading is a cadence that was reported for the time up to T.
type Reading struct {
	T        float64 // s
	Cadence  float64 // steps/min
	SD       float64 // its standard error as reported, steps/min
	From, To float64 // the first and the last step it was taken from, s; both 0: not known
}

// Mean is the true mean cadence of sorted step times over [from, to], in
// steps/min: the intervals between the steps inside, not a count. ok is false
// with fewer than three steps inside, or a gap over a second between two.
func Mean(steps []float64, from, to float64) (cadence float64, ok bool) {
	first, last, n := 0.0, 0.0, 0
	for _, t := range steps {
		if t < from || t > to {
			continue
		}
		if n == 0 {
			first = t
		} else if t-last > 1 {
			return 0, false
		}
		last = t
		n++
	}
	if n < 3 {
		return 0, false
	}
	return 60 * float64(n-1) / (last - first), true
}

// Tempo is how well reported cadences fit the true one.
type Tempo struct {
	N       int     // windows compared
	MeanAbs float64 // mean absolute error, steps/min
	Worst   float64 // greatest absolute error, steps/min
	Half    int     // readings within 8 % of half the truth
	Double  int     // readings within 8 % of twice the truth
	Close   int     // readings within 2 steps/min of the truth
}

// Windows compares the mean cadence of found steps with that of the true ones
// in consecutive windows of the given length, s. Windows in which the truth has
// a pause are left out; one without enough found steps counts as an error of
// the whole cadence.
func Windows(found, truth []float64, length float64) Tempo {
	return windows(found, truth, length, Mean)
}

func windows(found, truth []float64, length float64, cadence func(steps []float64, from, to float64) (float64, bool)) Tempo {
	var t Tempo
	if len(truth) == 0 {
		return t
	}
	for from := truth[0]; from+length <= truth[len(truth)-1]+1e-9; from += length {
		want, ok := cadence(truth, from, from+length)
		if !ok {
			continue
		}
		got, _ := cadence(found, from, from+length)
		t.add(got, want)
	}
	return t
}

// Readings compares readings with the true mean over the length seconds that
// end with each; readings whose window has a pause are left out.
func Readings(readings []Reading, truth []float64, length float64) Tempo {
	var t Tempo
	for _, r := range readings {
		if len(truth) == 0 || r.T-length < truth[0] {
			continue
		}
		if want, ok := Mean(truth, r.T-length, r.T); ok {
			t.add(r.Cadence, want)
		}
	}
	return t
}

// Band counts the readings whose 95 % band, Cadence ± 1.96·SD, holds the true
// mean over the steps they were taken from, and all readings that have a band
// and such a mean. The window is widened by slack, s, at either end, for the
// true steps that were found a little late or early.
func Band(readings []Reading, truth []float64, slack float64) (inside, all int) {
	for _, r := range readings {
		want, ok := r.truth(truth, slack)
		if !ok {
			continue
		}
		all++
		if math.Abs(r.Cadence-want) <= 1.96*r.SD {
			inside++
		}
	}
	return inside, all
}

// Slope is the cadence of sorted step times over [from, to], in steps/min: that
// of the line of least squares through the number of each step over its time,
// which is less disturbed than Mean by times that jitter. ok is as for Mean.
func Slope(steps []float64, from, to float64) (cadence float64, ok bool) {
	if _, ok := Mean(steps, from, to); !ok {
		return 0, false
	}
	var n, sum, number float64
	for _, t := range steps {
		if t >= from && t <= to {
			number += n
			sum += t
			n++
		}
	}
	middle, centre := sum/n, number/n
	var both, own, k float64
	for _, t := range steps {
		if t >= from && t <= to {
			both += (t - middle) * (k - centre)
			own += (k - centre) * (k - centre)
			k++
		}
	}
	return 60 * own / both, true
}

// Slopes compares the slopes of found steps with those of the true ones, in the
// windows of Windows.
func Slopes(found, truth []float64, length float64) Tempo {
	return windows(found, truth, length, Slope)
}

// SameSteps compares each reading with the true mean over the steps it was taken
// from, as Band does: what is left is the error of hearing.
func SameSteps(readings []Reading, truth []float64, slack float64) Tempo {
	var t Tempo
	for _, r := range readings {
		if want, ok := r.truth(truth, slack); ok {
			t.add(r.Cadence, want)
		}
	}
	return t
}

// truth is the true mean over the steps that r was taken from, steps/min.
func (r Reading) truth(truth []float64, slack float64) (cadence float64, ok bool) {
	if r.Cadence == 0 || r.To <= r.From {
		return 0, false
	}
	return Mean(truth, r.From-slack, r.To+slack)
}

// near is how close to half or twice the truth counts as such.
const near = 0.08

// closeBy is how far off a close reading may be, steps/min.
const closeBy = 2.0

func (t *Tempo) add(got, want float64) {
	e := math.Abs(got - want)
	t.MeanAbs = (t.MeanAbs*float64(t.N) + e) / float64(t.N+1)
	t.N++
	t.Worst = max(t.Worst, e)
	if e <= closeBy {
		t.Close++
	}
	switch {
	case math.Abs(got/want-0.5) < near*0.5:
		t.Half++
	case math.Abs(got/want-2) < near*2:
		t.Double++
	}
}

// Add joins the windows of another recording to t.
func (t *Tempo) Add(o Tempo) {
	if n := t.N + o.N; n > 0 {
		t.MeanAbs = (t.MeanAbs*float64(t.N) + o.MeanAbs*float64(o.N)) / float64(n)
		t.N = n
	}
	t.Worst = max(t.Worst, o.Worst)
	t.Half, t.Double, t.Close = t.Half+o.Half, t.Double+o.Double, t.Close+o.Close
}
