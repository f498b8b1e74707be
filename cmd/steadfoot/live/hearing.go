package live

import (
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// wellAgain is how long an obstacle must have been gone to be told anew, s.
const wellAgain = 20.0

// obstacleFaults are what is told of each obstacle, with what to do.
var obstacleFaults = [detect.Windy + 1]event.Fault{
	detect.Muted:    {Code: event.FaultMuted, What: "the microphone is muted: not even noise comes from it; unmute it, or see that it is plugged in"},
	detect.TooQuiet: {Code: event.FaultQuiet, What: "the sound is too faint to hear steps in; bring the microphone closer, or turn its level up"},
	detect.Clipped:  {Code: event.FaultClipped, What: "the sound is too loud and cut off; turn the microphone's level down, or cover it"},
	detect.Windy:    {Code: event.FaultWind, What: "wind drowns the steps; cover the microphone with foam or cloth, or turn it out of the wind"},
}

// obstacleTeller tells each obstacle once, and again only after it was gone for a
// while.
type obstacleTeller struct {
	told [detect.Windy + 1]bool
	seen [detect.Windy + 1]float64 // when it was there last, s
}

// tell is given the obstacle that is there at session time now; ok when it is
// to be told.
func (o *obstacleTeller) tell(now float64, k detect.Obstacle) (f event.Fault, ok bool) {
	if k == detect.NoObstacle {
		return f, false
	}
	ok = !o.told[k] || now > o.seen[k]+wellAgain
	o.told[k], o.seen[k] = true, now
	f = obstacleFaults[k]
	f.T = now
	return f, ok
}

// hindered is an ear that can tell what keeps it from hearing steps.
type hindered interface {
	hindrance(now float64) (f event.Fault, ok bool)
}

func (s *SoundEar) hindrance(now float64) (event.Fault, bool) {
	return s.teller.tell(now, s.why.Now())
}

func (s *SoundEar) reason() string { return obstacleFaults[s.why.Now()].What }

// WhyDeaf is what keeps the walker from being heard at this moment, with what to
// do; "" when nothing is known to. Call it in Run's goroutine, as from Show.
func (w *Walk) WhyDeaf() string {
	if ear, ok := w.Ear.(interface{ reason() string }); ok {
		return ear.reason()
	}
	return ""
}

// takeObstacles makes a fault of what keeps the ear from hearing steps. In a pause
// nobody need be heard.
func (w *Walk) takeObstacles(now float64) {
	ear, ok := w.Ear.(hindered)
	if !ok || w.Coach.Status().Paused {
		return
	}
	if f, ok := ear.hindrance(now); ok {
		w.take(f)
	}
}
