package detect

import (
	"fmt"
	"math"
)

// SoundConfig says what the sound is like.
type SoundConfig struct {
	// Rate is the sample rate in Hz, from 2000 to 400 000.
	Rate float64
	// FirstFoot names the first step of a stretch; Unknown means Left.
	FirstFoot Side
	// Felt tells that an accelerometer is worn too, whose rows Feel takes. Steps are
	// then told up to 0.8 s later, for what is felt of them comes later.
	Felt bool
}

// Sound finds steps in mono sound. Make it with NewSound; it must not be used
// by two goroutines at a time. Feed allocates nothing but what dst needs to grow.
type Sound struct {
	rate  float64
	hop   int
	raw   []float64 // the newest hop
	fill  int       // samples of it that are there
	halve *halver
	buf   []float64 // one window at the halved rate
	pos   int64     // samples taken
	quiet int64     // digital zeros in a row
	bands *bands
	evid  *evidence
	track *tracker
	onset *onset
	past  []float32 // ring of the last samples, as long as the filter's memory
	clip  []float32 // scratch for onset
	rep   reporter

	joint     *joint                // nil: no sensor is worn
	played    *played               // nil until Played is called
	overheard func([]float64, bool) // nil until Overhear is called
	look      func(Inside)
	inside    Inside // scratch of show
}

const (
	bridgeLagS = 0.025 // where the evidence peaks after the first contact, for steps that were not heard
	deafS      = 1.0   // of digital zeros: the input is dead
)

// NewSound returns a detector for sound of the given rate.
func NewSound(c SoundConfig) (*Sound, error) {
	if !(c.Rate >= 2000 && c.Rate <= 400000) {
		return nil, fmt.Errorf("sample rate %g Hz: steps can be heard from 2000 to 400000 Hz", c.Rate)
	}
	stages := halvings(c.Rate)
	factor := 1 << stages
	low := int(math.Round(c.Rate / float64(factor) * hopSeconds))
	hop := low * factor
	frameRate := c.Rate / float64(hop)
	b := newBands(c.Rate/float64(factor), low*windowHops, low)
	o := newOnset(c.Rate)
	span, _ := o.span()
	keep := memoryS + 0.2
	var j *joint
	if c.Felt {
		j = newJoint(float64(hop) / c.Rate)
		keep += waitMostS
	}
	s := &Sound{
		rate: c.Rate, hop: hop,
		raw:   make([]float64, hop),
		halve: newHalver(stages, hop),
		buf:   make([]float64, low*windowHops),
		bands: b,
		evid:  newEvidence(len(b.level), frameRate),
		track: newTracker(soundTuning(frameRate)),
		onset: o,
		past:  make([]float32, int(c.Rate*keep)),
		clip:  make([]float32, span),
		rep:   newReporter(c.FirstFoot),
		joint: j,
	}
	if j != nil {
		s.track.touched = make([]touch, len(s.track.peaks))
	}
	return s, nil
}

// soundTuning is chosen on made walks of all kinds (package detect/made): what
// steady noise does is measured, the rest is a compromise between soon finding a
// walk in noise and never finding one in wind or voices.
func soundTuning(frameRate float64) tuning {
	return tuning{
		frameRate: frameRate,
		others:    12,   // pink and white noise make 10 to 14 peaks a second
		height:    -2.2, // and of these heights
		spread:    0.8,
		least:     0.09, // a rise of a tenth of the usual one is the noise of noise
		jitter:    1.2,  // frames of 5 ms, and peaks that noise moves by one
		seconds:   true,
		early:     0.5,
		reach:     8, // frames: a step's sound makes peaks for 40 ms around it
		due:       0.4,
		likely:    0.65, // what is less sure may be noise after the last step, and waits for the next one
	}
}

// Feed takes the next samples, full scale ±1, and appends what they brought to
// light to dst, which it returns. A sample that is no finite number counts as
// 0. Feed keeps no reference to samples.
func (s *Sound) Feed(dst []Event, samples []float32) []Event {
	for len(samples) > 0 {
		n := min(len(samples), s.hop-s.fill)
		tail := s.raw[s.fill:]
		at := int(s.pos % int64(len(s.past)))
		for i, v := range samples[:n] {
			if v-v != 0 { // NaN or infinite
				v = 0
			}
			if v == 0 {
				s.quiet++
			} else {
				s.quiet = 0
			}
			tail[i] = float64(v)
			s.past[at] = v
			if at++; at == len(s.past) {
				at = 0
			}
		}
		samples = samples[n:]
		s.fill += n
		s.pos += int64(n)
		if s.fill == s.hop {
			low := s.halve.run(s.raw)
			if s.played != nil {
				s.played.remove(low)
			}
			if s.overheard != nil {
				s.overheard(low, true)
			}
			copy(s.buf, s.buf[len(low):])
			copy(s.buf[len(s.buf)-len(low):], low)
			s.bands.analyse(s.buf)
			if s.played != nil {
				s.played.veil(s.bands)
			}
			e := 0.0
			if !s.dead() { // else it tells nothing of what is usual
				e = s.evid.next(s.bands.level)
			}
			dst = s.frame(dst, e, true)
		}
	}
	return dst
}

// Skip tells that n samples were lost. Time goes on, and so does the rhythm for
// a while, but nothing is heard.
func (s *Sound) Skip(dst []Event, n int64) []Event {
	s.evid.forget()
	s.halve.forget()
	clear(s.buf)
	for n > 0 {
		m := min(n, int64(s.hop-s.fill))
		clear(s.raw[s.fill : s.fill+int(m)])
		for i := range m {
			s.past[(s.pos+i)%int64(len(s.past))] = 0
		}
		s.fill += int(m)
		s.pos += m
		n -= m
		if s.fill == s.hop {
			if s.played != nil {
				s.played.skip()
			}
			if s.overheard != nil {
				s.overheard(s.raw[:s.hop>>halvings(s.rate)], false)
			}
			s.rep.lost += float64(s.hop) / s.rate
			dst = s.frame(dst, 0, false)
		}
	}
	return dst
}

// Flush tells that the input has ended, and reports what was held back.
func (s *Sound) Flush(dst []Event) []Event {
	// The last steps wait for frames that will not come; silence stands in.
	if s.joint != nil {
		s.joint.felt.lose(float64(s.pos)/s.rate + waitMostS)
	}
	for range peakReach + s.track.patience + 1 {
		dst = s.hear(dst, waiting{hears: true})
	}
	if s.joint != nil {
		dst = s.drain(dst, math.Inf(1))
	}
	return s.rep.gap(dst, float64(s.pos)/s.rate)
}

// dead tells that the input has long been digital silence.
func (s *Sound) dead() bool { return float64(s.quiet) > deafS*s.rate }

// frame takes the evidence of the hop that is full now.
func (s *Sound) frame(dst []Event, e float64, hears bool) []Event {
	s.fill = 0
	dead := s.dead()
	now := float64(s.pos) / s.rate
	feels := s.joint != nil && !s.joint.silent(now)
	if dead && !feels {
		s.rep.deaf += float64(s.hop) / s.rate
	}
	dst = s.hear(dst, waiting{e, hears && !dead})
	state := s.track.state((dead || !hears) && !feels)
	if s.look != nil {
		s.show(now, state)
	}
	return s.rep.tick(dst, now, state)
}

// hear gives a frame to the tracker, at once or, where a sensor is worn, when what
// is felt of it is known.
func (s *Sound) hear(dst []Event, w waiting) []Event {
	if s.joint == nil {
		return s.steps(dst, s.track.next(w.evidence, w.hears))
	}
	now := float64(s.pos) / s.rate
	s.joint.felt.lose(now - waitMostS)
	s.joint.push(w)
	return s.drain(dst, now)
}

// drain gives the tracker the frames that need not wait at time now.
func (s *Sound) drain(dst []Event, now float64) []Event {
	j := s.joint
	for w, ok := j.pop(now); ok; w, ok = j.pop(now) {
		found := s.track.both(w.evidence, w.hears, j.touch())
		j.hear(s.track.alone)
		dst = s.steps(dst, found)
	}
	return dst
}

func (s *Sound) steps(dst []Event, found []placed) []Event {
	for _, p := range found {
		dst = s.rep.step(dst, s.time(p), p, s.track.step()*float64(s.hop)/s.rate)
	}
	return dst
}

// time is the first contact of a step, s.
func (s *Sound) time(p placed) float64 {
	end := int64((float64(p.frame) + 1 + p.offset) * float64(s.hop))
	if !p.heard {
		return math.Max(0, math.Min(float64(end)/s.rate-bridgeLagS, float64(s.pos)/s.rate))
	}
	span, at := s.onset.span()
	from := end - int64(at)
	for i := range s.clip[:span] {
		s.clip[i] = 0
		if k := from + int64(i); k >= 0 && k < s.pos && k >= s.pos-int64(len(s.past)) {
			s.clip[i] = s.past[k%int64(len(s.past))]
		}
	}
	if s.played != nil {
		s.played.clean(s.clip[:span], from)
	}
	return math.Max(0, float64(from+int64(s.onset.refine(s.clip)))/s.rate)
}
