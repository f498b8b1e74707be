package live

import (
	"io"

	"steadfoot/audio"
	"steadfoot/detect"
)

// Played tells the ear the next frames that go out, at audio.Rate; the first
// ones ever are played when sample 0 of the input is captured. What of them
// leaks into the input is then no step, see detect.Sound.Played. Input lost on
// the way needs no care: both sides count samples from the same start.
func (s *SoundEar) Played(frames []audio.Frame) {
	s.mono = s.mono[:0]
	for _, f := range frames {
		s.mono = append(s.mono, (f[0]+f[1])/2)
	}
	if s.src.Rate() == audio.Rate {
		s.det.Played(s.mono)
		return
	}
	if s.pool == nil {
		s.pool = newPool(s.src.Rate())
	}
	s.pool.in.samples = append(s.pool.in.samples, s.mono...)
	for s.pool.next() {
		s.det.Played(s.pool.block.Samples)
	}
}

// PlayedFrom has the ear know from a recording what was played: sample i of src
// when sample i of the input was captured. src must have the input's rate; after
// its end there was silence.
func (s *SoundEar) PlayedFrom(src audio.Source) { s.track = track{src: src} }

// Leak tells what of the played sound was found in the input, if any was.
func (s *SoundEar) Leak() (detect.Leak, bool) { return s.det.Leak() }

// track is a recording of what was played; the zero value is none.
type track struct {
	src   audio.Source
	block audio.Block
	told  int64
}

// tell tells what was played before sample end.
func (t *track) tell(to *detect.Sound, end int64) error {
	for t.src != nil && t.told < end {
		if err := t.src.Read(&t.block); err == io.EOF {
			t.src = nil
		} else if err != nil {
			return err
		}
		to.Played(t.block.Samples)
		t.told += int64(len(t.block.Samples))
	}
	return nil
}

// pool brings what is handed over, at audio.Rate, to another rate, in the blocks
// that audio.Resample works in: up to 0.15 s later at 16 kHz.
type pool struct {
	in    reserve
	out   audio.Source
	need  int // samples for one block
	block audio.Block
}

func newPool(rate int) *pool {
	const (
		block  = 2048 // samples that one Read gives
		margin = 1536 // what it may read ahead
	)
	p := &pool{need: block*audio.Rate/rate + margin}
	p.out = audio.Resample(&p.in, rate)
	return p
}

// next resamples a block, when there is enough for one.
func (p *pool) next() bool {
	return len(p.in.samples) >= p.need && p.out.Read(&p.block) == nil
}

// reserve is a Source of what was handed over.
type reserve struct {
	samples []float32
	buf     [256]float32
}

func (r *reserve) Rate() int    { return audio.Rate }
func (r *reserve) Close() error { return nil }

// Read implements audio.Source. A pool never lets it run dry.
func (r *reserve) Read(b *audio.Block) error {
	n := copy(r.buf[:], r.samples)
	if n == 0 {
		return io.EOF
	}
	r.samples = r.samples[:copy(r.samples, r.samples[n:])]
	*b = audio.Block{Samples: r.buf[:n]}
	return nil
}
