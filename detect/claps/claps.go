// Package claps hears two claps of the hands in sound: the walker's sign for a lap,
// when no key is at hand.
//
// A clap is short, loud beside everything of late, and has energy in every octave
// from 700 Hz up. Two of them, 0.25 to 0.6 s apart and much alike, with nothing as
// loud between them and for 0.65 s before and after, are a sign; three or more are
// applause. The bounds are chosen on made walks and claps (package
// detect/score/trial).
package claps

import "fmt"

// Frames are of 5 ms.
const (
	least, most = 50, 120 // frames between the two claps
	around      = 130     // frames before and after without another
	kept        = 512     // frames; more than two claps and what is around them
	own         = 30      // frames after a clap that are its room's
	risen       = 6       // frames before a clap in which it has come
	fallen      = 10      // frames after it in which it has gone

	over    = 8.0  // dB, of a clap above the reference, mean over the octaves
	overAny = 0.0  // dB, the same in the octave where it is least
	apart   = 7.0  // dB, above whatever else is around
	alike   = 10.0 // dB between the two claps
	rises   = 12.0 // dB
	falls   = 8.0  // dB

	silent = -200.0 // dB
)

// Double is two claps.
type Double struct {
	First, Second float64 // s since the first sample
	Over          float64 // of the softer one over what was loud in the 3 s before, dB
}

// Finder finds double claps. Make it with New; it must not be used by two
// goroutines at a time. It allocates nothing but what dst needs to grow.
type Finder struct {
	rate   float64
	levels levels
	ref    reference
	each   [len(octaves)]reference
	ring   [kept]frame
	from   int64 // samples before the first frame: those before the last gap
	n      int64 // frames since
}

// frame is one of the last frames, in dB.
type frame struct {
	band [len(octaves)]float64
	sum  float64 // mean of the octaves
	// The references before it; silent where there are none yet.
	ref  float64
	each [len(octaves)]float64
}

// New returns a finder for mono sound of a rate in Hz, from 6000 to 400 000: claps
// are known by what they have up to 3 kHz and more.
func New(rate float64) (*Finder, error) {
	if !(rate >= 6000 && rate <= 400000) {
		return nil, fmt.Errorf("sample rate %g Hz: claps can be heard from 6000 to 400000 Hz", rate)
	}
	return &Finder{rate: rate, levels: newLevels(rate)}, nil
}

// Feed takes the next samples, full scale ±1, and appends the double claps that
// are now known to dst, which it returns: 0.65 s after the second clap. A sample
// that is no number, or beyond 1e6, counts as 0. Feed keeps no reference to samples.
func (f *Finder) Feed(dst []Double, samples []float64) []Double {
	for len(samples) > 0 {
		at := &f.ring[f.n%kept]
		n, full := f.levels.take(samples, at)
		samples = samples[n:]
		if !full {
			continue
		}
		at.ref = silent
		if f.ref.known() {
			at.ref = f.ref.now
			for b := range at.each {
				at.each[b] = f.each[b].now
			}
		}
		f.ref.take(at.sum)
		for b := range f.levels.bands {
			f.each[b].take(at.band[b])
		}
		f.n++
		if d, ok := f.double(); ok {
			dst = append(dst, d)
		}
	}
	return dst
}

// Skip tells that n samples were lost. Claps are heard again three seconds later.
func (f *Finder) Skip(n int64) {
	from := f.from + f.n*int64(f.levels.hop) + int64(f.levels.fill) + n
	*f = Finder{rate: f.rate, levels: f.levels, from: from}
	f.levels.forget()
}

func (f *Finder) at(k int64) *frame { return &f.ring[k%kept] }

// double tells whether the frame 0.65 s ago was the second of two claps.
func (f *Finder) double() (Double, bool) {
	second := f.n - 1 - around
	if second < 2*around+most || !f.clap(second) {
		return Double{}, false
	}
	for first := second - least; first >= second-most; first-- {
		a, b := f.at(first), f.at(second)
		if a.ref == silent || !f.clap(first) { // nothing to compare with yet
			continue
		}
		soft := min(a.sum, b.sum)
		if soft < a.ref+over || max(a.sum, b.sum) > soft+alike {
			continue
		}
		others := max(f.loudest(first-around, first-risen), f.loudest(first+own, second-risen), f.loudest(second+own, f.n))
		if others > soft-apart {
			continue
		}
		return Double{First: f.time(first), Second: f.time(second), Over: soft - a.ref}, true
	}
	return Double{}, false
}

// clap tells whether the frame may be a clap: steep, short, and heard in every
// octave.
func (f *Finder) clap(k int64) bool {
	x := f.at(k)
	if f.loudest(k-risen, k+fallen) > x.sum || f.at(k-risen).sum > x.sum-rises || f.at(k+fallen).sum > x.sum-falls {
		return false
	}
	for b := range f.levels.bands {
		if x.band[b] < x.each[b]+overAny {
			return false
		}
	}
	return true
}

// loudest is the greatest level of the frames from and before to.
func (f *Finder) loudest(from, to int64) float64 {
	l := silent
	for k := from; k < to; k++ {
		l = max(l, f.at(k).sum)
	}
	return l
}

func (f *Finder) time(k int64) float64 {
	return float64(f.from+k*int64(f.levels.hop)) / f.rate
}
