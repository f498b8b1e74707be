package live

import "steadfoot/detect"

// Watched is an ear whose detector lets itself be looked into.
type Watched interface {
	// Watch has look called for every frame that the detector hears, nil for
	// none.
	Watch(look func(detect.Inside))
}

// Watch implements Watched.
func (s *SoundEar) Watch(look func(detect.Inside)) { s.det.Watch(look) }

// Watch implements Watched.
func (m *MotionEar) Watch(look func(detect.Inside)) { m.det.Watch(look) }
