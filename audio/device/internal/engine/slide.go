package engine

import (
	"math"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/ring"
	"steadfoot/audio/device/internal/sinc"
)

const (
	jumpOver  = audio.Rate / 1000  // samples off the aim that are jumped; less is slewed
	slewMost  = 0.001              // of the speed: 1.7 cents
	slewOver  = 1.0 * audio.Rate   // samples in which a small error falls to 1/e
	speedStep = 0.005 / audio.Rate // change of speed a frame: 0.1 % takes 0.2 s
	fadeOver  = 128                // frames of a fade on either side of a jump
	windowLen = chunk + chunk/8 + 2*sinc.Taps
	lead      = sinc.Before - 1 // samples of the window before the place
)

// slide plays rendered output at places of the session that the aim tells,
// between its samples and at the output device's speed. It belongs to the
// callback and never goes back in the session.
type slide struct {
	out *ring.Output
	aim aim

	started bool
	pos     int64   // session sample at or before the next output frame
	frac    float64 // how far after it that frame is, 0 to 1
	speed   float64 // session samples an output frame
	wait    int     // frames of silence before it: the aim lay behind
	fading  int     // frames of the fade left
	away    bool    // it fades out, towards a jump

	window [windowLen]audio.Frame // session samples from first on
	first  int64
	filled int
	loud   int64 // last sample in the window that is not silence
}

func newSlide(out *ring.Output) *slide { return &slide{out: out, first: -lead, loud: math.MinInt64} }

// play fills dst, which begins at an output frame of that number, and returns
// how many of the session's samples were missing.
func (s *slide) play(dst []audio.Frame, frame int64) (missing int) {
	if !s.started {
		s.started, s.speed = true, s.aim.ratio
		missing += s.jump(frame)
	}
	s.steer(frame, len(dst))
	for len(dst) > 0 {
		n := min(len(dst), chunk)
		switch {
		case s.wait > 0:
			n = min(n, s.wait)
			clear(dst[:n])
			s.wait -= n
		case s.fading > 0:
			n = min(n, s.fading)
			missing += s.render(dst[:n])
			missing += s.fade(dst[:n], frame+int64(n))
		default:
			missing += s.render(dst[:n])
		}
		dst = dst[n:]
		frame += int64(n)
	}
	return missing
}

// steer sets the speed so that the place nears the aim, or begins a jump.
func (s *slide) steer(frame int64, n int) {
	if s.wait > 0 || s.away {
		return
	}
	off := s.aim.at(frame) - s.place()
	if math.Abs(off) > jumpOver {
		s.away, s.fading = true, fadeOver
		if s.quiet() {
			s.fading = 1 // there is nothing to fade
		}
		return
	}
	want := s.aim.ratio + max(-slewMost, min(slewMost, off/slewOver))
	most := speedStep * float64(n)
	s.speed += max(-most, min(most, want-s.speed))
}

func (s *slide) place() float64 { return float64(s.pos) + s.frac }

// quiet says whether all that sounds now is silence.
func (s *slide) quiet() bool { return s.loud < s.pos-lead }

// fade takes the level of frames down or up, and at the bottom jumps; then the
// next output frame is the one of that number.
func (s *slide) fade(dst []audio.Frame, frame int64) (missing int) {
	for i := range dst {
		g := float32(s.fading-i-1) / fadeOver
		if !s.away {
			g = 1 - g
		}
		dst[i][0] *= g
		dst[i][1] *= g
	}
	if s.fading -= len(dst); s.fading == 0 && s.away {
		s.away = false
		missing = s.jump(frame)
	}
	return missing
}

// jump goes to where the output frame of that number should be, or waits there
// where that is in the past.
func (s *slide) jump(frame int64) (missing int) {
	to := s.aim.at(frame)
	s.speed = s.aim.ratio
	if least := max(0, s.place()); to < least {
		s.wait = int(math.Ceil((least - to) / s.aim.ratio))
		to = s.aim.at(frame + int64(s.wait))
	}
	whole := math.Floor(to)
	s.pos, s.frac = int64(whole), to-whole
	if at := s.pos - lead - s.first; at < 0 || at > int64(s.filled) {
		s.first, s.filled = s.pos-lead, 0
	}
	missing = s.fetch(s.pos + sinc.Taps - lead)
	if !s.quiet() {
		s.fading = fadeOver
	}
	return missing
}

// render fills dst, at most a chunk.
func (s *slide) render(dst []audio.Frame) (missing int) {
	span := int64(math.Ceil(s.frac + s.speed*float64(len(dst))))
	missing = s.fetch(s.pos + span + sinc.Taps - lead)
	if s.quiet() {
		clear(dst)
		s.move(s.speed * float64(len(dst)))
		return missing
	}
	for i := range dst {
		at := s.pos - lead - s.first
		dst[i] = sinc.At((*[sinc.Taps]audio.Frame)(s.window[at:]), s.frac)
		s.move(s.speed)
	}
	return missing
}

func (s *slide) move(by float64) {
	s.frac += by
	whole := math.Floor(s.frac)
	s.pos += int64(whole)
	s.frac -= whole
}

// fetch lets the window hold all that is of use from the present place up to
// before the session sample end.
func (s *slide) fetch(end int64) (missing int) {
	if drop := s.pos - lead - s.first; drop > 0 {
		s.filled = copy(s.window[:], s.window[drop:s.filled])
		s.first += drop
	}
	from := s.first + int64(s.filled)
	more := s.window[s.filled:max(int64(s.filled), end-s.first)]
	s.filled += len(more)
	if before := min(max(0, -from), int64(len(more))); before > 0 {
		clear(more[:before]) // nothing is before the session
		more, from = more[before:], from+before
	}
	missing = s.out.Play(more, from)
	for i, f := range more {
		if f != (audio.Frame{}) {
			s.loud = from + int64(i)
		}
	}
	return missing
}
