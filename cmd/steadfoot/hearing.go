package main

import (
	"fmt"

	"steadfoot/audio"
	"steadfoot/detect"
)

// hearing is an input with the detector that fits it.
type hearing struct {
	in     *input
	sound  *detect.Sound
	motion *detect.Motion
	block  audio.Block
	start  float64 // time of the first row of a sensor, s
	now    float64 // end of what has been heard, s
}

// hear joins an input to a detector; first names the first foot.
func hear(in *input, first detect.Side) (*hearing, error) {
	h := &hearing{in: in}
	var err error
	if in.motion != nil {
		h.motion, err = detect.NewMotion(detect.MotionConfig{FirstFoot: first})
		return h, err
	}
	h.sound, err = detect.NewSound(detect.SoundConfig{Rate: float64(in.sound.Rate()), FirstFoot: first})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", in.sound.Name(), err)
	}
	return h, nil
}

// next appends to dst what the next block or row brought to light.
func (h *hearing) next(dst []detect.Event) ([]detect.Event, error) {
	if h.motion != nil {
		return h.nextRow(dst)
	}
	if err := h.in.sound.Read(&h.block); err != nil {
		return dst, err
	}
	b := &h.block
	if b.Lost > 0 {
		dst = h.sound.Skip(dst, b.Lost)
	}
	h.now = float64(b.Index+int64(len(b.Samples))) / float64(h.in.sound.Rate())
	return h.sound.Feed(dst, b.Samples), nil
}

func (h *hearing) nextRow(dst []detect.Event) ([]detect.Event, error) {
	r, err := h.in.motion.Read()
	if err != nil {
		return dst, err
	}
	if h.now == 0 {
		h.start = r.T
	}
	h.now = r.T
	if dst, err = h.motion.Feed(dst, r.T, r.X, r.Y, r.Z); err != nil {
		return dst, fmt.Errorf("%s: %w", h.in.motion.Name(), err)
	}
	return dst, nil
}

// flush appends what the detector holds back until it knows that this is the end.
func (h *hearing) flush(dst []detect.Event) []detect.Event {
	if h.motion != nil {
		return h.motion.Flush(dst)
	}
	return h.sound.Flush(dst)
}

// length is how much has been heard, in s.
func (h *hearing) length() float64 { return h.now - h.start }
