package made

import "math"

// gesture is one movement of the hand, there and back.
type gesture struct {
	from, length float64    // s
	push         [3]float64 // m/s², along the sensor's axes
}

// usualRepeats makes hands more regular than recorded ones: of nine minutes of
// dressing, lacing shoes, dishes and desk work at the wrist (rieck/
// stepcounter-devel) 0.4 % had a regular stride, of these 1 to 3 %.
const usualRepeats = 1.0 / 12

// gestures are what hands do while their owner stands or sits: reaching,
// wiping, stirring, lacing shoes. The share repeats of them goes to and fro three
// to eight times, at 0.7 to 3 a second and not quite evenly; between them are
// pauses that leave the hand moving for about the given share of the time.
func gestures(seed uint64, duration, share, repeats float64) []gesture {
	if share <= 0 {
		return nil
	}
	rng := stream(seed, 6)
	var all []gesture
	for t := rng.Float64(); t < duration; {
		g, times := gesture{length: 0.33 + 1.1*rng.Float64()}, 1
		if rng.Float64() < repeats {
			times = 3 + rng.IntN(6)
		}
		size := 2 + 5*rng.Float64()
		for i := range g.push {
			g.push[i] = size * rng.NormFloat64() / math.Sqrt(3)
		}
		for range times {
			one := g // no two are alike, in length or in strength
			harder := max(0.3, 1+0.3*rng.NormFloat64())
			for i := range one.push {
				one.push[i] *= harder
			}
			one.from, one.length = t, g.length*max(0.5, 1+0.15*rng.NormFloat64())
			all = append(all, one)
			t += one.length
		}
		t += rng.ExpFloat64() * g.length * float64(times) * (1 - share) / share
	}
	return all
}

// at is the acceleration of the gesture at t, m/s²: a push there, a push back.
func (g gesture) at(t float64) [3]float64 {
	u := (t - g.from) / g.length
	if u < 0 || u >= 1 {
		return [3]float64{}
	}
	by := math.Sin(2*math.Pi*u) * math.Sin(math.Pi*u)
	return [3]float64{by * g.push[0], by * g.push[1], by * g.push[2]}
}
