package live

import (
	"fmt"

	"steadfoot/audio"
	"steadfoot/audio/sensor"
	"steadfoot/detect"
	"steadfoot/detect/claps"
)

// SoundEar hears steps in sound.
type SoundEar struct {
	// Heard is given every piece of the sound as it comes, to keep it, and must not
	// wait for a disk; may be nil.
	Heard func(*audio.Block)

	src   audio.Source
	det   *detect.Sound
	why   *detect.Obstacles // why steps are not heard
	block audio.Block
	rest  []float32 // of the block, still to be heard
	now   float64

	mono []float32 // scratch of Played
	pool *pool     // of what is played, where the input has another rate

	track track // of what was played, for a recording

	felt Feeler // a sensor beside the sound; may be nil
	feel func(sensor.Row)

	teller obstacleTeller

	claps   *claps.Finder // nil: not listened for
	doubles []claps.Double
}

// NewSoundEar returns an ear for src; first names the first foot of a stretch.
func NewSoundEar(src audio.Source, first detect.Side) (*SoundEar, error) {
	return NewJointEar(src, nil, first)
}

// NewJointEar returns an ear for src and for a sensor that is worn meanwhile; felt
// may be nil.
func NewJointEar(src audio.Source, felt Feeler, first detect.Side) (*SoundEar, error) {
	det, err := detect.NewSound(detect.SoundConfig{Rate: float64(src.Rate()), FirstFoot: first, Felt: felt != nil})
	if err != nil {
		return nil, err
	}
	why, err := detect.NewObstacles(float64(src.Rate()))
	if err != nil {
		return nil, err
	}
	// A row that comes too late, or is of another time, is left out.
	feel := func(r sensor.Row) { det.Feel(r.T, r.X, r.Y, r.Z) }
	return &SoundEar{src: src, det: det, why: why, felt: felt, feel: feel}, nil
}

// Rate is the sample rate of the sound, Hz.
func (s *SoundEar) Rate() int { return s.src.Rate() }

// Next implements Ear.
func (s *SoundEar) Next(dst []detect.Event) ([]detect.Event, error) {
	b := &s.block
	b.Fault = ""
	if len(s.rest) == 0 {
		if err := s.src.Read(b); err != nil {
			return dst, err
		}
		s.rest = b.Samples
		if s.Heard != nil {
			s.Heard(b)
		}
		if err := s.track.tell(s.det, b.Index+int64(len(b.Samples))); err != nil {
			return dst, err
		}
		if b.Lost > 0 {
			dst = s.det.Skip(dst, b.Lost)
		}
		if s.felt != nil {
			s.felt.Take(float64(b.Index+int64(len(b.Samples)))/float64(s.src.Rate()), s.feel)
		}
	}
	had := len(dst)
	dst = s.feed(dst)
	s.now = float64(b.Index+int64(len(b.Samples)-len(s.rest))) / float64(s.src.Rate())
	for _, e := range dst[had:] {
		if e.Kind == detect.KindRhythm {
			s.why.See(e.Rhythm)
		}
	}
	return dst, nil
}

// Flush implements Ear.
func (s *SoundEar) Flush(dst []detect.Event) []detect.Event { return s.det.Flush(dst) }

// Now implements Ear.
func (s *SoundEar) Now() float64 { return s.now }

// Fault implements Ear.
func (s *SoundEar) Fault() string {
	if s.block.Fault == "" && s.felt != nil {
		return s.felt.Fault()
	}
	return s.block.Fault
}

// MotionEar feels steps in the rows of an accelerometer.
type MotionEar struct {
	rows       *sensor.Reader
	det        *detect.Motion
	start, now float64
	any        bool
}

// NewMotionEar returns an ear for rows; first names the first foot of a stretch.
func NewMotionEar(rows *sensor.Reader, first detect.Side) (*MotionEar, error) {
	det, err := detect.NewMotion(detect.MotionConfig{FirstFoot: first})
	if err != nil {
		return nil, err
	}
	return &MotionEar{rows: rows, det: det}, nil
}

// Next implements Ear.
func (m *MotionEar) Next(dst []detect.Event) ([]detect.Event, error) {
	r, err := m.rows.Read()
	if err != nil {
		return dst, err
	}
	if dst, err = m.det.Feed(dst, r.T, r.X, r.Y, r.Z); err != nil {
		return dst, fmt.Errorf("%s: %w", m.rows.Name(), err)
	}
	if !m.any {
		m.any, m.start = true, r.T
	}
	m.now = r.T - m.start
	return dst, nil
}

// Flush implements Ear.
func (m *MotionEar) Flush(dst []detect.Event) []detect.Event { return m.det.Flush(dst) }

// Now implements Ear.
func (m *MotionEar) Now() float64 { return m.now }

// Fault implements Ear: bad rows are the reader's business.
func (m *MotionEar) Fault() string { return "" }
