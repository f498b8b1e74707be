package formant

import "math"

// shape is the mouth at one moment. Frequencies and widths are in Hz, levels
// linear.
type shape struct {
	voice, breath, hiss float64 // levels of the three sources
	freq, width         [5]float64
	nasal               float64 // frequency of the nasal zero
	hissFreq, hissWidth float64
}

// mix goes from a to b: the tract by w, the levels by v.
func mix(a, b shape, w, v float64) shape {
	to := func(x, y, w float64) float64 { return x + w*(y-x) }
	c := shape{
		voice: to(a.voice, b.voice, v), breath: to(a.breath, b.breath, v), hiss: to(a.hiss, b.hiss, v),
		nasal:    to(a.nasal, b.nasal, v),
		hissFreq: a.hissFreq, hissWidth: a.hissWidth,
	}
	if a.hiss == 0 { // what does not hiss has no place for it
		c.hissFreq, c.hissWidth = b.hissFreq, b.hissWidth
	}
	for k := range c.freq {
		c.freq[k], c.width[k] = to(a.freq[k], b.freq[k], w), to(a.width[k], b.width[k], w)
	}
	return c
}

// segment is a stretch of sound with one target.
type segment struct {
	shape
	length float64 // s
	glide  float64 // how long the tract takes to come here and to leave, s
	edge   float64 // how long the levels take, s
	core   bool    // starts the vowel of a syllable
}

// score is a whole utterance.
type score struct {
	segs       []segment
	ends       []float64 // of the segments, s
	contour    []float64 // log Hz
	first, end float64   // of what is voiced, s
}

// neutral is an even tube of 17 cm: odd multiples of 500 Hz.
var neutral = [5]float64{500, 1500, 2500, 3500, 4500}

const (
	fadeIn  = 0.04 // of the whole utterance, s
	fadeOut = 0.05
)

// newScore lays segs out in time; it changes them.
func newScore(segs []segment, pitch []float64, slow float64) score {
	s := score{segs: segs, first: -1}
	t := 0.0
	for i := range segs {
		segs[i].length *= slow
		if segs[i].voice > 0 && s.first < 0 {
			s.first = t
		}
		t += segs[i].length
		if segs[i].voice > 0 {
			s.end = t
		}
		s.ends = append(s.ends, t)
	}
	for i := len(segs) - 1; i >= 0; i-- {
		s.settle(i)
	}
	for _, hz := range pitch {
		s.contour = append(s.contour, math.Log(hz))
	}
	return s
}

// settle gives a segment whose tract is ahead that of the next, which is settled,
// and softens a stop that no vowel follows: it must not sound like a syllable.
func (s *score) settle(i int) {
	seg, last := &s.segs[i], i == len(s.segs)-1
	if seg.breath > 0 && seg.voice == 0 && (last || s.segs[i+1].voice == 0) {
		seg.breath *= 0.2
		s.segs[max(0, i-1)].hiss *= 0.4
	}
	switch {
	case seg.freq[0] > 0:
	case last:
		seg.freq = neutral
	default:
		seg.freq = s.segs[i+1].freq
	}
}

func (s *score) length() float64 { return s.ends[len(s.ends)-1] }

// vowels are the times at which the vowels of the syllables start, s.
func (s *score) vowels() []float64 {
	var all []float64
	for i, seg := range s.segs {
		if seg.core {
			all = append(all, s.ends[i]-seg.length)
		}
	}
	return all
}

// pitch is the contour at time t, in Hz.
func (s *score) pitch(t float64) float64 {
	last := len(s.contour) - 1
	x := float64(last) * (t - s.first) / max(s.end-s.first, 1e-9)
	x = max(0, min(x, float64(last)))
	i := min(int(x), max(0, last-1))
	if last == 0 {
		return math.Exp(s.contour[0])
	}
	return math.Exp(s.contour[i] + (x-float64(i))*(s.contour[i+1]-s.contour[i]))
}

// at is the mouth at time t.
func (s *score) at(t float64) shape {
	i := 0
	for i < len(s.segs)-1 && t >= s.ends[i] {
		i++
	}
	now := s.segs[i].shape
	if i > 0 {
		now = s.across(i-1, t, now)
	}
	if i < len(s.segs)-1 {
		now = s.across(i, t, now)
	}
	e := rise(t/fadeIn) * rise((s.length()-t)/fadeOut)
	now.voice, now.breath, now.hiss = now.voice*e, now.breath*e, now.hiss*e
	return now
}

// across moves now, a shape near the end of segment i, as far over that end as
// is due at time t. Half of a transition lies on each side.
func (s *score) across(i int, t float64, now shape) shape {
	a, b := &s.segs[i], &s.segs[i+1]
	room := min(a.length, b.length)
	part := func(span float64) float64 { return rise((t-s.ends[i])/max(min(span, room), 1e-9) + 0.5) }
	w, v := part(max(a.glide, b.glide)), part(min(a.edge, b.edge))
	if t < s.ends[i] {
		return mix(now, b.shape, w, v)
	}
	return mix(a.shape, now, w, v)
}

// rise goes smoothly from 0 at 0 to 1 at 1.
func rise(x float64) float64 {
	x = max(0, min(1, x))
	return 0.5 - 0.5*math.Cos(math.Pi*x)
}
