package detect

import "math"

const veilOver = 2.0 // how much more may be left of the leak than expected

// veil holds a band's level where it was while what is left of the leak may
// explain a rise.
type veil struct {
	bins   [][2]int // of each band: first and after last bin of the leak's spectrum
	weight [windowHops]float64
	left   [windowHops][]float64 // of the hops of a window, by band, newest at head
	any    [windowHops]bool
	head   int
	last   []float64 // levels, dB
}

func newVeil(b *bands, low int) *veil {
	size := 1
	for size < 2*low {
		size *= 2
	}
	ratio := float64(size) / float64(len(b.buf))
	v := &veil{last: make([]float64, len(b.level))}
	for i := range b.level {
		from := int(float64(b.edges[i]) * ratio)
		to := int(math.Ceil(float64(b.edges[i+1]) * ratio))
		v.bins = append(v.bins, [2]int{from, max(to, from+1)})
	}
	for j := range v.weight {
		for _, w := range b.window[(windowHops-1-j)*low : (windowHops-j)*low] {
			v.weight[j] += w * w / float64(len(b.window))
		}
		v.left[j] = make([]float64, len(b.level))
	}
	return v
}

// over changes the levels of the newest frame; left is the power of a sample
// that may be left of the leak in its newest hop, by bin.
func (v *veil) over(level, left []float64) {
	v.head = (v.head + 1) % windowHops
	v.any[v.head] = false
	for i, at := range v.bins {
		var sum float64
		for _, p := range left[at[0]:at[1]] {
			sum += p
		}
		v.left[v.head][i] = sum / float64(at[1]-at[0])
		v.any[v.head] = v.any[v.head] || sum > 0
	}
	if v.any != [windowHops]bool{} {
		v.hold(level)
	}
	copy(v.last, level)
}

func (v *veil) hold(level []float64) {
	for i, l := range level {
		var r float64
		for j, w := range v.weight {
			r += w * v.left[(v.head-j+windowHops)%windowHops][i]
		}
		if r *= veilOver; r < quietest {
			continue
		}
		if p := math.Pow(10, l/10) - r; p <= 0 {
			level[i] = min(l, v.last[i])
		} else {
			level[i] = max(10*math.Log10(p), min(l, v.last[i]))
		}
	}
}
